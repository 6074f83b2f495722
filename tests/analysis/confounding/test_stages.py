from __future__ import annotations

import pytest

from tracegraph.analysis.confounding.stages import Place, check_may_allow_for, may_allow_for
from tracegraph.domain.errors import DefinitionError

LOT = Place("deck: gelcoat lot", 2, "material lot")


def test_a_later_reading_is_refused_with_both_names():
    with pytest.raises(DefinitionError, match=r"'deck: cure: barcol'.*'deck: gelcoat lot'"):
        check_may_allow_for(LOT, Place("deck: cure: barcol", 5, "process reading"))


@pytest.mark.parametrize(
    ("stage", "kind"), [(1, "process reading"), (2, "process reading"), (9, "material lot")]
)
def test_earlier_readings_and_other_kinds_may_be_allowed_for(stage, kind):
    other = Place("other", stage, kind)
    check_may_allow_for(LOT, other)
    assert may_allow_for(LOT, other)
