"""Claims over service time, on the sample's fuel hose."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tracegraph.analysis.timing.curves import ServiceCurves, service_curves
from tracegraph.domain.definition import CaseDefinition
from tracegraph.report.charts import service_chart
from tracegraph.store import open_store


@pytest.fixture(scope="module")
def curves(sample_store: Path) -> ServiceCurves:
    with open_store(sample_store) as records:
        definition = CaseDefinition(symptoms=("fuel smell",))
        return service_curves(records, definition, "hull: fuel hose: lot", "FH-00342")


def test_two_curves_end_with_their_names_and_their_numbers(curves: ServiceCurves) -> None:
    chart = service_chart(curves)
    assert len(chart.figure.data) == 4
    steps = [trace for trace in chart.figure.data if trace.line.shape == "hv"]
    exposed = curves.first[curves.first["group"] == "exposed"]
    assert list(steps[1].y) == pytest.approx(list(100 * exposed["per_hull"]))
    assert "hulls at risk" in steps[1].hovertext[0]
    names = [annotation.text for annotation in chart.figure.layout.annotations]
    assert names == ["without", "with it", "first claims per 100 hulls"]
    assert chart.alt.startswith(f"By month {curves.first_stops_at} in service: {curves.exposed} ")
    assert len(chart.table.frame) == len(curves.first)


def test_without_hulls_at_risk_it_says_so(curves: ServiceCurves) -> None:
    empty = replace(curves, first=curves.first.head(0), first_stops_at=None)
    assert service_chart(empty).alt.startswith("No month at which five hulls")
