"""Time a call on a machine that others use too."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TypeVar

Result = TypeVar("Result")


def quickest(call: Callable[[], Result], tries: int = 5) -> tuple[Result, float]:
    """Result of a call and the seconds of its quickest try: what else runs only adds."""
    best = float("inf")
    for _ in range(tries):
        began = time.perf_counter()
        result = call()
        best = min(best, time.perf_counter() - began)
        if best < 0.2:
            break
    return result, best
