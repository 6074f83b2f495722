"""Curves of claims over service time, by published values and by hand."""

from __future__ import annotations

import numpy as np
import pytest

from tests.support.frames import BLISTER, FAMILY, plant_of
from tracegraph.analysis.timing.curves import ServiceCurves, service_curves
from tracegraph.domain.errors import UnknownNameError

# Valve seat replacements of 41 diesel engines (Nelson 1995, Technometrics 37:147-157), age in
# days, read as months here: events | end of observation.
VALVE_SEATS = """
251:|761 252:|759 327:98|667 328:326,653,653|667 329:|665 330:84|667 331:87|663 389:646|653
390:92|653 391:|651 392:258,328,377,621|650 393:61,539|648 394:254,276,298,640|644
395:76,538|642 396:635|641 397:349,404,561|649 398:|631 399:|596 400:120,479|614
401:323,449|582 402:139,139|589 403:|593 404:573|589 405:165,408,604|606 406:249|594
407:344,497|613 408:265,586|595 409:166,206,348|389 410:|601 411:410,581|601 412:|611
413:|608 414:|587 415:367|603 416:202,563,570|585 417:|587 418:|578 419:|578 420:|586
421:|585 422:|582
"""

# Age, events, at risk, mean, robust error: R survfit(Surv(start, stop, status) ~ 1, id = id,
# robust = TRUE).
MEAN_CUMULATIVE = [
    (61, 1, 41, 0.024390244, 0.024090966),
    (98, 1, 41, 0.146341463, 0.055199337),
    (139, 2, 41, 0.219512195, 0.073269812),
    (298, 1, 41, 0.463414634, 0.109607276),
    (377, 1, 41, 0.658536585, 0.131841648),
    (404, 1, 40, 0.683536585, 0.135938957),
    (573, 1, 40, 0.958536585, 0.168958144),
    (604, 1, 22, 1.059718685, 0.185060988),
    (653, 2, 9, 1.542687514, 0.311656075),
]

# Remission of leukaemia (R survival::aml, Miller 1981), weeks read as months; + followed only.
AML = {
    "maintained": "9 13 13+ 18 23 28+ 31 34 45+ 48 161+",
    "not": "5 5 8 8 12 16+ 23 27 30 33 43 45",
}


@pytest.fixture(scope="module")
def engines() -> ServiceCurves:
    follow, claims = {"other": 700}, []
    for record in VALVE_SEATS.split():
        engine, history = record.split(":")
        events, end = history.split("|")
        follow[engine] = int(end)
        claims += [(engine, int(event)) for event in events.split(",") if event]
    levels = {engine: "A" if engine != "other" else "B" for engine in follow}
    return service_curves(plant_of(follow, claims, levels), BLISTER, FAMILY, "A")


def test_valve_seats_through_the_store(engines: ServiceCurves) -> None:
    curve = engines.every[engines.every["group"] == "exposed"].set_index("month")
    for age, events, at_risk, mean, error in MEAN_CUMULATIVE:
        row = curve.loc[age]
        assert (row["claims"], row["at_risk"]) == (events, at_risk)
        assert row["per_hull"] == pytest.approx(mean, abs=5e-10)
        assert np.log(row["high"] / mean) * mean / 1.959963985 == pytest.approx(error, abs=5e-9)
        assert row["low"] * row["high"] == pytest.approx(mean**2)
    assert curve["claims"].sum() == 48
    # The claims of a boat that has left are over; 48 over 41 is not the mean at the end.
    assert curve["per_hull"].iloc[-1] == pytest.approx(1.542687514, abs=5e-10)


def test_curves_stop_where_fewer_than_five_exposed_are_at_risk(engines: ServiceCurves) -> None:
    ends = sorted((761, 759, 667, 667, 665, 667, 663, 653, 653))
    assert engines.every_stops_at == ends[-5]
    last = engines.every[engines.every["group"] == "exposed"].iloc[-1]
    assert (last["month"], last["at_risk"]) == (667, 5)
    # Of the engines without a replacement, and those with one until then, 5 are left at 611.
    first = engines.first[engines.first["group"] == "exposed"]
    assert first["at_risk"].iloc[-1] >= 5
    assert first["month"].iloc[-1] == engines.first_stops_at


def aml(level: str = "not") -> ServiceCurves:
    follow, claims, levels = {}, [], {}
    for group, text in AML.items():
        for number, word in enumerate(text.split()):
            serial = f"{group}-{number}"
            follow[serial] = int(word.rstrip("+"))
            levels[serial] = group
            if not word.endswith("+"):
                claims.append((serial, follow[serial]))
    return service_curves(plant_of(follow, claims, levels), BLISTER, FAMILY, level)


def test_log_rank_through_the_store() -> None:
    """R survdiff: X2 3.396388698978, p 0.065339322041, expected 10.689 and 7.311."""
    row = aml().tests.set_index("compared").loc["all hulls"]
    assert row["observed"] == 11
    assert row["expected"] == pytest.approx(7.310664008, abs=5e-9)
    assert row["chi_square"] == pytest.approx(3.396388698978, rel=1e-9)
    assert row["p_value"] == pytest.approx(0.065339322041, rel=1e-9)
    other = aml("maintained").tests.set_index("compared").loc["all hulls"]
    assert other["expected"] == pytest.approx(10.689335992, abs=5e-9)


# Exposed: E1 fails at 2, E2 at 3 and again at 5, E3 and E4 followed to 6 and 4, E5 to 6.
# Not exposed: N1 fails at 4, N2 to N4 followed to 6. U1 fails at 1, its lot is not known.
FOLLOW = {"E1": 6, "E2": 6, "E3": 6, "E4": 4, "E5": 6, "E6": 6, "N1": 6, "N2": 6, "N3": 6,
          "N4": 2, "U1": 6, "X1": 6}  # fmt: skip
CLAIMS = [("E1", 2), ("E2", 3), ("E2", 5), ("N1", 4), ("U1", 1), ("X1", 3)]
LEVELS = {serial: "L1" if serial[0] == "E" else "L2" for serial in FOLLOW if serial != "X1"}
LEVELS["U1"] = None


def small(**more) -> ServiceCurves:
    store = plant_of(FOLLOW, CLAIMS, LEVELS, **more)
    return service_curves(store, BLISTER, FAMILY, "L1")


def test_first_claims_by_hand() -> None:
    found = small().first
    exposed = found[found["group"] == "exposed"].set_index("month")
    assert exposed["at_risk"].tolist() == [6, 6, 6, 5]
    assert exposed["claims"].tolist() == [0, 0, 1, 1]
    assert exposed["per_hull"].tolist() == pytest.approx([0, 0, 1 / 6, 1 / 6 + 1 / 5])
    assert exposed["low"].tolist()[:2] == [0.0, 0.0]
    assert np.isnan(exposed["high"].iloc[0])
    error = np.sqrt(1 / 36 + 1 / 25)
    factor = np.exp(1.959963985 * error / (11 / 30))
    assert exposed["high"].iloc[3] == pytest.approx(11 / 30 * factor)
    others = found[found["group"] == "not exposed"].set_index("month")
    assert others["at_risk"].tolist() == [4, 4, 4, 3]


def test_all_claims_by_hand() -> None:
    """E2 is still at risk after its first claim, so five exposed are to the end."""
    found = small()
    assert (found.first_stops_at, found.every_stops_at) == (3, 6)
    exposed = found.every[found.every["group"] == "exposed"].set_index("month")
    assert exposed["at_risk"].tolist() == [6, 6, 6, 6, 6, 5, 5]
    assert exposed.loc[6, "per_hull"] == pytest.approx(1 / 6 + 1 / 6 + 1 / 5)
    others = found.every[found.every["group"] == "not exposed"].set_index("month")
    assert others.loc[4, "per_hull"] == pytest.approx(1 / 3)


def test_unknown_and_inapplicable_hulls_stay_apart() -> None:
    found = small()
    assert (found.exposed, found.not_exposed, found.not_recorded) == (6, 4, 1)
    assert found.not_recorded_cases == 1
    assert found.first.groupby("group")["claims"].sum().to_dict() == {
        "exposed": 2,
        "not exposed": 0,
    }


def test_log_rank_within_models_compares_like_with_like() -> None:
    """Exposed and others in models apart: within a model nothing can be compared."""
    models = {serial: "S18" if serial[0] == "E" else "S26" for serial in FOLLOW}
    tests = small(models=models).tests.set_index("compared")
    assert tests.loc["within models", "p_value"] == 1.0
    assert tests.loc["within models", "expected"] == tests.loc["within models", "observed"] == 2.0
    assert tests.loc["all hulls", "p_value"] < 1.0


def test_fewer_than_five_exposed_have_no_curve() -> None:
    levels = LEVELS | {"E5": "L2", "E6": "L2"}
    found = service_curves(plant_of(FOLLOW, CLAIMS, levels), BLISTER, FAMILY, "L1")
    assert (found.first_stops_at, found.every_stops_at) == (None, None)
    assert found.first.empty
    assert found.every.empty
    assert found.exposed == 4


def test_a_level_that_all_carry_leaves_nobody_to_compare() -> None:
    levels = dict.fromkeys(FOLLOW, "L1")
    found = service_curves(plant_of(FOLLOW, CLAIMS, levels), BLISTER, FAMILY, "L1")
    assert found.not_exposed == 0
    assert set(found.first["group"]) == {"exposed"}
    assert found.tests["p_value"].tolist() == [1.0, 1.0]


def test_lines_of_one_day_are_one_claim() -> None:
    """Two lines of one visit: the mean counts the visit."""
    store = plant_of(FOLLOW, [("E1", 2), ("E3", 2)], LEVELS, repeat_last=True)
    every = service_curves(store, BLISTER, FAMILY, "L1").every
    assert every.loc[every["group"] == "exposed", "claims"].sum() == 2


def test_unknown_level_is_named() -> None:
    with pytest.raises(UnknownNameError, match="L1"):
        service_curves(plant_of(FOLLOW, CLAIMS, LEVELS), BLISTER, FAMILY, "L9")
