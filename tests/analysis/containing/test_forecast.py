from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
import pytest

from tracegraph.analysis.containing.forecast import Forecast, forecast
from tracegraph.analysis.containing.rates import RATIOS, ClaimRates
from tracegraph.domain.errors import DefinitionError


def rates(
    ratio: float, per_month: float = 20.0, hulls: int = 1000, months: int = 12, *, sure: bool = True
) -> ClaimRates:
    """Constant claims each month among hulls of weight 1 without the suspect."""
    count = len(RATIOS)
    likelihood = np.full(count, -1e6) if sure else np.zeros(count)
    likelihood[np.argmin(np.abs(np.log(RATIOS / ratio)))] = 0.0
    return ClaimRates(
        hull_id=np.arange(1, 51, dtype=np.int64),
        weight=np.ones(50),
        exit_month=np.full(50, months, np.int64),
        case=np.zeros(50, np.bool_),
        months=np.arange(1, months + 1),
        cases=np.full(months, per_month),
        without=np.full(months, float(hulls)),
        with_it=np.zeros(months),
        observed=5,
        expected_exposed=1.0,
        ratio=ratio,
        low=ratio / 2,
        high=ratio * 2,
        log_likelihood=likelihood,
        last_month=months,
    )


def listed(**columns: Any) -> pd.DataFrame:
    plain = {
        "probability": 1.0, "place": "owner", "follow_months": 4.0, "affected": False,
        "gone": False,
    }  # fmt: skip
    return pd.DataFrame(plain | columns, index=pd.RangeIndex(1, 51, name="hull_id"))


def near(found: Forecast, row: str) -> float:
    return float(found.claims.loc[row, "mean"])


def test_means_are_rate_times_months_left_times_ratio() -> None:
    ratio = float(RATIOS[np.argmin(np.abs(RATIOS - 5.0))])
    found = forecast(rates(ratio), listed())
    # 50 hulls, months 5 to 12, 2 % a month: 8 usual claims, (ratio - 1) times as many more.
    assert found.until_month == found.data_month == 12
    assert not found.extrapolated
    assert near(found, "usual") == pytest.approx(8.0, rel=0.05)
    assert near(found, "excess") == pytest.approx(8.0 * (ratio - 1), rel=0.05)
    assert near(found, "total") == pytest.approx(8.0 * ratio, rel=0.05)
    assert found.hulls["usual"].sum() == pytest.approx(8.0)
    low, middle, high = found.claims.loc["total", ["low", "middle", "high"]]
    assert low < middle < high


def test_the_interval_holds_poisson_noise_at_least() -> None:
    # With ratio 1 known for sure and a well-known curve only Poisson noise is left:
    # mean 8, 10 % point 5, 90 % point 12 (tables of the Poisson law).
    found = forecast(rates(1.0, per_month=2000.0, hulls=100_000), listed())
    assert found.claims.loc["total", ["low", "middle", "high"]].tolist() == pytest.approx(
        [5, 8, 12], abs=1
    )
    assert near(found, "excess") == pytest.approx(0.0, abs=0.6)  # RATIOS holds 1 nearly


def test_an_uncertain_ratio_widens_the_interval() -> None:
    sure, unsure = (forecast(rates(5.0, sure=s), listed()).claims for s in (True, False))
    width = [float(c.loc["total", "high"] - c.loc["total", "low"]) for c in (sure, unsure)]
    assert width[1] > 1.5 * width[0]


def test_hulls_in_doubt_count_by_their_chance() -> None:
    half = forecast(rates(5.0), listed(probability=0.5))
    whole = forecast(rates(5.0), listed())
    assert near(half, "excess") == pytest.approx(near(whole, "excess") / 2, rel=0.06)
    assert near(half, "usual") == pytest.approx(near(whole, "usual"), rel=0.06)
    unknown = forecast(rates(5.0), listed(probability=np.nan))
    assert near(unknown, "excess") == pytest.approx(near(whole, "excess"), rel=0.06)


@pytest.mark.parametrize("column", ["affected", "gone"])
def test_hulls_that_claimed_or_are_gone_claim_no_more(column: str) -> None:
    found = forecast(rates(5.0), listed(**{column: True}))
    assert near(found, "total") == 0.0
    assert found.hulls.to_numpy().sum() == 0.0


def test_months_count_from_where_each_hull_is() -> None:
    new, old = (forecast(rates(5.0), listed(follow_months=m)).hulls for m in (np.nan, 11.0))
    assert new["usual"].iloc[0] == pytest.approx(0.24)
    assert old["usual"].iloc[0] == pytest.approx(0.02)
    assert near(forecast(rates(5.0), listed(follow_months=12.0)), "total") == 0.0


def test_claims_by_place_add_up() -> None:
    place = ["plant"] * 10 + ["dealer"] * 15 + ["owner"] * 25
    found = forecast(rates(5.0), listed(place=place))
    assert found.places["place"].tolist() == ["plant", "transit", "dealer", "owner"]
    assert found.places["hulls"].tolist() == [10, 0, 15, 25]
    for column in ("usual", "excess"):
        assert found.places[column].sum() == pytest.approx(found.hulls[column].sum())


def test_beyond_the_data_a_law_is_carried_on_and_flagged() -> None:
    inside = forecast(rates(5.0), listed(), until_month=10)
    assert not inside.extrapolated
    beyond = forecast(rates(5.0), listed(), until_month=24)
    assert beyond.extrapolated
    # The rate was constant, so the law's shape is 1 and twelve more months bring 2 % each.
    assert beyond.shape == pytest.approx(1.0, abs=0.02)
    assert beyond.hulls["usual"].iloc[0] == pytest.approx(0.02 * 20, rel=0.02)
    assert near(beyond, "usual") == pytest.approx(20.0, rel=0.06)


def test_without_enough_cases_nothing_is_said_beyond_the_data() -> None:
    few = rates(5.0, per_month=0.25)
    with pytest.raises(DefinitionError, match="too few to carry a law beyond"):
        forecast(few, listed(), until_month=24)
    with pytest.raises(DefinitionError, match="month 1 or later"):
        forecast(few, listed(), until_month=0)


def test_the_same_seed_gives_the_same_claims() -> None:
    one, two, other = (forecast(rates(5.0), listed(), seed=s).claims for s in (1, 1, 2))
    pd.testing.assert_frame_equal(one, two)
    assert not one.equals(other)


def test_a_protective_ratio_leaves_no_excess() -> None:
    found = forecast(rates(0.1), listed())
    assert near(found, "excess") == 0.0
    assert near(found, "total") == pytest.approx(0.8, rel=0.2)
