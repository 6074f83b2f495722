from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracegraph.domain.errors import DefinitionError
from tracegraph.pages.asked import KEYS, Asked, read_address
from tracegraph.report.formats import CHOICES, Formats

WORDS = st.text(min_size=1, max_size=12).filter(lambda text: text == text.strip())
NAMES = st.sampled_from(["grade", "lane"])
MANY = st.lists(WORDS, max_size=3).map(tuple)

ASKED = st.builds(
    Asked,
    store=st.none() | WORDS,
    symptom=MANY,
    zone=MANY,
    component=MANY,
    model=MANY,
    built_from=st.none() | st.dates(),
    built_to=st.none() | st.dates(),
    certainty=st.sampled_from([("confirmed", "probable"), ("confirmed",)]),
    landmark=st.none() | st.integers(0, 99),
    control=MANY,
    factor=st.none() | WORDS,
    level=st.none() | WORDS,
    hull=st.none() | WORDS,
    mark=st.none() | WORDS,
    section=st.none() | WORDS,
    view=st.lists(st.tuples(NAMES, WORDS), max_size=3).map(tuple),
    formats=st.builds(Formats, *(st.sampled_from(choices) for choices in CHOICES.values())),
)


@given(ASKED)
def test_an_address_says_all_that_was_asked(asked: Asked) -> None:
    address = asked.address()
    assert read_address(address) == asked
    assert set(address) <= set(KEYS)


def test_the_usual_is_not_in_the_address() -> None:
    assert Asked().address() == {}
    assert read_address({}) == Asked()
    assert read_address({"symptom": [""], "other": ["x"], "hull": ["  "]}) == Asked()


def test_the_definition_is_what_the_sentence_says() -> None:
    asked = read_address(
        {
            "symptom": ["blister"],
            "model": ["S22", "S26"],
            "plant": ["north"],
            "from": ["2025-01-02"],
            "landmark": ["12"],
        }
    )
    definition = asked.definition()
    assert definition.models == ("S22", "S26")
    assert definition.plants == ("north",)
    assert asked.address()["plant"] == ["north"]
    assert definition.built_from == date(2025, 1, 2)
    assert definition.landmark_months == 12


@pytest.mark.parametrize(
    ("address", "message"),
    [
        ({"from": ["soon"]}, "from in the address must be a date like 2026-03-09; got 'soon'"),
        ({"to": ["2025-02-30"]}, "to in the address must be a date"),
        ({"landmark": ["-3"]}, "landmark in the address must be a whole number of months"),
        ({"landmark": ["²"]}, "landmark in the address must be a whole number of months"),
    ],
)
def test_what_cannot_be_read_is_told(address: dict[str, list[str]], message: str) -> None:
    with pytest.raises(DefinitionError, match=message):
        read_address(address)
