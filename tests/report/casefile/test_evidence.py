import pytest

from tracegraph.cases.corroboration import BACKGROUND, Seen
from tracegraph.report.casefile.evidence import seen_as_json, seen_sentence, seen_table


def seen(odds: float, level: int = 2, **more: object) -> Seen:
    values = {
        "name": ("hull: mold", "M-2"), "found_with": 2, "clean_with": 0, "found_without": 0,
        "clean_without": 1, "not_told": 1, "odds": odds, "rival": BACKGROUND, "recorded": level,
        "level": level, "rests_on": (), "aliases": (), "held_back_by": (),
    }  # fmt: skip
    return Seen(**(values | more))  # type: ignore[arg-type]  # any field


@pytest.mark.parametrize(
    ("one", "words"),
    [
        (seen(100.0, 3), "corroborated by an independent line of evidence; inspections speak for"),
        (seen(7.2), "do not decide: 7.2 to 1 against no suspect at all, 20 to 1 are needed"),
        (seen(0.01), "inspections speak against it, 100 to 1"),
        (seen(1.0, found_with=0, clean_without=0), "about 7 usually decide"),
        (seen(100.0, 1, held_back_by=("few-cases",)), "it rests on three hulls or fewer"),
        (seen(1.0, aliases=(("deck: mold", "M-3"),)), "not to be told from M-3 (deck: mold)"),
    ],
)
def test_what_inspections_add_is_said(one: Seen, words: str) -> None:
    assert words in seen_sentence(one)


def test_the_table_and_the_plain_values_hold_the_counts() -> None:
    row = seen_table([seen(100.0)]).frame.loc[0]
    assert (row["found with it"], row["found without"], row["not recorded"]) == (
        "2 of 2", "0 of 1", "1",
    )  # fmt: skip
    (plain,) = seen_as_json([seen(0.01)])
    assert (plain["found_with"], plain["refuted"], plain["against"]) == (2, True, BACKGROUND)
