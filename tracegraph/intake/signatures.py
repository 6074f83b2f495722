"""Tell from its first bytes what a file really is."""

from __future__ import annotations

from pathlib import Path

_START = 512
_PACKED = b"\x1f\x8b"
_ZIP = b"PK\x03\x04"
_PACKINGS = {
    b"\x28\xb5\x2f\xfd": "a zstd file",
    b"BZh": "a bzip2 file",
    b"\xfd7zXZ\x00": "an xz file",
    b"7z\xbc\xaf\x27\x1c": "a 7z archive",
    b"Rar!\x1a\x07": "a RAR archive",
    b"SQLite format 3\x00": "an SQLite database",
    b"{\\rtf": "a rich-text document",
}
_MARKUP = (b"<!doctype", b"<html", b"<table", b"<?xml", b"<head", b"<body")


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
    if start.startswith(_PACKED):
        return "is packed; unpack it"
    if start.startswith(_ZIP):
        return "is a damaged workbook: it breaks off; copy or save it again"
    other = not_text(start)
    if other is not None:
        return other
    if b"\0" not in start:
        return "is text with the name of a workbook; give it the ending .csv"
    return "is not a readable workbook; save it again as XLSX"


def not_text(start: bytes) -> str | None:
    """What a file is that cannot be read as rows of text, and what to do.

    Parameters
    ----------
    start : bytes
        Its first bytes, unpacked.

    Returns
    -------
    str or None
        One sentence without a subject; None for what may be text.
    """
    if start.startswith(b"\xd0\xcf\x11\xe0"):
        return "is locked by a password or is an old XLS workbook; save it as XLSX, unlocked"
    if start.startswith(_ZIP):
        return (
            "is a workbook or an archive with the name of a text file; name it .xlsx, or unpack it"
        )
    if start.startswith(_PACKED):
        return "is packed twice; unpack it once"
    if start.startswith(b"PAR1"):
        return "is a Parquet file with the name of a text file; give it the ending .parquet"
    for mark, what in _PACKINGS.items():
        if start.startswith(mark):
            return f"is {what} with the name of a text file; unpack it, or export it as CSV"
    if start.startswith(b"%PDF"):
        return "is a PDF document; export the records behind it as CSV"
    if start.lstrip(b"\xef\xbb\xbf \t\r\n").lower().startswith(_MARKUP):
        return "is an HTML or XML page; save it as XLSX or CSV"
    return None
