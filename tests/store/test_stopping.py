"""A question to the store is broken off from another thread, and ends no other question."""

from __future__ import annotations

from threading import Timer

import pytest

from tracegraph.domain.errors import StoppedError
from tracegraph.domain.stopping import StopSign, heeding
from tracegraph.store import in_memory_build
from tracegraph.store.reader import as_store

ENDLESS = "SELECT count(*) FROM range(1000000) AS a(n), range(1000000) AS b(m) WHERE n * m = 7"


def test_a_question_is_broken_off_when_its_work_is_stopped() -> None:
    sign, store = StopSign(), as_store(in_memory_build())
    with store.session() as other, heeding(sign):
        stopping = Timer(0.2, sign.raise_)
        stopping.start()
        with pytest.raises(StoppedError, match="while the records were asked"):
            store.rows(ENDLESS)
        stopping.join()
        assert other.rows("SELECT 1") == [(1,)]
        with pytest.raises(StoppedError, match="nobody waits"):
            store.rows("SELECT 1")
    assert store.rows("SELECT 1") == [(1,)]
