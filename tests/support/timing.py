"""Time a call on a machine that others use too."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TypeVar

Result = TypeVar("Result")

AT_ONCE = 1.0
"""Seconds that a walk may take which comes by each place once."""


def quickest(call: Callable[[], Result], tries: int = 5) -> tuple[Result, float]:
    """Result of a call and the seconds of its quickest try: what else runs only adds.

    Of each try the shorter of two clocks counts: the one on the wall, which runs on while
    others have the cores, and that of the process, which sums over its threads.
    """
    best = float("inf")
    for _ in range(tries):
        wall, own = time.perf_counter(), time.process_time()
        result = call()
        best = min(best, time.perf_counter() - wall, time.process_time() - own)
        if best < AT_ONCE / 5:
            break
    return result, best
