"""The plant's own limits on readings: a file in the store directory, else the defaults."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from tracegraph.domain.errors import StoreError
from tracegraph.domain.limits import LIMITS, Limit

FILE = "limits.toml"
UNITS: tuple[str, ...] = ("degC", "um", "%", "min", "h", "kPa", "L", "kg", "pcs")
"""Units in which the store keeps values."""

_KEYS = frozenset({"quantity", "unit", "low", "high", "steps", "source"})
_EXAMPLE = '[[limit]] quantity = "wet_film", unit = "um", low = 400.0, steps = ["gelcoat spray"]'


def read_limits(directory: Path) -> tuple[Limit, ...]:
    """Limits in force for a store directory.

    Parameters
    ----------
    directory : Path
        The store directory. Its file ``limits.toml`` holds tables ``[[limit]]`` with
        ``quantity``, ``unit`` (as the store keeps values), ``low``, ``high`` or both,
        ``steps`` (left out: every step) and ``source`` (left out: the plant's own).

    Returns
    -------
    tuple of Limit
        The defaults when there is no such file; of a quantity that the file names, only
        what the file says; of all others the defaults.

    Raises
    ------
    StoreError
        If the file cannot be read, or a limit in it is no limit.
    """
    path = directory / FILE
    if not path.is_file():
        return LIMITS
    try:
        read = tomllib.loads(path.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, OSError) as error:
        raise StoreError(f"{path} cannot be read: {error}. Mend it, or take it away.") from error
    rows = read.get("limit")
    if set(read) != {"limit"} or not isinstance(rows, list):
        raise StoreError(f"{path} must hold tables as {_EXAMPLE}; got {sorted(read)}. Mend it.")
    own = tuple(_limit(path, number, row) for number, row in enumerate(rows, start=1))
    named = {limit.quantity for limit in own}
    return own + tuple(limit for limit in LIMITS if limit.quantity not in named)


def _limit(path: Path, number: int, row: Any) -> Limit:
    def wrong(why: str) -> StoreError:
        return StoreError(f"{path} limit {number}: {why}. Write it as {_EXAMPLE}.")

    if not isinstance(row, dict) or set(row) - _KEYS:
        raise wrong(f"only {', '.join(sorted(_KEYS))} are known; got {row!r}")
    quantity, unit, steps = row.get("quantity"), row.get("unit"), row.get("steps", [])
    if not isinstance(quantity, str) or not quantity.strip():
        raise wrong("quantity must be the word in the records")
    if unit not in UNITS:
        raise wrong(f"unit must be one of {', '.join(UNITS)}; got {unit!r}")
    if not isinstance(steps, list) or not all(isinstance(step, str) for step in steps):
        raise wrong("steps must be a list of words")
    ends = {name: row.get(name) for name in ("low", "high")}
    if all(end is None for end in ends.values()):
        raise wrong("low or high is needed")
    for name, end in ends.items():
        if end is not None and (isinstance(end, bool) or not isinstance(end, int | float)):
            raise wrong(f"{name} must be a number; got {end!r}")
    low, high = ends["low"], ends["high"]
    if low is not None and high is not None and not low < high:
        raise wrong(f"low must be below high; got {low:g} and {high:g}")
    source = str(row.get("source", "the plant's own limit"))
    return Limit(
        quantity=quantity,
        unit=unit,
        low=None if low is None else float(low),
        high=None if high is None else float(high),
        steps=tuple(steps),
        source=source,
    )
