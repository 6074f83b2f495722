"""The case definition speaks one sentence and refuses contradictions."""

from __future__ import annotations

from datetime import date

import pytest

from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import DefinitionError


def test_sentence_names_every_limit() -> None:
    definition = CaseDefinition(
        symptoms=("blister", "void"),
        zones=("bottom",),
        components=("hull",),
        models=("S18", "S22"),
        built_from=date(2023, 1, 1),
        built_to=date(2025, 6, 30),
        service_months=(0, 24),
    )
    assert definition.sentence() == (
        "Claims of blister or void in bottom concerning hull on models S18 or S22 built 2023-01-01 "
        "to 2025-06-30, confirmed or probable, in service, from month 0 to month 24."
    )


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (
            {"certainty": ("sure",)},
            "certainty must be some of confirmed, probable, possible; got sure",
        ),
        ({"certainty": ()}, "got nothing"),
        ({"claim_types": ("warranty",)}, "claim_types must be some of"),
        ({"built_from": date(2025, 2, 1), "built_to": date(2025, 1, 1)}, "must not lie after"),
        ({"service_months": (9, 3)}, "two rising whole numbers"),
        ({"service_months": (-1, None)}, "two rising whole numbers"),
        ({"landmark_months": -1}, "landmark_months must not be negative"),
    ],
)
def test_contradictions_are_refused_with_what_to_do(wrong: dict[str, object], said: str) -> None:
    with pytest.raises(DefinitionError, match=said):
        CaseDefinition(**wrong)  # type: ignore[arg-type]  # one field at a time, of any type


def test_fingerprint_changes_with_the_definition_and_only_then() -> None:
    one = CaseDefinition(symptoms=("blister",))
    assert one.fingerprint() == CaseDefinition(symptoms=("blister",)).fingerprint()
    assert one.fingerprint() != one.resolved(landmark_months=12).fingerprint()


def test_plants_are_named_and_leave_earlier_fingerprints_as_they_were() -> None:
    one = CaseDefinition(symptoms=("blister",), models=("S22",), plants=("north",))
    assert "on model S22 from plant north, confirmed" in one.sentence()
    assert CaseDefinition.from_json(one.as_json()) == one
    everywhere = CaseDefinition(symptoms=("blister",))
    assert one.fingerprint() != CaseDefinition(symptoms=("blister",), models=("S22",)).fingerprint()
    # As computed before definitions could name plants.
    assert everywhere.fingerprint() == "66599dd285808ea0"
    older = {name: value for name, value in everywhere.as_json().items() if name != "plants"}
    assert CaseDefinition.from_json(older) == everywhere
