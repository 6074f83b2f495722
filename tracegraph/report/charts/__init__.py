"""Figures from result frames, one idea each; every one comes with words and a table."""

from tracegraph.report.charts.completeness import completeness_chart
from tracegraph.report.charts.condition import condition_chart
from tracegraph.report.charts.convergence import convergence_chart
from tracegraph.report.charts.inks import Chart
from tracegraph.report.charts.ladder import ladder_chart, ladder_steps
from tracegraph.report.charts.pareto import pareto_chart
from tracegraph.report.charts.rates import rates_chart
from tracegraph.report.charts.readings import readings_chart
from tracegraph.report.charts.service import service_chart
from tracegraph.report.charts.strip import strip_chart
from tracegraph.report.charts.suspects import suspects_chart
from tracegraph.report.charts.timeline import timeline_chart
from tracegraph.report.charts.triangle import triangle_chart

__all__ = [
    "Chart",
    "completeness_chart",
    "condition_chart",
    "convergence_chart",
    "ladder_chart",
    "ladder_steps",
    "pareto_chart",
    "rates_chart",
    "readings_chart",
    "service_chart",
    "strip_chart",
    "suspects_chart",
    "timeline_chart",
    "triangle_chart",
]
