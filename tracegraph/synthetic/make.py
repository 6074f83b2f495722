"""Make a folder of synthetic build records, with the answer key beside them."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from tracegraph.domain.errors import TraceGraphError, UnknownNameError
from tracegraph.domain.plants import plant_name
from tracegraph.synthetic.build import build_yard
from tracegraph.synthetic.causes import KeyEntry
from tracegraph.synthetic.claims import make_claims, miscode
from tracegraph.synthetic.export import export, sheet_names
from tracegraph.synthetic.hulls import MOST_HULLS
from tracegraph.synthetic.mapping import intake_toml
from tracegraph.synthetic.plants import of_plant
from tracegraph.synthetic.readme import readme
from tracegraph.synthetic.scenarios import SCENARIO_OF, SCENARIOS

FEWEST_HULLS = 30
ANSWER_KEY = "answer_key.json"


@dataclass(frozen=True)
class MadeBuilds:
    """What :func:`make_builds` wrote.

    Attributes
    ----------
    folder : Path
        Where.
    hulls, seed : int
        As asked.
    scenario : str
        As asked.
    files : dict of str to int
        Name of each file of records to its rows of data.
    causes : tuple of KeyEntry
        What ``answer_key.json`` says.
    """

    folder: Path
    hulls: int
    seed: int
    scenario: str
    files: dict[str, int]
    causes: tuple[KeyEntry, ...]


def make_builds(
    out: Path,
    *,
    hulls: int = 1200,
    seed: int = 1,
    scenario: str = "sample",
    plant: str | None = None,
) -> MadeBuilds:
    """Write the records of a made-up yard.

    Parameters
    ----------
    out : Path
        Folder to write; made if missing. Files of an earlier run are replaced.
    hulls : int, default 1200
        How many hulls to build, 30 to 329,999.
    seed : int, default 1
        Of all chance: the same hulls, seed and scenario give the same bytes.
    scenario : str, default "sample"
        One of :data:`SCENARIOS`.
    plant : str, optional
        The yard as one of several plants. Plants of one seed use the same numbers for other
        things, bought the same lots, and have claims of their own.

    Returns
    -------
    MadeBuilds
        Files with their rows, and the causes planted.

    Raises
    ------
    UnknownNameError
        If there is no such scenario.
    TraceGraphError
        If the number of hulls or the seed is out of range, the plant's name cannot stand in
        front of a number, or the folder holds other files.
    """
    if scenario not in SCENARIO_OF:
        raise UnknownNameError("scenario", scenario, SCENARIOS)
    if not FEWEST_HULLS <= hulls <= MOST_HULLS:
        raise TraceGraphError(
            f"hulls must be {FEWEST_HULLS} to {MOST_HULLS:,}; got {hulls}. Choose a number between."
        )
    if seed < 0:
        raise TraceGraphError(f"seed must be 0 or more; got {seed}. Choose another.")
    _clear(out)
    history = SCENARIO_OF[scenario]
    built = build_yard(hulls, seed, cold_pump=history.cold_pump, late_share=history.late_share)
    planted = tuple(cause(built) for cause in history.causes)
    if plant is not None:
        built = of_plant(built, _plant(plant))
    claims = make_claims(built, history.symptoms(), planted)
    words = {p.entry.symptom for p in planted if p.entry.role == "planted"}
    if any(history.miscoded):
        for word in sorted(words):
            claims = miscode(built, claims, word, *history.miscoded)
    affected = np.unique(claims.loc[claims["symptom"].isin(words), "hull"].to_numpy())
    rows = export(out, built, claims, history, affected)
    sheets = sheet_names(claims["opened_on"].to_numpy())
    toml = intake_toml(sheets, with_copy=history.dirty, plant=plant)
    (out / "intake.toml").write_text(toml, "utf-8", newline="")
    key = tuple(p.entry for p in planted)
    (out / ANSWER_KEY).write_text(answer_key(key), "utf-8", newline="")
    text = readme(history, hulls, seed, rows, key)
    (out / "README.md").write_text(text, "utf-8", newline="")
    return MadeBuilds(out, hulls, seed, scenario, rows, key)


def _plant(text: str) -> str:
    try:
        return plant_name(text)
    except ValueError as error:
        raise TraceGraphError(f"{error}. Choose another name.") from error


def answer_key(key: tuple[KeyEntry, ...]) -> str:
    """JSON text of the answer key: symptom, role, causes with family and level, note."""
    entries = [
        {
            "symptom": e.symptom,
            "role": e.role,
            "causes": [{"family": family, "level": level} for family, level in e.causes],
            "note": e.note,
        }
        for e in key
    ]
    return json.dumps(entries, indent=2) + "\n"


def _clear(out: Path) -> None:
    """Make the folder, and take away the files of an earlier run."""
    if out.is_file():
        raise TraceGraphError(f"{out} must be a folder; it is a file. Choose another name.")
    out.mkdir(parents=True, exist_ok=True)
    found = sorted(out.iterdir())
    if found and not (out / ANSWER_KEY).is_file():
        raise TraceGraphError(
            f"{out} must be empty or hold an earlier run; it holds {found[0].name}. "
            "Choose another folder."
        )
    for path in found:
        if path.suffix in {".csv", ".gz", ".xlsx", ".toml", ".json", ".md"}:
            path.unlink()
