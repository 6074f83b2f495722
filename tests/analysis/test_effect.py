from collections import Counter
from datetime import date

import numpy as np
import pandas as pd
import pytest

from tests.support.acted_plant import ACTED_ON, MOLDS, acted_plant
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


def verdicts(seeds: range, ratio: float, left: float, months: int = 24) -> Counter[str]:
    found: Counter[str] = Counter()
    for seed in seeds:
        plant = acted_plant(seed, ratio=ratio, left=left, months=months)
        sides = split_hulls(plant, ACTED_ON, ACTED_ON)
        verdict = judge_sides(sides, monthly_hazard(sides.plain), levels=MOLDS)
        if verdict.expected_if_unchanged < 3.0:
            assert verdict.verdict == "too early"
        found[verdict.verdict] += 1
    return found


@pytest.mark.parametrize("months", [24, 48])
def test_an_action_that_did_nothing_is_rarely_called_effective(months: int) -> None:
    found: Counter[str] = Counter()
    for place, ratio in enumerate((1.0, 3.0, 6.0, 10.0)):
        found += verdicts(range(5000 + 100 * place, 5100 + 100 * place), ratio, ratio, months)
    assert found["effective"] <= 20
    assert found["no change"] >= 150


def test_an_accused_mold_with_nothing_wrong_is_rarely_said_to_be_cured() -> None:
    # The worst of twelve equal molds falls back by itself, the more so the longer one waits.
    assert verdicts(range(6000, 6200), 1.0, 1.0, months=48)["effective"] <= 10


def test_an_action_that_worked_is_seen() -> None:
    found = verdicts(range(5000, 5100), 6.0, 0.1)
    assert found["effective"] + found["improved"] >= 90
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
