"""Each figure shows its frame: the right marks, in the right order, with literal text."""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import pandas as pd
import pytest

from tests.analysis.small_plant import plant_records, plant_store
from tests.analysis.test_cluster import BLISTER
from tests.analysis.test_cluster import _store as lot_store
from tests.analysis.test_overview import CLAIMS, HULLS
from tests.analysis.test_overview import _store as claim_store
from tests.report.rankings import Cells, frame_of
from tests.support.records import build_of
from tracegraph.analysis.cluster import build_strip, cluster_cases
from tracegraph.analysis.convergence import Convergence, convergence
from tracegraph.analysis.history import history
from tracegraph.analysis.overview import claim_rates, pareto
from tracegraph.analysis.ranking import rank
from tracegraph.linkage import link_records
from tracegraph.report.charts import (
    Chart,
    convergence_chart,
    pareto_chart,
    rates_chart,
    readings_chart,
    strip_chart,
    suspects_chart,
    timeline_chart,
)
from tracegraph.report.charts.convergence import (
    convergence_table,
    mark_names,
    mark_sentence,
    members_table,
)
from tracegraph.report.charts.rates import FEWEST_FOLLOWED
from tracegraph.store.reader import as_store

HOSTILE = "<b>x</b> $y$ :blue[z] &lt;"

TABLES: list[Cells] = [
    (9, 52, 3, 1017),
    (9, 0, 0, 40),
    (0, 9, 7, 14),
    (4, 6, 0, 0),
]


def _texts(chart: Chart) -> list[str]:
    """Every text that plotly would parse."""
    found: list[str] = []

    def walk(value: Any, key: str) -> None:
        if isinstance(value, dict):
            for name, inner in value.items():
                walk(inner, name)
        elif isinstance(value, list | tuple):
            for inner in value:
                walk(inner, key)
        elif isinstance(value, str) and key in ("text", "hovertext", "ticktext", "name"):
            found.append(value)

    walk(json.loads(chart.figure.to_json()), "")
    return found


def _traces(chart: Chart, mode: str) -> list[Any]:
    return [trace for trace in chart.figure.data if trace.type == "scatter" and trace.mode == mode]


def test_suspects_have_a_dot_where_the_ratio_is_finite_and_an_arrow_where_it_is_open() -> None:
    chart = suspects_chart(frame_of(TABLES))
    dots = _traces(chart, "markers")[0]
    # 9 of 9 against 0 of 40 has no finite ratio; 4 of 10 with nobody else no ratio at all.
    assert sorted(dots["customdata"]) == [2, 3]
    assert len(_traces(chart, "lines+markers")) == 1
    assert len(_traces(chart, "lines")) == 2
    assert list(dots["marker"]["symbol"]) == ["circle", "circle-open"]
    axis = chart.figure.layout.yaxis
    assert axis.type == "category"
    assert list(axis.categoryarray) == ["1", "2", "3", "4"]
    assert "no difference" in _texts(chart)
    assert len(chart.table.frame) == 4


def test_levels_that_look_like_numbers_stay_names() -> None:
    chart = suspects_chart(frame_of([(9, 52, 3, 1017)] * 3, ["11.1", "11.10", "2026-01"]))
    labels = list(chart.figure.layout.yaxis.ticktext)
    assert labels == [
        f"deck: gelcoat spray: gelcoat lot {name}" for name in ("11.1", "11.10", "2026-01")
    ]


def test_names_that_shorten_alike_keep_rows_of_their_own() -> None:
    names = [f"{'same beginning ' * 4}{n}{' same ending' * 4}" for n in (1, 2)]
    chart = suspects_chart(frame_of([(9, 52, 3, 1017)] * 2, names))
    dots = _traces(chart, "markers")[0]
    assert list(dots["y"]) == ["1", "2"]


def test_an_empty_ranking_still_draws() -> None:
    chart = suspects_chart(frame_of(TABLES).iloc[:0])
    assert chart.alt == "No suspect to show."


def test_rates_draw_complete_months_filled_and_others_open() -> None:
    hulls = [
        {
            "hull_serial": f"{month}-{n}",
            "model": "S18",
            "completed_on": f"2025-{month}-10",
            "in_service_on": f"2025-{month}-20" if n < keep else None,
            "place": "owner" if n < keep else "dealer",
        }
        for month, keep in (("01", 8), ("02", 6), ("03", 4))
        for n in range(8)
    ]
    rates = claim_rates(claim_store(hulls, CLAIMS), marks=(3,))
    chart = rates_chart(rates.frame)
    marks = _traces(chart, "markers")[0]
    assert FEWEST_FOLLOWED == 5
    assert list(marks["marker"]["symbol"]) == ["circle", "circle-open"]
    assert chart.table.frame["complete"].tolist() == ["yes", "not yet", "not yet"]
    assert chart.figure.layout.xaxis.type == "date"
    hatched = next(trace for trace in chart.figure.data if trace.type == "bar")
    assert [str(month)[:7] for month in hatched.x] == ["2025-02", "2025-03"]
    assert hatched.marker.pattern.shape == "/"
    assert chart.alt.endswith("Months that are not complete yet are hatched.")


def test_rates_of_young_hulls_say_so() -> None:
    chart = rates_chart(claim_rates(claim_store(HULLS, CLAIMS), marks=(24,)).frame)
    assert chart.alt.startswith("No month of building has been followed")


def test_pareto_bars_are_hulls_in_order() -> None:
    chart = pareto_chart(pareto(claim_store(HULLS, CLAIMS)))
    bars = next(trace for trace in chart.figure.data if trace.type == "bar")
    assert list(bars.x) == [2, 2]
    assert list(chart.figure.layout.yaxis.ticktext) == ["blister  2", "fuel smell  2"]
    many = pd.concat([pareto(claim_store(HULLS, CLAIMS))] * 20, ignore_index=True)
    assert "The first 15 of 40 are drawn." in pareto_chart(many).alt
    assert pareto_chart(many.iloc[:0]).alt == "No claims."


def test_the_strip_shows_every_hull_once_in_its_row() -> None:
    strip = build_strip(lot_store(), BLISTER, "deck: gelcoat spray: gelcoat lot", "G-1")
    chart = strip_chart(strip)
    dots = _traces(chart, "markers")
    shown = [serial for trace in dots for serial in trace["customdata"]]
    assert sorted(shown) == sorted(strip.frame["hull_serial"])
    filled = [trace for trace in dots if trace["marker"]["symbol"] == "circle"]
    assert [serial for trace in filled for serial in trace["customdata"]] == ["H01", "H02"]
    assert "2 of 4 hulls that carry" in chart.alt
    assert [text.split("<br>") for text in chart.figure.layout.yaxis.ticktext] == [
        ["carry it", "4"],
        ["do not", "7"],
        ["not recorded", "1"],
    ]
    # Two hulls of one row and column never share a place.
    places = [(x, y) for trace in dots for x, y in zip(trace["x"], trace["y"], strict=True)]
    assert len(set(places)) == len(places)


def test_the_convergence_graph_draws_every_node_and_line() -> None:
    store = lot_store()
    cases, ranking = cluster_cases(store, BLISTER), rank(store, BLISTER)
    found = convergence(
        store, cases.frame["hull_id"].tolist(), ranking.frame["level_id"].head(3).tolist()
    )
    chart = convergence_chart(found)
    drawn = [node for trace in _traces(chart, "markers") for node in trace["customdata"]]
    assert sorted(drawn) == sorted(found.nodes["node"])
    assert len(chart.table.frame) == len(found.edges)
    ends = sum(sum(x is None for x in trace["x"]) for trace in _traces(chart, "lines"))
    assert ends == len(found.edges)
    assert len(members_table(found).frame) == found.nodes["count"].sum()


def test_lines_over_a_missing_record_are_dotted() -> None:
    nodes = pd.DataFrame(
        {
            "node": ["h", "o", "s"],
            "layer": [1, 2, 3],
            "position": [0, 0, 0],
            "label": ["BT-1", "deck: spray", "lot G-1"],
            "count": [1, 1, 1],
            "members": [["BT-1"], ["deck: spray"], ["lot G-1"]],
        }
    )
    edges = pd.DataFrame(
        {"source": ["h", "o"], "target": ["o", "s"], "hulls": [0, 1], "unknown": [1, 0]}
    )
    chart = convergence_chart(Convergence(nodes, edges, False, "v"))
    assert [trace["line"]["dash"] for trace in _traces(chart, "lines")].count("dot") == 1


def test_the_timeline_has_a_box_for_every_operation_and_every_missing_step() -> None:
    records = plant_records()
    records["operations"] = [
        row for row in records["operations"] if row["operation_id"] != "OP-D-2"
    ]
    build = build_of(**records)
    link_records(build)
    found = history(as_store(build), "BT-1002")
    chart = timeline_chart(found)
    bars = [trace for trace in chart.figure.data if trace.type == "bar"]
    assert [len(bar.x) for bar in bars] == [1, 1]
    assert bars[1].marker.pattern.shape == "/"
    assert "no record" in " ".join(_texts(chart))
    assert "1 step that hulls of this model have is not on record." in chart.alt
    assert "no record of this step" in chart.table.frame["lots"].tolist()


def test_people_are_in_the_timeline_on_request_only() -> None:
    found = history(plant_store(), "BT-1001")
    hidden, shown = timeline_chart(found), timeline_chart(found, people=True)
    assert not any("P-07" in text for text in _texts(hidden))
    assert "person" not in hidden.table.frame.columns
    assert any("operator P-07" in text for text in _texts(shown))
    assert "P-07" in shown.table.frame["person"].tolist()


def test_a_mark_of_the_graph_stands_out_with_its_lines() -> None:
    store = lot_store()
    hulls = cluster_cases(store, BLISTER).frame["hull_id"].tolist()
    found = convergence(store, hulls, [1, 2])
    names = mark_names(found)
    assert len(names) == len(found.nodes)
    mark = next(node for node, name in names.items() if name.startswith("hulls: "))
    lines = convergence_table(found, mark).frame
    touching = (found.edges["source"] == mark) | (found.edges["target"] == mark)
    assert len(lines) == touching.sum() < len(convergence_table(found).frame)
    assert mark_sentence(found, mark).startswith("Hulls: ")
    plain, marked = convergence_chart(found), convergence_chart(found, mark)
    inks = [{trace.line.color for trace in _traces(chart, "lines")} for chart in (plain, marked)]
    assert len(inks[1] - inks[0]) == 1


def test_readings_put_the_most_unusual_first() -> None:
    found = history(plant_store(), "BT-1001")
    measures = pd.DataFrame(
        {
            "own_no": [1, 1, 2],
            "lane": "hull",
            "step": "spray",
            "quantity": ["temp", "film", "few"],
            "source": "written",
            "unit": ["degC", "um", None],
            "value": [20.0, 500.0, 1.0],
            "peers": [10, 10, 2],
            "percentile": [50.0, 99.0, np.nan],
            "low": [18.0, 300.0, np.nan],
            "middle": [20.0, 400.0, np.nan],
            "high": [22.0, 450.0, np.nan],
            "far": [False, True, False],
        }
    )
    peers = pd.DataFrame(
        {
            "own_no": 1,
            "quantity": ["temp"] * 10 + ["film"] * 10,
            "value": [*np.linspace(18, 22, 10), *np.linspace(300, 450, 10)],
        }
    )
    object.__setattr__(found, "measures", measures)
    object.__setattr__(found, "peers", peers)
    chart = readings_chart(found)
    assert list(chart.figure.layout.yaxis.ticktext) == ["hull: spray: film", "hull: spray: temp"]
    assert chart.table.frame["what"].tolist() == ["film", "temp", "few"]
    assert chart.table.frame["unit"].tolist()[:2] == ["µm", "°C"]
    assert any(text.startswith("◆ far: 500 µm") for text in _texts(chart))
    assert readings_chart(found, lane="deck").alt.startswith("No reading of hull BT-1001")


def test_texts_of_records_are_shown_literally_everywhere() -> None:
    records = plant_records()
    for table, column in (
        ("operations", "step"),
        ("operations", "equipment"),
        ("usages", "material"),
        ("usages", "lot_no"),
        ("claims", "symptom"),
        ("readings", "quantity"),
        ("parts", "mold_no"),
    ):
        for row in records[table]:
            row[column] = HOSTILE
    build = build_of(**records)
    link_records(build)
    store = as_store(build)
    found = history(store, "BT-1001")
    hulls = [number for (number,) in store.rows("SELECT hull_id FROM hull_index")]
    charts = [
        timeline_chart(found, people=True),
        readings_chart(found),
        pareto_chart(pareto(store)),
        suspects_chart(frame_of(TABLES, [HOSTILE, "a", "b", "c"])),
        convergence_chart(convergence(store, hulls, [])),
    ]
    for chart in charts:
        for text in _texts(chart):
            bare = text.replace("<br>", "").replace("<b>", "", 1).replace("</b>", "", 1)
            assert "<" not in bare
            assert "$" not in bare
    escaped = "&lt;b&gt;x&lt;/b&gt; &#36;y&#36; :blue[z] &amp;lt;"
    assert any(escaped in text for text in _texts(charts[0]))


@pytest.mark.parametrize("place", range(2))
def test_figures_are_the_same_every_time(place: int) -> None:
    make = (
        lambda: suspects_chart(frame_of(TABLES)),
        lambda: pareto_chart(pareto(claim_store(HULLS, CLAIMS))),
    )[place]
    assert make().figure.to_json() == make().figure.to_json()
