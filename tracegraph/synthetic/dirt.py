"""What a real shop's exports suffer: blanks, stray spaces, overlaps, orphans, unreadable cells.

Dirt falls on few rows and never on the truth: the planted causes stay findable.
"""

from __future__ import annotations

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracegraph.synthetic.chance import Chance
from tracegraph.synthetic.stock import Texts

MISSING_WORDS = ("", "?", "n/a")
SPOILT_IDS = 0.02  # share of ids with a stray space or the wrong case
BLANK_CELLS = 0.015  # share of readings and codes not written down
HIN_IN_CLAIMS = 0.25  # share of claims that name the hull by its HIN
ORPHANS = 12
OVERLAP_DAYS = 10


def lose(rng: np.random.Generator, values: Texts, chance: NDArray[np.float64] | float) -> Texts:
    """Replace values, each with its chance, by a word for missing."""
    words = np.array(MISSING_WORDS, dtype=object)[rng.integers(0, len(MISSING_WORDS), values.size)]
    kept: Texts = np.where(rng.random(values.size) < chance, words, values)
    return kept


def spoil(rng: np.random.Generator, values: Texts, share: float = SPOILT_IDS) -> Texts:
    """Put stray spaces around some ids and write some in lower case."""
    spoilt = np.asarray(values, dtype=object).copy()
    for i in np.flatnonzero(rng.random(spoilt.size) < share):
        form = int(rng.integers(0, 3))
        spoilt[i] = (f" {spoilt[i]}", f"{spoilt[i]}  ", str(spoilt[i]).lower())[form]
    return spoilt


def drawn(rng: np.random.Generator, size: int, count: int) -> NDArray[np.int64]:
    """Some of the first whole numbers, drawn without repeats."""
    return np.argsort(rng.random(size), kind="stable")[:count]


def overwrite(
    rng: np.random.Generator, table: pd.DataFrame, column: str, words: tuple[str, ...]
) -> None:
    """Put unreadable words into one cell each of a column, in rows drawn by lot.

    A table of fewer than five rows per word is left whole.
    """
    if len(table) < 5 * len(words):
        return
    rows = drawn(rng, len(table), len(words))
    cells = table[column].to_numpy(dtype=object).copy()
    for row, word in zip(np.sort(rows).tolist(), words, strict=True):
        cells[row] = word
    table[column] = cells


def dirty_spray_log(chance: Chance, log: pd.DataFrame) -> None:
    """Spoil the spray log in place."""
    rng = chance.of("dirt spray log")
    for column in ("Part SN", "Gelcoat Lot"):
        log[column] = spoil(rng, log[column].to_numpy(dtype=object))
    for column in ("Sprayer", "Drum", "Air F", "Mold F", "RH %", "Wet Film", "Gel Min", "Cat Lot"):
        log[column] = lose(rng, log[column].to_numpy(dtype=object), BLANK_CELLS)
    overwrite(rng, log, "Wet Film", ("thin", "17-18"))
    overwrite(rng, log, "Air F", ("7O",))
    overwrite(rng, log, "Start", ("13/32/2024 09:10",))


def dirty_tables(chance: Chance, tables: dict[str, pd.DataFrame]) -> None:
    """Spoil the plain exports in place."""
    rng = chance.of("dirt tables")
    parts = tables["parts"]
    parts["job_no"] = spoil(rng, parts["job_no"].to_numpy(dtype=object), 0.01)
    overwrite(rng, parts, "job_no", ("", "", ""))
    tables["parts"] = parts
    usages = tables["usages"]
    usages["lot_no"] = lose(rng, usages["lot_no"].to_numpy(dtype=object), 0.02)
    overwrite(rng, usages, "quantity", ("abt 50", "1 drum"))
    operations = tables["operations"]
    operations["operator"] = lose(rng, operations["operator"].to_numpy(dtype=object), BLANK_CELLS)
    components = tables["components"]
    components["lot_no"] = lose(rng, components["lot_no"].to_numpy(dtype=object), 0.03)
    inspections = tables["inspections"]
    overwrite(rng, inspections, "at", ("2025-02-30 10:15", "2024-11-31 08:05", "soon"))
    lots = tables["lots"]
    overwrite(rng, lots, "expires_on", ("2024-06-31",))


def dirty_claims(chance: Chance, claims: pd.DataFrame, hins: dict[str, str]) -> pd.DataFrame:
    """Name hulls as dealers do, and add orphans and unreadable lines.

    Parameters
    ----------
    chance : Chance
        Source of chance.
    claims : DataFrame
        The dealer desk's lines, all text.
    hins : dict of str to str
        Hull serial to hull identification number.
    """
    rng = chance.of("dirt claims")
    serial = claims["Hull"].to_numpy(dtype=object)
    hin = np.array([hins[s] for s in serial], dtype=object)
    claims["Hull"] = spoil(rng, np.where(rng.random(len(claims)) < HIN_IN_CLAIMS, hin, serial))
    named = claims["Hull"].to_numpy(dtype=object).copy()
    for row in np.flatnonzero((named == hin) & (rng.random(len(claims)) < 0.06)):
        text = str(hin[row])
        forms = (f"US-{text}", f"{text[:3]}-{text[3:8]}-{text[8:]}", f"US {text}")
        named[row] = forms[int(rng.integers(0, 3))]
    claims["Hull"] = named
    claims["Symptom"] = spoil(rng, claims["Symptom"].str.capitalize().to_numpy(dtype=object))
    count = min(ORPHANS, len(claims) // 20)
    strangers = claims.iloc[np.sort(drawn(rng, len(claims), count))].copy()
    strangers["Claim No"] = [f"X{k:04d}" for k in range(1, count + 1)]
    strangers["Line"] = 1
    strangers["Repeat Of"] = ""
    wrong = ("S22-9{k:03d}", "QZX9{k:04d}C525", "VARIOUS", "S20-0{k:03d}")
    strangers["Hull"] = [wrong[k % 4].format(k=k + 1) for k in range(count)]
    claims = pd.concat([claims, strangers], ignore_index=True)
    overwrite(rng, claims, "Eng Hrs", ("about 200", "see photo"))
    unreadable = claims.iloc[[len(claims) // 2]].copy() if count else claims.iloc[:0].copy()
    unreadable["Claim No"] = "X9001"
    unreadable["Line"] = 1
    unreadable["Opened"] = "2025-13-05"
    return pd.concat([claims, unreadable], ignore_index=True)
