"""Tell from its first bytes what a file really is."""

from __future__ import annotations

from pathlib import Path

_START = 512


def not_a_workbook(path: Path) -> str:
    """What a file is that has the name of a workbook and is none, and what to do.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    str
        One sentence without a subject.
    """
    with path.open("rb") as file:
        start = file.read(_START)
    if not start:
        return "is empty: 0 bytes; export it again"
    if start.startswith(b"\xd0\xcf\x11\xe0"):
        return "is locked by a password or is an old XLS workbook; save it as XLSX, unlocked"
    if start.startswith(b"PK"):
        return "is a damaged workbook: it breaks off; copy or save it again"
    if start.lstrip(b"\xef\xbb\xbf \t\r\n")[:1] == b"<":
        return "is an HTML page with the name of a workbook; save it as XLSX or CSV"
    if b"\0" not in start:
        return "is text with the name of a workbook; give it the ending .csv"
    return "is not a readable workbook; save it again as XLSX"
