"""An outside check through the store: launch temperatures and O-ring damage.

Dalal, Fowlkes and Hoadley 1989, JASA 84:945-957: 23 launches, 7 with damage, in degrees
Fahrenheit (R vcd::SpaceShuttle without the launch that has no record). Each launch is a hull
here, its temperature that of the deck's spray, all followed alike.
"""

from __future__ import annotations

import numpy as np
import pytest

from tests.support.records import Row, build_of
from tracegraph.analysis.conditions.detail import Condition, examine_condition
from tracegraph.analysis.conditions.table import rank_conditions
from tracegraph.domain.definition import CaseDefinition
from tracegraph.exposure import build_exposure
from tracegraph.linkage import link_records
from tracegraph.stats.contingency import ContingencyTable
from tracegraph.stats.cutpoint import best_cut
from tracegraph.stats.exact import fisher_exact
from tracegraph.stats.trend import cochran_armitage
from tracegraph.store import Store
from tracegraph.store.reader import as_store

TEMPERATURE = [53, 57, 58, 63, 66, 67, 67, 67, 68, 69, 70, 70, 70, 70, 72, 73, 75, 75, 76, 76, 78,
               79, 81]  # fmt: skip
DAMAGED = (0, 1, 2, 3, 10, 11, 16)
CHOICES = 245_157  # C(23, 7)
FAMILY = "deck: gelcoat spray: ambient_temp"
BLISTER = CaseDefinition(symptoms=("blister",), reporting_days=0, landmark_months=12)


@pytest.fixture(scope="module")
def store() -> Store:
    serials = [f"H{n:02d}" for n in range(23)]
    operations: list[Row] = [
        {
            "operation_id": f"G-{s}",
            "step": "gelcoat spray",
            "part_serial": f"D-{s}",
            "started_at": f"2024-01-{n + 1:02d} 08:00",
        }
        for n, s in enumerate(serials)
    ]
    claims: list[Row] = [
        {
            "claim_no": f"C{n}",
            "hull_serial": serials[n],
            "opened_on": "2024-09-10",
            "failed_on": "2024-09-10",
            "symptom": "blister",
        }
        for n in DAMAGED
    ]
    claims.append(claims[0] | {"claim_no": "last", "opened_on": "2025-06-30", "symptom": "leak"})
    build = build_of(
        hulls=[
            {
                "hull_serial": s,
                "model": "S18",
                "completed_on": "2024-02-20",
                "in_service_on": "2024-03-01",
                "place": "owner",
            }
            for s in serials
        ],
        parts=[{"part_serial": f"D-{s}", "part": "deck", "hull_serial": s} for s in serials],
        operations=operations,
        readings=[
            {
                "operation_id": f"G-{s}",
                "quantity": "ambient_temp",
                "value": float(value),
                "unit": "degF",
            }
            for s, value in zip(serials, TEMPERATURE, strict=True)
        ],
        claims=claims,
    )
    link_records(build)
    build_exposure(build)
    return as_store(build)


@pytest.fixture(scope="module")
def found(store: Store) -> Condition:
    return examine_condition(store, BLISTER, FAMILY, resamples=1999)


def test_exact_permutation_of_values(found: Condition) -> None:
    row = found.plain.set_index("test").loc["sum of values"]
    assert row["exact"]
    assert row["statistic"] == sum(TEMPERATURE[n] for n in DAMAGED) == 446
    assert row["p_value"] == pytest.approx(1456 / CHOICES, rel=1e-12)
    assert row["p_value"] == pytest.approx(0.005939051301834, rel=1e-12)
    assert row["p_lower"] == pytest.approx(0.004490999645, rel=1e-9)
    assert row["z"] == pytest.approx(-2.62998312247, rel=1e-9)


def test_exact_wilcoxon(found: Condition) -> None:
    row = found.plain.set_index("test").loc["sum of ranks"]
    assert row["exact"]
    assert row["statistic"] == 52.5
    assert row["p_value"] == pytest.approx(0.033521376098, rel=1e-9)
    assert row["p_lower"] == pytest.approx(0.016789241180, rel=1e-9)


def test_maximally_selected_cut(found: Condition) -> None:
    row = found.cuts.set_index("population").loc["landmark"]
    assert (row["cut"], row["cuts"], row["side"]) == (63.0, 15, "below")
    assert row["z"] == pytest.approx(3.253685013245, rel=1e-9)
    assert row["p_value"] == pytest.approx(1888 / CHOICES, rel=1e-9)
    assert row["p_value"] == pytest.approx(0.007701187402, rel=1e-9)


def test_cut_in_risk_sets_agrees_when_all_fail_at_one_age(found: Condition) -> None:
    """Dealt out anew, against the exact law over the cuts with a tenth on either side."""
    row = found.cuts.set_index("population").loc["risk sets"]
    assert (row["cut"], row["side"], row["hulls"], row["observed"]) == (63.0, "below", 4, 4)
    assert row["expected"] == pytest.approx(4 * 7 / 23)
    exact = best_cut(TEMPERATURE, np.isin(np.arange(23), DAMAGED), smallest_share=0.1)
    assert row["cuts"] == exact.cuts
    error = (exact.p_value / 1999) ** 0.5
    assert row["p_value"] == pytest.approx(exact.p_value, abs=4 * error)


def test_rank_test_in_risk_sets(store: Store, found: Condition) -> None:
    """All at risk together: the midranks of the failures less their mean, scaled to 0..1."""
    row = found.tests.set_index("allowed_for").loc["nothing"]
    u = (52.5 - 7 * 12) / 23
    ranks = np.array(
        [np.mean([(t < v) + 0.5 * (t == v) for t in TEMPERATURE]) for v in TEMPERATURE]
    )
    assert row["z"] == pytest.approx(u / np.sqrt(7 * ranks.var()))
    assert row["cases"] == 7
    table = rank_conditions(store, BLISTER).frame.set_index("family")
    assert table.loc[FAMILY, "z"] == row["z"]
    assert table.loc[FAMILY, "known"] == 23
    assert table.loc[FAMILY, "median_affected"] == 63.0
    assert table.loc[FAMILY, "unit"] == "degF"


def test_binning_alone_loses_the_signal(found: Condition) -> None:
    """Terciles of all launches: 4/8, 2/7, 1/8; trend over 1, 2, 3 is X2 2.656808, p 0.1031."""
    hulls = found.hulls
    tercile = np.digitize(hulls["value"], np.quantile(hulls["value"], [1 / 3, 2 / 3]))
    totals = np.bincount(tercile)
    failed = np.bincount(tercile[hulls["affected"]])
    assert (failed.tolist(), totals.tolist()) == ([4, 2, 1], [8, 7, 8])
    binned = cochran_armitage(failed, totals, [1, 2, 3])
    assert binned.chi_square_n == pytest.approx(2.656808, abs=5e-7)
    assert binned.p_value_n == pytest.approx(0.1031, abs=5e-5)
    raw = found.plain.set_index("test").loc["sum of values", "p_value"]
    assert raw < 0.01 < 0.1 < binned.p_value_n


def test_the_p_value_at_the_best_cut_is_half_of_what_the_search_costs(found: Condition) -> None:
    naive = fisher_exact(
        ContingencyTable(
            exposed_cases=4, exposed_controls=0, unexposed_cases=3, unexposed_controls=16
        )
    ).p_value
    assert naive == pytest.approx(0.003952569170, rel=1e-9)
    honest = found.cuts.set_index("population").loc["landmark", "p_value"]
    assert honest > 1.9 * naive


def test_bands_draw_what_the_raw_value_tests(found: Condition) -> None:
    bands = found.bands[found.bands["kind"] == "band"]
    assert bands["hulls"].sum() == 23
    assert bands["observed"].sum() == 7
    assert bands["expected"].sum() == pytest.approx(7.0)
    assert bands["observed"].iloc[0] == 4
    tails = found.bands[found.bands["kind"] == "tail"].set_index("band")
    assert tails.loc["lowest tenth", "observed"] == 3
    assert tails.loc["highest tenth", "observed"] == 0
