from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pandas as pd
import pytest

from tests.support.case_entries import SUSPECT, opened, ranked
from tracegraph.cases import CaseStore, kept_case_files
from tracegraph.domain.definition import CaseDefinition
from tracegraph.report.casefile.on_file import on_file


def ranking(level: str = "M-2", symptom: str = "void", people: str | None = None) -> Any:
    return SimpleNamespace(
        frame=pd.DataFrame({"family": ["hull: mold"], "level": [level]}),
        definition=CaseDefinition(symptoms=(symptom,)),
        people_reason=people,
    )


def found(hull: str) -> dict[str, Any]:
    carrying = [{"hull": hull, "family": "hull: mold", "level": "M-2", "carries": True}]
    return {
        "hull": hull, "what": "w", "result": "r", "found": True, "claimed": False,
        "carrying": carrying,
    }  # fmt: skip


@pytest.fixture
def files(tmp_path: Path) -> CaseStore:
    return CaseStore(f"sqlite:///{tmp_path / 'cases.sqlite'}")


def case(files: CaseStore, inspected: int, **more: Any) -> str:
    number = files.open_case("QL-1", opened(**more)[1]).case_no
    files.append(number, "QL-1", "ranked", ranked(suspects=[{**SUSPECT, "round": 1}])[1])
    for hull in range(inspected):
        files.append(number, "QE-1", "inspected", found(f"B-{hull}"))
    return number


def test_inspections_that_decide_are_told_beside_the_ranking(files: CaseStore) -> None:
    case(files, 1)
    assert on_file(files, ranking()) == ()  # ten to one does not decide
    number = case(files, 2)
    (said,) = on_file(files, ranking())
    assert said.startswith(f"On file, {number}: M-2 (hull: mold): evidence level 3: corroborated")


def test_other_symptoms_and_other_levels_are_not_told(files: CaseStore) -> None:
    case(files, 2)
    assert on_file(files, ranking(symptom="blister")) == ()
    assert on_file(files, ranking(level="M-3")) == ()


def test_a_case_that_shows_people_is_told_only_where_they_are_shown(files: CaseStore) -> None:
    case(files, 2, people_reason="training records")
    assert on_file(files, ranking()) == ()
    assert len(on_file(files, ranking(people="training records"))) == 1


def test_no_case_files_are_made_by_asking(tmp_path: Path) -> None:
    store = tmp_path / "store"
    assert kept_case_files(store) is None
    assert on_file(None, ranking()) == ()
    assert list(tmp_path.iterdir()) == []
