from collections import Counter
from datetime import date

import numpy as np
import pandas as pd
import pytest

from tests.support.acted_plant import ACTED_ON, acted_plant
from tracegraph.analysis.effect import (
    cases_within,
    expected_cases,
    judge_sides,
    monthly_hazard,
    split_hulls,
    verdict_day,
)


def hulls(
    built: list[str], follow: list[int], case: list[float], carries: list[bool | None]
) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "built_on": pd.to_datetime(built),
            "follow_months": follow,
            "case_month": case,
            "carries": pd.array(carries, dtype="boolean"),
        }
    )


def test_an_action_that_did_nothing_is_rarely_called_effective() -> None:
    found: Counter[str] = Counter()
    for seed in range(5000, 5400):
        ratio = (1.0, 3.0, 6.0, 10.0)[seed % 4]
        sides = split_hulls(acted_plant(seed, ratio=ratio, left=ratio), ACTED_ON, ACTED_ON)
        found[judge_sides(sides, monthly_hazard(sides.plain)).verdict] += 1
    assert found["effective"] <= 20
    assert found["no change"] >= 150


def test_an_action_that_worked_is_seen() -> None:
    found: Counter[str] = Counter()
    for seed in range(5000, 5100):
        sides = split_hulls(acted_plant(seed, ratio=6.0, left=0.1), ACTED_ON, ACTED_ON)
        found[judge_sides(sides, monthly_hazard(sides.plain)).verdict] += 1
    assert found["effective"] + found["improved"] >= 80
    assert found["no change"] <= 5


def test_the_hazard_is_cases_over_hulls_followed() -> None:
    # Four hulls to month 2; one case in month 1, one in month 2: 0, 1/4, 1/3.
    nan = float("nan")
    frame = hulls(["2021-01-01"] * 4, [2] * 4, [1.0, 2.0, nan, nan], [False] * 4)
    assert monthly_hazard(frame) == pytest.approx([0.0, 1 / 4, 1 / 3])
    # Each hull up to its case: 1/4 + (1/4 + 1/3) * 3 = 2, the cases themselves.
    assert expected_cases(frame, monthly_hazard(frame)) == pytest.approx(2.0)
    assert cases_within(frame, 2) == 1


def test_a_withdrawn_lot_stands_for_its_share() -> None:
    nan = float("nan")
    frame = hulls(
        ["2021-01-01", "2021-02-01", "2021-03-01", "2021-04-01", "2023-02-01"],
        [9] * 5, [nan] * 5, [True, False, None, True, False],
    )  # fmt: skip
    sides = split_hulls(frame, date(2023, 1, 1), date(2023, 1, 1))
    assert not sides.still_carried
    assert sides.share == pytest.approx(2 / 3)
    assert (len(sides.plain), len(sides.carrying), len(sides.after)) == (1, 2, 1)


def test_the_day_of_a_verdict_is_when_three_are_expected() -> None:
    # Ten hulls just delivered, one case in ten hull-months, rate ratio 1: 3 after 3 months.
    frame = hulls(["2021-01-01"] * 10, [0] * 10, [float("nan")] * 10, [True] * 10)
    sides = split_hulls(frame, date(2020, 1, 1), date(2020, 1, 1))
    hazard = np.full(13, 0.1)
    hazard[0] = 0.0
    assert verdict_day(sides, hazard, 1.0, date(2023, 1, 31)) == date(2023, 4, 30)
    assert verdict_day(sides, hazard * 0.01, 1.0, date(2023, 1, 31)) is None
