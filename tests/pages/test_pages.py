"""Every page, through Streamlit's own test driver, on the sample and on hostile records."""

from __future__ import annotations

import csv
import shutil
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from tests.pages.conftest import Open, loaded, press, ranked, unfold, words
from tests.support.case_entries import opened
from tracegraph.cases.engine import default_cases_url
from tracegraph.cases.store import CaseStore
from tracegraph.intake.load import load_folder
from tracegraph.pages import behind
from tracegraph.pages.asked import Asked
from tracegraph.pages.navigation import PAGES
from tracegraph.store import StoreDirectory

HOSTILE = "<img src=x onerror=alert(1)> **b** $x$ :blue[y] [z](javascript:alert(1))"
BLISTER_LOT = {"factor": "hull: gelcoat spray: gelcoat lot", "level": "GW-2147"}


def test_overview_answers_first_and_links_to_the_clusters(sample_store: Path, visit: Open) -> None:
    at = ranked(visit(sample_store))
    said = words(at)
    assert "of 1,200 hulls have a claim: 1,334 claim lines" in said
    # The planted causes of the sample's answer key.
    assert "Blister: 22 of 55 hulls with hull: gelcoat spray: gelcoat lot GW-2147" in said
    assert "hull: fuel hose: lot FH-00342" in said
    assert "May hurt someone: refer to a person today." in said
    assert "Steering stiffness" not in said
    assert "No shared factor stands out in 12 of 17 clusters" in said
    assert "These are the first records in this store" in said


def test_ranking_shows_what_it_has_and_can_be_stopped(
    tmp_path: Path, sample_store: Path, visit: Open, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = tmp_path / "store"
    shutil.copytree(sample_store, store)
    (found,) = store.glob("*.found.jsonl")
    kept = found.read_text(encoding="utf-8").splitlines(keepends=True)
    found.write_text("".join(kept[:-3]), encoding="utf-8")
    monkeypatch.setattr(behind, "_PATIENCE", 0)
    at = visit(store)
    assert "Being ranked: " in words(at)
    next(button for button in at.button if button.label == "Stop").click().run()
    assert "Stopped: ranked " in words(at)
    assert "678 of 1,200 hulls have a claim" in words(at)
    next(button for button in at.button if button.label == "Go on").click().run()
    assert "No shared factor stands out in 12 of 17 clusters" in words(ranked(at))


def test_what_changed_since_the_records_before_is_told(tmp_path: Path, visit: Open) -> None:
    store = tmp_path / "store"
    load_folder(hostile_folder(tmp_path), StoreDirectory(store), fresh=True)
    more = tmp_path / "more"
    more.mkdir()
    _write(
        more / "claims.csv",
        [{"claim_no": "N1", "hull_serial": "H7", "opened_on": "2026-01-05", "symptom": "leak"}],
    )
    load_folder(more, StoreDirectory(store))
    said = words(unfold(visit(store), "then-and-now"))
    assert "1 new claim line (7 now), no new hulls (8 now)" in said
    assert "Rose: leak 0 to 1 hulls." in said


def test_cluster_ranks_and_keeps_the_suspect_in_the_address(
    sample_store: Path, visit: Open
) -> None:
    at = visit(sample_store, "cluster", symptom="blister")
    said = words(at)
    assert (
        "26 of 30 affected hulls carry hull: gelcoat spray: gelcoat lot GW-2147, where 3.5" in said
    )
    assert "Association is not fault" in said
    assert dict(at.query_params) == {"symptom": "blister"} | BLISTER_LOT
    table = at.dataframe[0].value
    # The lot on any part is carried by the same hulls, and folded into its row.
    assert table["shared factor"].iloc[0] == ("hull: gelcoat spray: gelcoat lot GW-2147 (+1 alike)")
    assert table["cases"].iloc[0] == 26


def test_choosing_another_suspect_changes_words_and_address(
    sample_store: Path, visit: Open
) -> None:
    at = visit(sample_store, "cluster", symptom="blister")
    names = at.selectbox(key="field: suspect").options
    number = next(
        place for place, name in enumerate(names, 1) if name.endswith("fuel tank: lot TK-00338")
    )
    at.selectbox(key="field: suspect").set_value(number).run()
    assert "hulls with hull: fuel tank: lot TK-00338 are affected" in words(at)
    assert at.query_params["factor"] == "hull: fuel tank: lot"
    assert at.selectbox(key="field: suspect").value == number


def test_time_conditions_and_pairs_stand_on_the_cluster_page(
    sample_store: Path, visit: Open
) -> None:
    at = unfold(visit(sample_store, "cluster", symptom="void"), "measured", "pairs")
    said = words(at)
    assert "32 first claims of hulls built in 16 periods." in said
    assert "hull: mold pulls since repair is higher on affected hulls" in said
    assert "Rank test of hull: mold pulls since repair: " in said
    assert "A pair never stands before the leading level" in said
    tables = [list(table.value.columns) for table in at.dataframe]
    assert any("p within weeks" in columns for columns in tables)


def test_a_suspect_is_looked_at_closer(sample_store: Path, visit: Open) -> None:
    at = unfold(visit(sample_store, "cluster", symptom="void"), "closer")
    said = words(at)
    assert "times as often at matched months in service" in said
    assert "Within each model" in [heading.value for heading in at.subheader]
    assert any(
        heading.value.startswith("Hulls that tell the two apart") for heading in at.subheader
    )
    third = at.selectbox(key="field: beside").options[2]
    at.selectbox(key="field: beside").set_value(third).run()
    assert words(at) != said
    assert at.query_params["view"] == f"beside:{third}"
    link = [f"beside:{third}", "open:closer"]
    mailed = visit(sample_store, "cluster", symptom="void", view=link)
    assert mailed.selectbox(key="field: beside").value == third
    unknown = visit(sample_store, "cluster", symptom="void", view=["beside:none such", "x"])
    assert unfold(unknown, "closer").selectbox(key="field: beside").value != third


def test_the_order_of_fisher_is_one_control_away(sample_store: Path, visit: Open) -> None:
    at = visit(sample_store, "cluster", symptom="blister")
    assert at.dataframe[0].value["expected"].iloc[0] == pytest.approx(3.5, abs=0.05)
    at.selectbox(key="field: order").set_value("fisher").run()
    assert "22 of 23 affected hulls with a record carry" in words(at)
    assert at.query_params["order"] == "fisher"
    assert at.dataframe[0].value["affected with it"].iloc[0] == "22 of 55"
    back = visit(sample_store, "cluster", symptom="blister", order="fisher")
    assert back.selectbox(key="field: order").value == "fisher"


def test_a_mark_of_the_graph_is_chosen_and_its_lines_are_listed(
    sample_store: Path, visit: Open
) -> None:
    at = visit(sample_store, "cluster", symptom="blister")
    at.selectbox(key="field: mark").set_value("suspects:0").run()
    said = next(line for line in words(at).splitlines() if line.startswith("Suspects: "))
    lines = next(frame.value for frame in at.dataframe if "kind of line" in frame.value.columns)
    assert set(lines["to"]) == {said.removeprefix("Suspects: ").removesuffix(".")}
    assert at.query_params["mark"] == "suspects:0"
    assert said in words(visit(sample_store, "cluster", symptom="blister", mark="suspects:0"))
    assert "Suspects: " not in words(visit(sample_store, "cluster", symptom="blister", mark="x"))


def test_affected_hulls_lead_to_their_build_history(sample_store: Path, visit: Open) -> None:
    at = visit(sample_store, "cluster", symptom="blister")
    at.selectbox(key="field: hull of list").set_value("S26-0095").run()
    words(at)
    ways = {link.proto.label: link.proto for link in at.get("page_link")}
    assert "S26-0095" in ways["Its build history"].query_string
    assert "symptom=blister" in ways["Its build history"].query_string


def test_a_mailed_link_opens_on_its_suspect(sample_store: Path, visit: Open) -> None:
    at = visit(
        sample_store, "cluster", symptom="blister", factor="hull: fuel tank: lot", level="TK-00338"
    )
    assert "hulls with hull: fuel tank: lot TK-00338 are affected" in words(at)


def test_another_symptom_starts_with_its_own_first_suspect(sample_store: Path, visit: Open) -> None:
    at = visit(sample_store, "cluster", symptom="blister", **BLISTER_LOT)
    at.selectbox(key="field: symptom").set_value("void").run()
    said = words(at)
    assert "24 of 32 affected hulls carry hull: mold S22-H2, where 3.8 were to be expected." in said
    assert at.query_params["symptom"] == "void"
    assert at.query_params["level"] == "S22-H2"


def test_a_control_that_is_raised_holds_the_first_suspect_back(
    sample_store: Path, visit: Open
) -> None:
    at = visit(sample_store, "cluster", symptom="blister")
    assert "a control is raised" not in words(at)
    at.multiselect(key="field: control").set_value(["fading"]).run()
    assert "a control is raised" in words(at)
    assert at.query_params["control"] == "fading"
    # A link says the same; what is ranked is no control of itself.
    assert "a control is raised" in words(
        visit(sample_store, "cluster", symptom="blister", control="fading")
    )
    at.selectbox(key="field: symptom").set_value("fading").run()
    words(at)
    assert at.multiselect(key="field: control").value == []
    assert "control" not in at.query_params


def test_the_definition_survives_a_change_of_page(sample_store: Path, visit: Open) -> None:
    at = visit(sample_store, "cluster", symptom="blister")
    at.multiselect(key="field: model").set_value(["S22"]).run()
    at.switch_page("tracegraph/pages/records.py").run()
    words(at)
    at.switch_page("tracegraph/pages/cluster.py").run()
    assert at.multiselect(key="field: model").value == ["S22"]
    assert at.selectbox(key="field: symptom").value == "blister"
    assert at.query_params["model"] == "S22"
    assert set(at.dataframe[-1].value["model"]) == {"S22"}


def test_a_quiet_cluster_says_so_and_is_still_safe(sample_store: Path, visit: Open) -> None:
    said = words(visit(sample_store, "cluster", symptom="steering stiffness"))
    assert "No shared factor stands out." in said
    # The claims are of safety class 1, whatever the ranking says.
    assert "Safety class 1: refer to a person today" in said


def test_people_are_hidden_until_a_reason_is_given(sample_store: Path, visit: Open) -> None:
    at = unfold(visit(sample_store, "cluster", symptom="void"), "all-levels")
    assert not at.dataframe[-1].value["kind"].eq("people").any()
    at.toggle(key="field: people on").set_value(True).run()
    assert "Until there is a reason they stay hidden." in words(at)
    assert not at.dataframe[-1].value["kind"].eq("people").any()
    at.text_input(key="field: people reason").set_value("training records").run()
    said = words(at)
    assert at.dataframe[-1].value["kind"].eq("people").any()
    assert "Reason given: training records" in said
    assert "reason" not in " ".join(at.query_params)
    at.toggle(key="field: people on").set_value(False).run()
    assert not at.dataframe[-1].value["kind"].eq("people").any()


@pytest.mark.parametrize("number", ["S26-0095", "s26 0095", "W10657", "J20095", "QZX00095A323"])
def test_history_opens_on_any_number_of_the_hull(
    sample_store: Path, visit: Open, number: str
) -> None:
    said = words(visit(sample_store, "history", hull=number))
    assert "Hull S26-0095, S26: 5 claim lines." in said
    assert "maker QZX, serial 00095" in said
    assert "Not in the records: hatch laminate laminating resin lot." in said


def test_history_without_a_number_asks_for_one(sample_store: Path, visit: Open) -> None:
    at = visit(sample_store, "history")
    assert "Which hull?" in words(at)
    at.text_input(key="field: hull").set_value("S26-0095").run()
    assert "Hull S26-0095" in words(at)
    assert at.query_params["hull"] == "S26-0095"


def test_history_hides_people_until_a_reason_is_given(sample_store: Path, visit: Open) -> None:
    at = visit(sample_store, "history", hull="S26-0095")
    unfold(at, "operations", "genealogy")
    assert "person" not in at.dataframe[0].value.columns
    assert "person" not in at.code[0].value
    at.toggle(key="field: people on").set_value(True).run()
    at.text_input(key="field: people reason").set_value("training").run()
    assert "person" in at.dataframe[0].value.columns
    assert "person SP-" in at.code[0].value


def test_containment_counts_and_offers_the_hold_list(sample_store: Path, visit: Open) -> None:
    at = visit(
        sample_store, "containment", symptom="fuel smell", factor="hull: fuel hose: lot",
        level="FH-00342",
    )  # fmt: skip
    said = words(at)
    assert "39 hulls carry hull: fuel hose: lot FH-00342 on record; 2 more may" in said
    assert "proves no defect and blames nobody" in said
    assert len(at.dataframe[1].value) == 41
    at.selectbox(key="field: grade").set_value("recorded").run()
    assert at.query_params["view"] == "grade:recorded"
    assert len(at.dataframe[1].value) == 39
    labels = [button.label for button in at.get("download_button")]
    assert {"Hold list as Excel", "Hold list as CSV"} <= set(labels)


def test_containment_without_a_suspect_points_to_the_cluster(
    sample_store: Path, visit: Open
) -> None:
    at = visit(sample_store, "containment")
    assert "Which suspect?" in words(at)
    at.selectbox(key="field: factor").set_value("hull: mold").run()
    at.selectbox(key="field: level").set_value("S22-H2").run()
    assert "carry hull: mold S22-H2 on record" in words(at)


def test_records_add_up(sample_store: Path, visit: Open) -> None:
    at = visit(sample_store, "records")
    assert "became records, 8 set aside" in words(at)
    ledger = at.dataframe[0].value
    parts = ledger[["loaded", "set aside", "repeats", "titles, blanks"]].sum(axis=1)
    assert (ledger["rows seen"] == parts).all()


@pytest.mark.parametrize(
    ("page", "address", "sentence"),
    [
        ("cluster", {"symptom": "blistr"}, "Near: blister."),
        ("cluster", {"from": "soon"}, "from in the address must be a date like 2026-03-09"),
        ("cluster", {"from": "2026-01-01", "to": "2025-01-01"}, "built_from must not lie after"),
        ("history", {"hull": "S99-1234"}, "S99-1234"),
        ("history", {"hull": "lot:gelcoat|GW-2147"}, "hull, claim or part"),
        ("containment", {"factor": "hull: mold", "level": "NONE"}, "NONE"),
        ("containment", {"factor": "no such", "level": "x"}, "no such"),
        ("records", {"store": "../../etc"}, "store in the address must name a store beside"),
    ],
)
def test_mistakes_are_sentences(
    sample_store: Path, visit: Open, page: str, address: dict[str, str], sentence: str
) -> None:
    at = visit(sample_store, page, **address)
    assert sentence in words(at)


@pytest.mark.parametrize("page", PAGES)
def test_without_records_every_page_offers_to_load(tmp_path: Path, visit: Open, page: str) -> None:
    at = visit(tmp_path / "none", page)
    assert "No records yet. Load the sample, or your own." in words(at)
    labels = ["Load the sample", "Load this folder", "Load these files"]
    assert [button.label for button in at.button] == labels


def test_every_figure_has_its_table(sample_store: Path, visit: Open) -> None:
    for page, address, names in (
        ("overview", {}, ("claim-rates", "symptoms")),
        (
            "cluster",
            {"symptom": "blister"},
            ("build-order", "convergence-members", "ladder", "left-out"),
        ),
        ("history", {"hull": "S26-0095"}, ("operations", "readings")),
    ):
        at = visit(sample_store, page, **address)
        before = len(at.dataframe)
        unfold(at, *names)
        words(at)
        assert len(at.dataframe) == before + len(names)


def test_rows_set_aside_can_be_read_whole(sample_store: Path, visit: Open) -> None:
    at = unfold(visit(sample_store, "records"), "rows", "columns")
    words(at)
    rows = next(frame.value for frame in at.dataframe if "whole row" in frame.value.columns)
    assert len(rows) == 8
    at.selectbox(key="field: file").set_value("parts.csv").run()
    rows = next(frame.value for frame in at.dataframe if "whole row" in frame.value.columns)
    assert set(rows["file"]) == {"parts.csv"}


def test_more_records_can_be_loaded_from_the_records_page(tmp_path: Path, visit: Open) -> None:
    store = tmp_path / "store"
    load_folder(hostile_folder(tmp_path), StoreDirectory(store), fresh=True)
    more = tmp_path / "more"
    more.mkdir()
    _write(more / "hulls.csv", [{"hull_serial": "H9", "model": "S18"}])
    at = unfold(visit(store, "records"), "load")
    at.text_input[0].set_value(str(more)).run()
    press(at, "Load this folder")
    at = loaded(at, store)
    assert "39 rows seen in 6 files and sheets" in words(at)


def test_a_folder_of_ones_own_is_loaded(tmp_path: Path, visit: Open) -> None:
    folder = hostile_folder(tmp_path)
    at = visit(tmp_path / "store")
    at.text_input[0].set_value(str(tmp_path / "nowhere")).run()
    press(at, "Load this folder")
    assert "there is none at" in words(at)
    at.text_input[0].set_value(str(folder)).run()
    at = loaded(press(at, "Load this folder"), tmp_path / "store")
    assert "6 of 8 hulls have a claim" in words(at)


def test_two_loads_at_once_are_refused_in_words(tmp_path: Path, visit: Open) -> None:
    folder = hostile_folder(tmp_path)
    at = visit(tmp_path / "store")
    at.text_input[0].set_value(str(folder)).run()
    with StoreDirectory(tmp_path / "store").loading():
        at = loaded(press(at, "Load this folder"), tmp_path / "store")
        assert "Another load is writing to" in words(at)
    at.text_input[0].set_value(str(folder)).run()
    at = loaded(press(at, "Load this folder"), tmp_path / "store")
    assert "6 of 8 hulls have a claim" in words(at)


def test_two_sessions_keep_to_themselves(sample_store: Path, visit: Open) -> None:
    one = visit(sample_store, "cluster", symptom="blister")
    two = visit(sample_store, "cluster", symptom="void")
    one.multiselect(key="field: model").set_value(["S22"]).run()
    two.run()
    assert two.multiselect(key="field: model").value == []
    assert "carry hull: mold S22-H2, where" in words(two)
    # What sessions share is never changed: a third one finds it as the second did.
    assert words(visit(sample_store, "cluster", symptom="void")) == words(two)


def test_a_new_load_is_seen_by_an_open_session(tmp_path: Path, visit: Open) -> None:
    folder = hostile_folder(tmp_path)
    store = tmp_path / "store"
    load_folder(folder, StoreDirectory(store), fresh=True)
    at = visit(store)
    assert "6 of 8 hulls have a claim" in words(at)
    more = tmp_path / "more"
    more.mkdir()
    _write(
        more / "claims.csv",
        [{"claim_no": "N1", "hull_serial": "H7", "opened_on": "2026-01-05", "symptom": "leak"}],
    )
    load_folder(more, StoreDirectory(store))
    at.run()
    said = words(at)
    assert "The records were loaded anew" in said
    assert "7 of 8 hulls have a claim" in said


def test_stores_that_lie_together_can_be_chosen(
    tmp_path: Path, sample_store: Path, visit: Open
) -> None:
    shutil.copytree(sample_store, tmp_path / "one")
    load_folder(hostile_folder(tmp_path), StoreDirectory(tmp_path / "two"), fresh=True)
    at = visit(tmp_path / "one")
    assert "1,200 hulls" in words(at)
    at.selectbox(key="field: store").set_value("two").run()
    assert "6 of 8 hulls have a claim" in words(at)
    assert at.query_params["store"] == "two"


@pytest.mark.parametrize("page", PAGES)
def test_record_texts_reach_no_element_that_reads_markdown_or_html(
    tmp_path: Path, visit: Open, page: str
) -> None:
    store = tmp_path / "store"
    load_folder(hostile_folder(tmp_path), StoreDirectory(store), fresh=True)
    at = visit(
        store, page, symptom=HOSTILE.lower(), hull="H1", factor="deck: gelcoat spray: gelcoat lot",
        level=HOSTILE,
    )  # fmt: skip
    said = words(at)
    assert page in ("records", "methods") or HOSTILE.lower() in said.lower()
    read_as_markup = [
        element.value
        for kind in ("markdown", "caption", "title", "header", "subheader", "error", "warning",
                     "info", "success")
        for element in at.get(kind)
    ]  # fmt: skip
    labels = [
        getattr(element, "label", "")
        for kind in ("selectbox", "text_input", "button", "expander", "download_button", "toggle")
        for element in at.get(kind)
    ]
    for text in [*read_as_markup, *labels]:
        assert "onerror" not in str(text)


def hostile_folder(folder: Path) -> Path:
    """Eight hulls, six with a claim, whose texts try to be Markdown, HTML and formulas."""
    records = folder / "records"
    records.mkdir()
    serials = [f"H{n}" for n in range(1, 9)]
    _write(
        records / "hulls.csv",
        [
            {
                "hull_serial": s,
                "model": HOSTILE,
                "completed_on": "2025-01-20",
                "in_service_on": "2025-03-01",
                "place": "owner",
            }
            for s in serials
        ],
    )
    _write(
        records / "parts.csv",
        [
            {"part_serial": f"D-{s}", "part": "deck", "hull_serial": s, "mold_no": HOSTILE}
            for s in serials
        ],
    )
    _write(
        records / "operations.csv",
        [
            {
                "operation_id": f"O-{s}",
                "step": "gelcoat spray",
                "part_serial": f"D-{s}",
                "equipment": HOSTILE,
                "operator": HOSTILE,
                "started_at": f"2025-01-{n:02d} 08:00",
            }
            for n, s in enumerate(serials, 1)
        ],
    )
    _write(
        records / "usages.csv",
        [
            {
                "operation_id": f"O-{s}",
                "material": "gelcoat",
                "lot_no": HOSTILE if n <= 6 else "G-2",
            }
            for n, s in enumerate(serials, 1)
        ],
    )
    _write(
        records / "claims.csv",
        [
            {
                "claim_no": f"C{n}",
                "hull_serial": s,
                "opened_on": "2025-09-01" if n < 6 else "2026-01-01",
                "failed_on": "2025-09-01" if n < 6 else "2026-01-01",
                "symptom": HOSTILE,
                "note": "=2+5",
            }
            for n, s in enumerate(serials[:6], 1)
        ],
    )
    return records


def _write(path: Path, rows: list[dict[str, str]]) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)


def test_open_cases_stand_on_the_overview(
    tmp_path: Path, visit: Open, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("TRACEGRAPH_CASES", raising=False)
    store = tmp_path / "store"
    load_folder(hostile_folder(tmp_path), StoreDirectory(store), fresh=True)
    assert "No case file yet." in words(visit(store))
    assert not (tmp_path / "cases.sqlite").exists()
    kind, content = opened(safety_class=1)
    assert kind == "opened"
    CaseStore(default_cases_url(store)).open_case("QL-1", content)
    at = unfold(visit(store), "cases")
    assert "1 of 1 case files open, nothing overdue." in words(at)
    assert at.dataframe[-1].value["case"].tolist() == ["C-0001"]
    # What may hurt someone stands above everything.
    assert at.text[0].value.startswith("C-0001 Voids: Refer to a person today")


def units(at: AppTest) -> set[str]:
    return {unit for f in at.dataframe if "unit" in f.value for unit in f.value["unit"].dropna()}


def test_a_reader_chooses_dates_numbers_and_units_for_all_pages(
    sample_store: Path, visit: Open
) -> None:
    at = unfold(visit(sample_store, "history", hull="S26-0095"), "places")
    assert "°C" in units(at)
    at.selectbox(key="field: temperature").set_value("degF").run()
    at.selectbox(key="field: dates").set_value("dmy").run()
    at.selectbox(key="field: decimal").set_value("comma").run()
    assert (at.query_params["temperature"], at.query_params["dates"]) == ("degF", "dmy")
    assert "°F" in units(at)
    assert "°C" not in units(at)
    at.switch_page("tracegraph/pages/overview.py").run()
    said = words(at)
    assert "678 of 1\u202f200 hulls have a claim" in said
    assert "built 21.09.2022 to 27.05.2026" in said
    # Another reader is not disturbed.
    assert "678 of 1,200 hulls have a claim" in words(visit(sample_store))
    assert "dates in the address must be" in words(visit(sample_store, dates="x"))


def test_numbers_lead_to_how_they_are_made(sample_store: Path, visit: Open) -> None:
    at = visit(sample_store, "cluster", symptom="blister")
    ways = [way.proto for way in at.get("page_link") if way.proto.label == "How it is made"]
    assert {"symptom=blister"} <= set(ways[0].query_string.split("&"))
    assert any("section=the-order-of-evidence-the-usual-one" in way.query_string for way in ways)
    read = visit(sample_store, "methods", section="the-order-of-evidence-the-usual-one")
    words(read)
    assert [heading.value for heading in read.header] == ["The order of evidence (the usual one)"]
    assert any("Risk sets" in text.value for text in read.markdown)
    read.selectbox(key="field: section").set_value("exposure-three-answers").run()
    assert [heading.value for heading in read.header] == ["Exposure: three answers"]
    assert read.query_params["section"] == "exposure-three-answers"


def test_a_ranking_that_is_not_waited_for_leaves_what_is_known(tmp_path: Path, visit: Open) -> None:
    store = tmp_path / "store"
    load_folder(hostile_folder(tmp_path), StoreDirectory(store), fresh=True)
    at = visit(store)
    asked = Asked()
    at.session_state["stopped waiting for"] = repr(
        (asked.definition(), asked.order, asked.control, True)
    )
    at.switch_page("tracegraph/pages/cluster.py").run()
    said = words(at)
    assert "Stopped: ranking what the affected hulls share is not waited for." in said
    assert "6 hulls affected in all" in said
    assert len(at.dataframe) == 1
    next(button for button in at.button if button.label == "Go on").click().run()
    said = words(at)
    assert "Stopped: " not in said
    assert "6 of 6 affected hulls" in said


def test_records_of_another_version_are_told_with_the_way_out(
    tmp_path: Path, visit: Open, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = tmp_path / "store"
    with monkeypatch.context() as older:
        older.setattr("tracegraph.store.writer.SCHEMA_VERSION", 1)
        load_folder(hostile_folder(tmp_path), StoreDirectory(store), fresh=True)
    said = words(visit(store))
    assert "was made by another version of tracegraph" in said
    assert "Load the records anew, all of them: tracegraph load FOLDER --fresh." in said
