"""Work stops at its next step when its sign is raised, and only the work that heeds it."""

from __future__ import annotations

import pytest

from tracegraph.domain.errors import StoppedError
from tracegraph.domain.stopping import StopSign, heeded, heeding, stop_if_asked


def test_only_the_work_that_heeds_the_sign_stops() -> None:
    sign, other = StopSign(), StopSign()
    sign.raise_()
    stop_if_asked()
    with heeding(other):
        stop_if_asked()
        with heeding(sign), pytest.raises(StoppedError, match="nobody waits"):
            stop_if_asked()
        assert heeded() is other
    assert heeded() is None


def test_what_can_be_broken_off_is_while_it_runs() -> None:
    sign, broken = StopSign(), []
    with sign.breaking(lambda: broken.append("one")):
        with sign.breaking(lambda: broken.append("two")):
            pass
        sign.raise_()
    sign.raise_()
    assert broken == ["one"]
    sign.lower()
    with heeding(sign):
        stop_if_asked()
