"""Names of plants can stand in front of their numbers."""

import pytest

from tracegraph.domain.plants import own_number, plant_name
from tracegraph.genealogy import NODE_KINDS


def test_numbers_of_a_plant_bear_its_name() -> None:
    assert own_number(plant_name("  North  Yard "), "M-07") == "North Yard:M-07"


@pytest.mark.parametrize("wrong", ["", "a:b", "a|b", "a/b", "-north", *NODE_KINDS])
def test_names_that_would_be_misread_are_refused(wrong: str) -> None:
    with pytest.raises(ValueError, match="plant"):
        plant_name(wrong)
