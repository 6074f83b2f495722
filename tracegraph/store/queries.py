"""Find a named SQL text. Each lives in a file of its own under ``store/sql``."""

from __future__ import annotations

from functools import cache
from importlib.resources import files


@cache
def sql_text(name: str) -> str:
    """Text of one named query.

    Parameters
    ----------
    name : str
        Path below ``store/sql`` without the ending, such as ``"shared/exposure_counts"``.

    Returns
    -------
    str
        The SQL text.

    Raises
    ------
    KeyError
        If no such file is part of the package.
    """
    path = files("tracegraph.store") / "sql" / f"{name}.sql"
    if not path.is_file():
        raise KeyError(name)
    return path.read_text(encoding="utf-8")


@cache
def sql_names(folder: str) -> tuple[str, ...]:
    """Names of all queries in one folder, sorted; files run in that order.

    Parameters
    ----------
    folder : str
        Folder below ``store/sql``.

    Returns
    -------
    tuple of str
        Names to give to :func:`sql_text`.
    """
    entries = (files("tracegraph.store") / "sql" / folder).iterdir()
    return tuple(
        f"{folder}/{entry.name.removesuffix('.sql')}"
        for entry in sorted(entries, key=lambda entry: entry.name)
        if entry.name.endswith(".sql")
    )
