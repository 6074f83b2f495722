import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracegraph.stats.recurrence import mean_cumulative

# Valve seat replacements of 41 diesel engines, ages in days (Nelson 1995, Technometrics
# 37:147-157): events, then the end of observation.
VALVE_SEATS = """
251:|761 252:|759 327:98|667 328:326,653,653|667 329:|665 330:84|667 331:87|663 389:646|653
390:92|653 391:|651 392:258,328,377,621|650 393:61,539|648 394:254,276,298,640|644
395:76,538|642 396:635|641 397:349,404,561|649 398:|631 399:|596 400:120,479|614
401:323,449|582 402:139,139|589 403:|593 404:573|589 405:165,408,604|606 406:249|594
407:344,497|613 408:265,586|595 409:166,206,348|389 410:|601 411:410,581|601 412:|611
413:|608 414:|587 415:367|603 416:202,563,570|585 417:|587 418:|578 419:|578 420:|586
421:|585 422:|582
"""

# Age, events, at risk, mean, robust error, Poisson error: R survfit(Surv(start, stop, status) ~ 1,
# id, robust=TRUE), cumhaz and std.chaz.
EXPECTED = [
    (61, 1, 41, 0.024390244, 0.024090966, 0.024390244),
    (98, 1, 41, 0.146341463, 0.055199337, 0.059743652),
    (139, 2, 41, 0.219512195, 0.073269812, 0.073170732),
    (298, 1, 41, 0.463414634, 0.109607276, 0.106314608),
    (377, 1, 41, 0.658536585, 0.131841648, 0.126735425),
    (404, 1, 40, 0.683536585, 0.135938957, 0.129177660),
    (573, 1, 40, 0.958536585, 0.168958144, 0.153498755),
    (581, 1, 38, 0.984852375, 0.171203598, 0.155738206),
    (604, 1, 22, 1.059718685, 0.185060988, 0.164880430),
    (640, 1, 16, 1.243542214, 0.226324418, 0.196107787),
    (653, 2, 9, 1.542687514, 0.311656075, 0.262805597),
]


def valve_seats():
    end, unit, age = [], [], []
    for engine, record in enumerate(VALVE_SEATS.split()):
        events, followed = record.split(":")[1].split("|")
        end.append(int(followed))
        for event in filter(None, events.split(",")):
            unit.append(engine)
            age.append(int(event))
    return end, unit, age


def test_valve_seats():
    end, unit, age = valve_seats()
    assert (len(end), len(age), sum(end)) == (41, 48, 25_363)
    curve = mean_cumulative(end, unit, age)
    for t, d, r, mean, robust, poisson in EXPECTED:
        at = int(np.searchsorted(curve.age, t))
        assert curve.age[at] == t
        assert (curve.events[at], curve.at_risk[at]) == (d, r)
        assert curve.estimate[at] == pytest.approx(mean, abs=5e-10)
        assert curve.robust_error[at] == pytest.approx(robust, abs=5e-10)
        assert curve.poisson_error[at] == pytest.approx(poisson, abs=5e-10)


def test_events_over_units_is_not_the_mean_at_the_end():
    end, unit, age = valve_seats()
    assert len(age) / len(end) == pytest.approx(1.1707, abs=5e-5)
    assert mean_cumulative(end, unit, age).at(761) == pytest.approx(1.542687514, abs=5e-10)


def by_definition(end, unit, age):
    """Lawless and Nadeau's variance as a double sum over units and ages."""
    times = sorted(set(age))
    at_risk = [sum(e >= t for e in end) for t in times]
    total = [sum(a == t for a in age) for t in times]
    variance, departure = [], np.zeros(len(end))
    for t, r, d in zip(times, at_risk, total, strict=True):
        for i, e in enumerate(end):
            if e >= t:
                own = sum(u == i and a == t for u, a in zip(unit, age, strict=True))
                departure[i] += (own - d / r) / r
        variance.append((departure**2).sum())
    return variance


@given(
    st.lists(
        st.tuples(st.integers(1, 9), st.lists(st.integers(1, 9), max_size=4)),
        min_size=1,
        max_size=9,
    )
)
def test_robust_error_by_definition(histories):
    end = [max([e, *ages]) for e, ages in histories]
    unit = [i for i, (_, ages) in enumerate(histories) for _ in ages]
    age = [a for _, ages in histories for a in ages]
    curve = mean_cumulative(end, unit, age)
    assert curve.robust_error**2 == pytest.approx(by_definition(end, unit, age), abs=1e-12)
    assert (np.diff(curve.estimate, prepend=0.0) > 0).all()


def test_without_events():
    curve = mean_cumulative([3, 4], [], [])
    assert curve.at([1, 9]).tolist() == [0.0, 0.0]


def test_an_event_must_be_followed():
    with pytest.raises(ValueError, match=r"Event 1 happened at age 9.*followed to 8"):
        mean_cumulative([12, 8], [0, 1], [3, 9])
