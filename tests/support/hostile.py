"""A store in which every text that a person or a supplier can write tries to be something else."""

from __future__ import annotations

import csv
from pathlib import Path

from tests.pages.test_pages import HOSTILE, hostile_folder
from tests.support.case_entries import opened
from tracegraph.cases import CaseStore, default_cases_url
from tracegraph.domain.acts import CLAIM_TO_HULL, Act
from tracegraph.domain.holding import HoldAct, hold_name
from tracegraph.intake import load_folder
from tracegraph.intake.acting import act_on_records
from tracegraph.store import StoreDirectory
from tracegraph.store.acts import append_hold_acts

FORMULA = '=HYPERLINK("x","y")'
TURNED = "\u202egnp.exe\u202c שלום العربية"
BOATS = "🛥️⛵🚤"
LONG = "W" * 9_988 + "<b>x</b>end."
TEXTS = (HOSTILE, FORMULA, TURNED, BOATS, LONG)
NOW = "2026-03-09T08:00:00+00:00"
LOT = ("deck: gelcoat spray: gelcoat lot", HOSTILE)
NEAR = ("BT-1OO4<i>x</i>", "BT-1004<i>x</i>")
"""A number as it was written, and the hull whose number is near it."""


def hostile_store(folder: Path) -> Path:
    """A store of hostile records, file names, near matches, holds and one case file.

    Parameters
    ----------
    folder : Path
        An empty folder; the store is made inside it.
    """
    records = hostile_folder(folder)
    _add(records / "hulls.csv", {"hull_serial": NEAR[1], "model": HOSTILE,
                                 "in_service_on": "2025-03-01"})  # fmt: skip
    for number, text in enumerate(TEXTS):
        claim = {"claim_no": f"N{number}", "hull_serial": NEAR[0], "symptom": text,
                 "opened_on": "2025-09-01", "note": text}  # fmt: skip
        _add(records / "claims.csv", claim)
        _add(records / "claims.csv", claim | {"claim_no": f"S{number}", "opened_on": text})
    (records / f"{HOSTILE.replace('/', '')}.csv").write_text("what,ever\n1,2\n", encoding="utf-8")
    directory = StoreDirectory(folder / "store")
    load_folder(records, directory, fresh=True)
    for text in TEXTS:
        for what in ("accept", "undo"):
            act_on_records(directory, Act(NOW, text, what, CLAIM_TO_HULL, *NEAR, text))  # type: ignore[arg-type]  # both words are used
    append_hold_acts(
        directory.path,
        [
            HoldAct(NOW, text, hold_name([LOT]), "state", "notified", "H1", "2026-03-09", text)
            for text in TEXTS
        ],
    )
    files = CaseStore(default_cases_url(directory.path))
    for text in TEXTS:
        case_no = files.open_case(text, opened(title=text, sentence=text)[1]).case_no
        line = {"branch": text, "text": text, "evidence": []}
        files.append(case_no, text, "noted", {"form": "note", "lines": [line]})
    return directory.path


def _add(path: Path, row: dict[str, str]) -> None:
    with path.open(encoding="utf-8", newline="") as file:
        heads = next(csv.reader(file))
    with path.open("a", encoding="utf-8", newline="") as file:
        csv.DictWriter(file, heads, restval="").writerow(row)
