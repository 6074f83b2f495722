"""Make a folder of synthetic build records, with the answer key beside them."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from tracegraph.domain.errors import TraceGraphError, UnknownNameError
from tracegraph.synthetic.build import build_yard
from tracegraph.synthetic.causes import Planted
from tracegraph.synthetic.claims import make_claims
from tracegraph.synthetic.export import export, sheet_names
from tracegraph.synthetic.hulls import MOST_HULLS
from tracegraph.synthetic.mapping import intake_toml
from tracegraph.synthetic.readme import readme
from tracegraph.synthetic.scenarios import SCENARIO_OF, SCENARIOS

FEWEST_HULLS = 30
ANSWER_KEY = "answer_key.json"


class MakeBuildsError(TraceGraphError):
    """Synthetic builds cannot be made as asked."""


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
    rows : dict of str to int
        Name of each file of records to its rows of data.
    causes : tuple of Planted
        Entries of the answer key.
    """

    folder: Path
    hulls: int
    seed: int
    scenario: str
    rows: dict[str, int]
    causes: tuple[Planted, ...]


def make_builds(
    out: Path, *, hulls: int = 1200, seed: int = 1, scenario: str = "sample"
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

    Returns
    -------
    MadeBuilds
        Files with their rows, and the causes planted.

    Raises
    ------
    UnknownNameError
        If there is no such scenario.
    MakeBuildsError
        If the number of hulls or the seed is out of range, or the folder holds other files.
    """
    if scenario not in SCENARIO_OF:
        raise UnknownNameError("scenario", scenario, SCENARIOS)
    if not FEWEST_HULLS <= hulls <= MOST_HULLS:
        raise MakeBuildsError(
            f"hulls must be {FEWEST_HULLS} to {MOST_HULLS:,}; got {hulls}. Choose a number between."
        )
    if seed < 0:
        raise MakeBuildsError(f"seed must be 0 or more; got {seed}. Choose another.")
    _clear(out)
    history = SCENARIO_OF[scenario]
    built = build_yard(hulls, seed, cold_pump=history.cold_pump, late_share=history.late_share)
    planted = tuple(cause(built) for cause in history.causes)
    claims = make_claims(built, history.symptoms(), planted)
    words = {p.symptom for p in planted if p.role == "planted"}
    affected = np.unique(claims.loc[claims["symptom"].isin(words), "hull"].to_numpy())
    written = export(out, built, claims, history, affected)
    sheets = sheet_names(claims["opened_on"].to_numpy())
    toml = intake_toml(sheets, with_copy=history.dirty)
    (out / "intake.toml").write_text(toml, "utf-8", newline="")
    (out / ANSWER_KEY).write_text(answer_key(planted), "utf-8", newline="")
    made = MadeBuilds(out, hulls, seed, scenario, written.rows, planted)
    text = readme(history, hulls, seed, written.rows, planted)
    (out / "README.md").write_text(text, "utf-8", newline="")
    return made


def answer_key(planted: tuple[Planted, ...]) -> str:
    """JSON text of the answer key: symptom, role, causes with family and level, note."""
    entries = [
        {
            "symptom": p.symptom,
            "role": p.role,
            "causes": [{"family": family, "level": level} for family, level in p.causes],
            "note": p.note,
        }
        for p in planted
    ]
    return json.dumps(entries, indent=2) + "\n"


def _clear(out: Path) -> None:
    """Make the folder, and take away the files of an earlier run."""
    out.mkdir(parents=True, exist_ok=True)
    found = sorted(out.iterdir())
    if found and not (out / ANSWER_KEY).is_file():
        raise MakeBuildsError(
            f"{out} must be empty or hold an earlier run; it holds {found[0].name}. "
            "Choose another folder."
        )
    for path in found:
        if path.suffix in {".csv", ".gz", ".xlsx", ".toml", ".json", ".md"}:
            path.unlink()
