"""What the tests of the statistics share: tables from tuples, published answers."""

import json
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tracegraph.stats.contingency import TableArrays

REFERENCE = Path(__file__).parents[1] / "reference"


def _tables(rows: Sequence[Sequence[int]]) -> TableArrays:
    a, b, c, d = np.array(rows, np.int64).reshape(-1, 4).T
    return TableArrays(exposed_cases=a, exposed_controls=b, unexposed_cases=c, unexposed_controls=d)


@pytest.fixture(scope="session")
def tables() -> Callable[[Sequence[Sequence[int]]], TableArrays]:
    """Build arrays of tables from rows (a, b, c, d)."""
    return _tables


@pytest.fixture(scope="session")
def known() -> Callable[[str], Any]:
    """Read a file of known answers from tests/reference."""
    return lambda name: json.loads((REFERENCE / name).read_text(encoding="utf-8"))
