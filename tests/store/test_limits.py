"""A plant's own limits take the place of the defaults for the quantities they name."""

from __future__ import annotations

from pathlib import Path

import pytest

from tracegraph.domain.errors import StoreError
from tracegraph.domain.limits import LIMITS, Limit
from tracegraph.store.limits import FILE, read_limits

OWN = """
[[limit]]
quantity = "wet_film"
unit = "um"
low = 400
steps = ["gelcoat spray"]
source = "gelcoat maker's sheet, rev 4"

[[limit]]
quantity = "peak_exotherm"
unit = "degC"
high = 110.0
"""


def test_without_a_file_the_defaults_are_in_force(tmp_path: Path) -> None:
    assert read_limits(tmp_path) == LIMITS


def test_a_quantity_named_in_the_file_has_only_its_limits(tmp_path: Path) -> None:
    (tmp_path / FILE).write_text(OWN, encoding="utf-8")
    found = read_limits(tmp_path)
    assert found[:2] == (
        Limit("wet_film", "um", 400.0, None, ("gelcoat spray",), "gelcoat maker's sheet, rev 4"),
        Limit("peak_exotherm", "degC", None, 110.0, (), "the plant's own limit"),
    )
    assert [limit.quantity for limit in found].count("wet_film") == 1
    assert [limit for limit in LIMITS if limit.quantity != "wet_film"] == list(found[2:])


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("limit = 3", "must hold tables"),
        ("[[limits]]", "must hold tables"),
        ("[[limit]", "cannot be read"),
        ("[[limit]]\nquantity = 'wet_film'\nunit = 'mil'\nlow = 12", "unit must be one of degC"),
        ("[[limit]]\nunit = 'um'\nlow = 12", "quantity must be"),
        ("[[limit]]\nquantity = 'a'\nunit = 'um'", "low or high"),
        ("[[limit]]\nquantity = 'a'\nunit = 'um'\nlow = 'x'", "must be a number"),
        ("[[limit]]\nquantity = 'a'\nunit = 'um'\nlow = 3\nhigh = 3", "below high"),
        ("[[limit]]\nquantity = 'a'\nunit = 'um'\nlow = 3\nsteps = 'b'", "a list of words"),
        ("[[limit]]\nquantity = 'a'\nunit = 'um'\nlow = 3\nstep = 'b'", "are known"),
    ],
)
def test_what_is_no_limit_is_refused_by_its_place(tmp_path: Path, text: str, words: str) -> None:
    (tmp_path / FILE).write_text(text, encoding="utf-8")
    with pytest.raises(StoreError, match=words):
        read_limits(tmp_path)
