"""The build history marks what is out of the ordinary in words and by a sign."""

from __future__ import annotations

from pathlib import Path

from PIL import Image

from tests.pages.conftest import Open, unfold, words
from tracegraph.analysis.cluster import cluster_cases
from tracegraph.domain.definition import CaseDefinition
from tracegraph.intake.load import load_folder
from tracegraph.report.peers import MARKS
from tracegraph.store import StoreDirectory, open_store


def test_findings_carry_a_sign_and_a_word(sample_store: Path, visit: Open) -> None:
    at = visit(sample_store, "history", hull="S26-0095")
    assert "It proves no fault and blames nobody." in words(at)
    found = next(f.value for f in at.dataframe if "finding" in f.value.columns)
    assert "missing record" in set(found["finding"])
    assert list(found[""]) == [MARKS[kind] for kind in found["finding"]]
    unfold(at, "places")
    words(at)
    assert any("place among peers, %" in f.value.columns for f in at.dataframe)


def test_another_hull_typed_anyhow_is_put_beside(sample_store: Path, visit: Open) -> None:
    at = visit(sample_store, "history", hull="S26-0095", beside=" s26 0096")
    said = words(at)
    assert "S26-0095 and S26-0096 share " in said
    apart = next(f.value for f in at.dataframe if "S26-0096" in f.value.columns)
    assert (apart["S26-0095"] != apart["S26-0096"]).all()
    at.text_input(key="field: beside").set_value("S99-1").run()
    assert "S99-1" in words(at)
    at.text_input(key="field: beside").set_value("").run()
    assert "share" not in words(at)


def test_unaffected_hulls_of_the_same_model_are_put_beside(sample_store: Path, visit: Open) -> None:
    with open_store(sample_store) as store:
        cases = cluster_cases(store, CaseDefinition(symptoms=("blister",))).frame
    hull = str(cases["hull_serial"].iloc[0])
    at = unfold(visit(sample_store, "history", hull=hull), "unaffected")
    assert "1 affected hull beside " in words(at)


def test_pictures_of_checks_are_shown_or_the_reason_is_said(tmp_path: Path, visit: Open) -> None:
    folder = tmp_path / "records"
    (folder / "photos").mkdir(parents=True)
    Image.new("RGB", (60, 40), "navy").save(folder / "photos" / "a.jpg")
    (folder / "hulls.csv").write_text("hull_serial,model,completed_on\nH1,S22,2025-01-02\n")
    (folder / "inspections.csv").write_text(
        "inspection_id,hull_serial,checkpoint,at,result,photo\n"
        "I1,H1,water test,2025-01-03 10:00,fail,photos/a.jpg\n"
        "I2,H1,water test,2025-01-04 10:00,pass,../outside.jpg\n"
        "I3,H1,haul-out,2025-01-05 10:00,pass,gone.png\n"
    )
    report = load_folder(folder, StoreDirectory(tmp_path / "store"), fresh=True)
    assert [one.reason for one in report.left_out] == [
        "a picture, shown beside the checks that name it"
    ]
    at = unfold(visit(tmp_path / "store", "history", hull="H1"), "photos")
    said = words(at)
    assert "water test: fail (photos/a.jpg)" in said
    assert "No picture of ../outside.jpg: its name leads out of the folder of records." in said
    assert "No picture of gone.png: it does not lie in a folder of records" in said
    assert "There is nothing to draw: no such record." in said
