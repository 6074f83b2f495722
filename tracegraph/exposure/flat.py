"""The exposure table of one flat sheet: one row per unit, one column per factor."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from tracegraph.domain.errors import FlatTableError, UnknownNameError
from tracegraph.exposure.bands import FEW_VALUES, Band, bands
from tracegraph.exposure.build import NO_ROWS_KEPT, number
from tracegraph.store import Build, in_memory_build

YES = frozenset({"y", "yes", "true", "t", "1", "1.0", "x"})
NO = frozenset({"n", "no", "false", "f", "0", "0.0"})
MISSING = frozenset({"", "na", "n/a", "nan", "none", "null", "?", "-", "unknown"})


@dataclass(frozen=True)
class FlatSheet:
    """A flat sheet laid out for counting.

    Attributes
    ----------
    build : Build
        In memory, with ``families``, ``levels``, ``exposure`` and the table ``cohort``
        filled. The caller closes it.
    units : int
        Rows with a readable outcome.
    outcome_missing : int
        Rows without one, left out.
    strata : int
        Number of strata; units without a stratum have none.
    stratum_missing : int
        Units whose stratum is not known.
    """

    build: Build
    units: int
    outcome_missing: int
    strata: int
    stratum_missing: int


def exposure_from_sheet(
    sheet: pd.DataFrame,
    unit: str,
    affected: str,
    *,
    yes: str | None = None,
    leave_out: Sequence[str] = (),
    stratify: Sequence[str] = (),
) -> FlatSheet:
    """Lay out a flat sheet.

    Parameters
    ----------
    sheet : DataFrame
        One row per unit.
    unit : str
        Column that names the unit; each name once.
    affected : str
        Column with the outcome.
    yes : str, optional
        The value that means affected; left out: the column must hold yes and no words.
    leave_out : sequence of str
        Columns that are no factors.
    stratify : sequence of str
        Columns whose combinations are the strata; they are no factors either.

    Returns
    -------
    FlatSheet
        A yes/no column becomes a question with the one answer "yes"; a column of more
        than six numbers is cut into fifths; any other value is a level of its own. A
        blank is a missing record.

    Raises
    ------
    UnknownNameError
        If a column is not in the sheet.
    FlatTableError
        If a unit comes twice, the outcome is not yes/no, or no factor is left.
    """
    for column in (unit, affected, *leave_out, *stratify):
        if column not in sheet.columns:
            raise UnknownNameError("column", column, map(str, sheet.columns))
    units = _words(sheet[unit])
    _check_units(units, unit)
    outcome = _outcome(_words(sheet[affected]), affected, yes)
    kept = outcome.notna() & units.notna()
    skip = {unit, affected, *leave_out, *stratify}
    columns = [column for column in sheet.columns if column not in skip]
    if not columns:
        raise FlatTableError(
            "The sheet must have at least one factor column beside unit and outcome; it has none."
        )
    rows = kept.to_numpy().nonzero()[0]
    hull_id = np.arange(1, len(rows) + 1)
    answers, edges = [], []
    for place, column in enumerate(columns, start=1):
        level, cuts = _factor(_words(sheet[column]).iloc[rows])
        answers.append(
            pd.DataFrame({"hull_id": hull_id, "place": place, "level": level.to_numpy()})
        )
        edges += [(place, band.level, band.low, band.high) for band in cuts]
    stratum = _strata([_words(sheet[column]).iloc[rows] for column in stratify], len(rows))
    given = {
        "given_factors": pd.DataFrame(
            {"place": range(1, len(columns) + 1), "family": [str(name) for name in columns]}
        ),
        "given_answers": pd.concat(answers, ignore_index=True),
        "given_bands": pd.DataFrame(edges, columns=["place", "level", "low", "high"]).astype(
            {"place": "int64", "level": "str", "low": "float64", "high": "float64"}
        ),
        "given_cohort": pd.DataFrame(
            {
                "hull_id": hull_id,
                "affected": outcome.iloc[rows].to_numpy(np.int64),
                "stratum": stratum,
            }
        ),
    }
    build = in_memory_build()
    for name, frame in given.items():
        build.register(name, frame)
    build.run("exposure/from_sheet")
    for name in given:
        build.unregister(name)
    build.execute(NO_ROWS_KEPT)
    number(build)
    return FlatSheet(
        build,
        units=len(rows),
        outcome_missing=int((~kept).sum()),
        strata=int(stratum.max(initial=-1)) + 1,
        stratum_missing=int((stratum < 0).sum()),
    )


def _strata(columns: list[pd.Series], units: int) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    """Number of each unit's combination of words, from 0; -1 where one is missing."""
    stratum = np.zeros(units, np.int64)
    for words in columns:
        codes, names = pd.factorize(words.map(lambda v: str(v).casefold(), na_action="ignore"))
        stratum = np.where((stratum < 0) | (codes < 0), -1, stratum * len(names) + codes)
    known = stratum >= 0
    stratum[known] = np.unique(stratum[known], return_inverse=True)[1]
    return stratum


def _words(column: pd.Series) -> pd.Series:
    """Trimmed text; missing words become missing; whole numbers lose their point."""
    if pd.api.types.is_float_dtype(column) and (column.dropna() % 1 == 0).all():
        column = column.astype("Int64")
    words = column.astype("object").map(lambda v: " ".join(str(v).split()), na_action="ignore")
    blank = words.isna() | words.map(lambda v: str(v).casefold() in MISSING)
    return words.mask(blank)


def _check_units(units: pd.Series, name: str) -> None:
    repeated = units[units.duplicated() & units.notna()]
    if len(repeated):
        raise FlatTableError(
            f"Column {name!r} must name each unit once; {repeated.iloc[0]!r} comes "
            f"{int((units == repeated.iloc[0]).sum())} times. Keep one row for each unit."
        )


def _outcome(words: pd.Series, name: str, yes: str | None) -> pd.Series:
    """1.0, 0.0, or missing."""
    folded = words.map(lambda v: str(v).casefold(), na_action="ignore")
    if yes is not None:
        if not (folded == yes.casefold()).any():
            raise UnknownNameError(f"value of column {name}", yes, words.dropna().unique())
        return folded.map(lambda v: float(v == yes.casefold()), na_action="ignore").astype(
            "float64"
        )
    other = sorted({str(v) for v in folded.dropna().unique()} - YES - NO)
    if other:
        raise FlatTableError(
            f"Column {name!r} must hold yes and no; it holds {', '.join(map(repr, other[:5]))}. "
            "Name the value that means affected with --yes."
        )
    return folded.map(lambda v: float(v in YES), na_action="ignore").astype("float64")


def _factor(words: pd.Series) -> tuple[pd.Series, list[Band]]:
    """Level of each unit (missing: not known; empty: known to have none), and the bands."""
    folded = words.map(lambda v: str(v).casefold(), na_action="ignore")
    present = set(folded.dropna().unique())
    if present and present <= YES | NO:
        # "No" is the mirror of "yes": one question, one answer to test.
        return words.where(~folded.isin(NO), "").mask(words.isna()).astype("str"), []
    numbers = pd.to_numeric(words, errors="coerce")
    if len(present) <= FEW_VALUES or numbers.notna().sum() != words.notna().sum():
        return words.astype("str"), []
    cuts = bands(
        [float(numbers.quantile(q)) for q in (0.2, 0.4, 0.6, 0.8)],
        None,
        whole=bool((numbers.dropna() % 1 == 0).all()),
    )
    starts = np.array([band.low for band in cuts])
    which = np.searchsorted(starts, numbers.fillna(0).to_numpy(), side="right") - 1
    level = pd.Series([cuts[i].level for i in which], index=words.index, dtype="str")
    return level.mask(numbers.isna()), cuts
