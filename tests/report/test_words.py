import re

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.report.rankings import Cells, frame_of, ranking_of
from tracegraph.analysis.flat import rank_table
from tracegraph.report.reading import name_of, reading
from tracegraph.report.words import (
    CAUTIONS,
    REFER_TODAY,
    answer,
    ladder,
    left_out,
)

NOISE: list[Cells] = [(1, 59, 11, 1010), (2, 98, 10, 971), (1, 80, 11, 989)]


def _row(cells: Cells, **more: str) -> dict[str, object]:
    return {str(k): v for k, v in frame_of([cells], **more).iloc[0].items()}


def test_the_answer_names_the_first_suspect_with_both_counts() -> None:
    said = answer(ranking_of(frame_of([(9, 52, 3, 1017), *NOISE])))
    assert said.strength == "stands out"
    assert said.headline == ("9 of 12 affected hulls carry deck: gelcoat spray: gelcoat lot G-1.")
    assert said.sentences[0] == (
        "9 of 61 hulls with deck: gelcoat spray: gelcoat lot G-1 are affected against 3 of "
        "1,020 others, 50.2 times as often (95 % interval 13.9 to 181); Fisher's exact p "
        "6.2 × 10⁻¹⁰, q 2.5 × 10⁻⁹ over 4 levels tested in 1 family."
    )
    assert said.cautions == CAUTIONS


def test_levels_with_the_same_counts_are_named_as_not_to_be_told_apart() -> None:
    said = answer(ranking_of(frame_of([(9, 52, 3, 1017), (9, 52, 3, 1017), *NOISE])))
    assert "The counts cannot tell it from deck: gelcoat spray: gelcoat lot G-2." in said.sentences
    assert any("1 further level has q of 0.05 or less" in text for text in said.sentences)


def test_nothing_stands_out_says_the_smallest_q() -> None:
    said = answer(ranking_of(frame_of(NOISE)))
    assert said.strength == "nothing"
    assert said.headline == "No shared factor stands out."
    assert (
        said.sentences[0] == "12 of 1,081 hulls at risk are affected; 3 levels tested in 1 family."
    )
    assert said.sentences[1].startswith("The smallest q is ")
    assert "2 of 100 hulls" in said.sentences[1]


def test_a_weak_finding_is_announced_as_possible_chance() -> None:
    said = answer(ranking_of(frame_of([(3, 57, 9, 1012), *NOISE])))
    assert said.strength == "may be chance"
    assert said.headline.startswith("May be chance: 3 of 12 affected hulls")
    assert said.sentences[-1].startswith("Only 3 affected hulls carry it")


@pytest.mark.parametrize(
    ("affected", "at_risk", "expected"),
    [
        (0, 40, "None of 40 hulls at risk is affected"),
        (40, 40, "All 40 hulls at risk are affected"),
        (0, 0, "No hull was at risk"),
    ],
)
def test_an_empty_comparison_says_why(affected: int, at_risk: int, expected: str) -> None:
    frame = frame_of([(0, 0, affected, at_risk - affected)])
    said = answer(ranking_of(frame, affected=affected, at_risk=at_risk))
    assert said.strength == "nothing"
    assert said.headline.startswith(expected)
    assert said.sentences == ()


def test_a_finding_that_may_hurt_someone_comes_before_all_other_cautions() -> None:
    said = answer(ranking_of(frame_of(NOISE)), safety_class=1)
    assert said.cautions[0] == REFER_TODAY
    assert answer(ranking_of(frame_of(NOISE)), safety_class=2).cautions == CAUTIONS


def test_people_are_shown_with_their_reason_and_a_caution() -> None:
    said = answer(ranking_of(frame_of(NOISE), people_reason=" training record "))
    assert said.cautions[-1].endswith("Reason given: training record")


def test_a_persons_work_is_never_the_headline() -> None:
    people = frame_of([(9, 52, 3, 1017)], ["SP-07"], family="deck: operator", kind="people")
    noise = frame_of(NOISE)
    frame = pd.concat([people, noise], ignore_index=True)
    frame["rank"] = range(1, len(frame) + 1)
    said = answer(ranking_of(frame, people_reason="training"))
    assert said.headline == "No shared factor stands out."
    assert "SP-07" not in " ".join(said.sentences)
    assert said.sentences[-1].startswith("1 level of people's work has q of 0.05 or less: look")
    strong = pd.concat([people, frame_of([(8, 40, 4, 1029)])], ignore_index=True)
    strong["rank"] = [1, 2]
    assert "gelcoat lot G-1" in answer(ranking_of(strong, people_reason="training")).headline


def test_a_flat_sheet_speaks_of_units() -> None:
    # Fisher's tea cups, all right: p = 1/35.
    sheet = pd.DataFrame(
        {"cup": range(8), "said milk": list("YYYYNNNN"), "milk first": list("YYYYNNNN")}
    )
    said = answer(rank_table(sheet, "cup", "said milk"), units="cups")
    assert said.headline == "4 of 4 affected cups carry milk first Y."
    assert "p 0.029" in said.sentences[0]


@pytest.mark.parametrize(
    ("cells", "expected"),
    [
        # statistics from published examples: J2-1 0.0709991158, J2-2 0.003611971104.
        (
            (0, 9, 7, 14),
            "less often: risk ratio 0 (95 % interval 0 to 0.985); Fisher's exact p 0.071",
        ),
        ((5, 0, 3, 12), "Fisher's exact p 0.0036"),
        ((5, 0, 3, 12), "no finite value, since every hull that carries it is affected"),
        ((9, 0, 0, 40), "no finite value, since no other hull is affected"),
        ((9, 0, 0, 40), "at least 11.4 times as often (95 % limit"),
        ((3, 0, 2, 25), "It rests on 3 affected hulls only."),
        ((4, 6, 0, 0), "Not testable: every hull at risk with a record carries it"),
        ((0, 0, 3, 7), "Not testable: no hull at risk with a record carries it"),
        ((0, 5, 0, 7), "Not testable: no hull with a record is affected"),
        ((3, 0, 4, 0), "Not testable: every hull with a record is affected"),
        ((0, 0, 0, 0), "Not testable: no hull at risk has a record"),
        ((1, 0, 2, 17), "Too thin to be tested"),
        ((2500, 600, 600000, 5600000), "p 3.7 × 10⁻¹⁹⁰¹"),
    ],
)
def test_a_reading_gives_the_reason_for_what_cannot_be_computed(
    cells: Cells, expected: str
) -> None:
    assert expected in reading(_row(cells))


def test_the_largest_known_table_is_never_shown_as_zero() -> None:
    # 2,500 of 3,100 exposed of 6,203,100 with 600,000 + 2,500 affected; scipy's float gives 0.
    text = reading(_row((900, 0, 0, 2700)))
    assert "p 4.2 × 10⁻⁸⁷⁸" in text
    assert "q below 10⁻³⁰⁰" in text


def test_unknown_hulls_are_told() -> None:
    frame = frame_of([(9, 52, 3, 1017)], unknown=[(40, 1)])
    text = reading({str(k): v for k, v in frame.iloc[0].items()})
    assert text.endswith("Not recorded for 40 hulls at risk, 1 of which is affected.")


def test_few_counts_on_a_persons_work_are_not_compared() -> None:
    few = reading(_row((4, 16, 1, 99), family="deck: gelcoat spray: operator", kind="people"))
    assert few.endswith("the work of people is not compared.")
    assert "times as often" not in few
    enough = reading(_row((9, 51, 14, 386), family="deck: gelcoat spray: operator", kind="people"))
    assert "4.29 times as often" in enough


def test_hostile_names_stay_as_they_are() -> None:
    hostile = "<script>alert(1)</script> $x$ :blue[hi] **b**"
    text = reading(_row((9, 52, 3, 1017)) | {"level": hostile})
    assert hostile in text
    assert name_of({"family": "deck: mold", "level": hostile}) == f"deck: mold {hostile}"


def test_ladder_and_left_out() -> None:
    assert ladder({"built": 1200, "in service": 1018}) == "1,200 built, 1,018 in service"
    assert left_out({"hulls not delivered": 1200}) == "Left out: hulls not delivered 1,200."


@settings(max_examples=60, deadline=None)
@given(st.tuples(*[st.integers(0, 400)] * 4))
def test_every_table_has_a_reading_without_nan_or_zero_chance(cells: Cells) -> None:
    text = reading(_row(cells))
    assert text.endswith(".")
    assert "nan" not in text
    assert not re.search(r"\b[pq] 0(?![.\d])", text)
