"""Find the header line of a sheet and match its columns to the fields of a mapping."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tracegraph.domain.records import TABLE_BY_NAME
from tracegraph.intake.ids import visible
from tracegraph.intake.ledger import Remark
from tracegraph.intake.mapping import FileRule

SEARCHED = 30
_NAMED = 6
_LISTED, _SHOWN = 12, 40
NOT_UNDERSTOOD = "not understood: its name is not a table's and intake.toml does not mention it"


@dataclass(frozen=True)
class Headers:
    """The headers of one sheet.

    Attributes
    ----------
    names : tuple of str
        One per column, each different: made up where the sheet has none or repeats one.
    written : tuple of str
        The same as written.
    """

    names: tuple[str, ...]
    written: tuple[str, ...]

    @property
    def repeated(self) -> set[str]:
        """Headers that several columns have."""
        return {name for name in self.written if name and self.written.count(name) > 1}

    def find(self, header: str) -> tuple[int | None, str | None]:
        """Index of a header, and a doubt when it could be several columns.

        A header that stands there as written is meant, unless it stands there twice;
        else case and spacing do not matter.
        """
        if header in self.names and header not in self.repeated:
            return self.names.index(header), None
        folded = fold(header)
        hits = [i for i, name in enumerate(self.names) if fold(name) == folded]
        if header in self.repeated:
            hits = [i for i, name in enumerate(self.written) if name == header]
        if len(hits) > 1:
            several = " or ".join(repr(self.names[i]) for i in hits)
            return hits[0], f"column {header!r} may be {several}; say which in intake.toml"
        return (hits[0], None) if hits else (None, None)


def fold(header: str) -> str:
    """Header as it is compared: without case, and underscores as spaces.

    Examples
    --------
    >>> fold("Hull_Serial ")
    'hull serial'
    """
    return visible(header.replace("_", " ")).casefold()


def make_headers(cells: Sequence[str], width: int | None = None) -> Headers:
    """Headers from the cells of a header line.

    Parameters
    ----------
    cells : sequence of str
        As written.
    width : int, optional
        Columns below it, when there are more of them.

    Examples
    --------
    >>> make_headers(["operator", "operator", ""]).names
    ('operator (1)', 'operator (2)', 'column 3')
    """
    names: dict[str, None] = {}
    written = [visible(cell) for cell in cells]
    written += [""] * max(0, (width or 0) - len(written))
    uses = Counter(written)
    for number, cell in enumerate(written, start=1):
        base = name = cell or f"column {number}"
        copy = 0
        while name in names or uses[name] > (name == cell):
            copy += 1
            name = f"{base} ({copy})"
        names[name] = None
    return Headers(tuple(names), tuple(written))


def named_by_us(headers: Headers) -> list[Remark]:
    """Remarks on columns without a name, and on those whose name others have too."""
    pairs = list(zip(headers.names, headers.written, strict=True))
    blank = [name for name, written in pairs if not written]
    doubled = [name for name, written in pairs if written and name != written]
    remarks = []
    if blank:
        text = f"columns without a name are called {_listed(blank)}"
        remarks.append(Remark("header", len(blank), text))
    if doubled:
        text = f"columns of one name are kept apart as {_listed(doubled)}"
        remarks.append(Remark("header", len(doubled), text))
    return remarks


def held(headers: Headers) -> str:
    """What a sheet has for headers, for a message."""
    shown = ", ".join(visible(name)[:_SHOWN] for name in headers.names[:_LISTED])
    return f"it has {shown}"


def _listed(names: list[str]) -> str:
    more = len(names) - _NAMED
    listed = ", ".join(map(repr, names[:_NAMED]))
    return f"{listed} and {more} more" if more > 0 else listed


def wanted_headers(stem: str, rule: FileRule | None) -> set[str]:
    """Headers, folded, by which the header line can be told from titles."""
    if rule is not None:
        return {fold(header) for table in rule.tables for header in table.columns.values()}
    table = TABLE_BY_NAME.get(stem)
    return {fold(name) for name in table.field_names} if table else set()


def find_header(rows: Iterable[Sequence[str]], wanted: set[str]) -> int:
    """Index of the row that holds most of the wanted headers.

    Without any of them it is the first row that is about as full as the fullest: titles
    fill a cell or two.

    Parameters
    ----------
    rows : iterable of sequences of str
        The first rows of a sheet.
    wanted : set of str
        Folded headers.

    Examples
    --------
    >>> find_header([["Sample yard", "", ""], [], ["No", "Hull", "What"], ["1", "2", ""]], set())
    2
    """
    best = most = 0
    filled: list[int] = []
    for index, row in enumerate(rows):
        cells = {fold(cell) for cell in row} - {""}
        filled.append(len(cells))
        hits = len(cells & wanted)
        if hits > most:
            best, most = index, hits
    if most:
        return best
    return next((i for i, cells in enumerate(filled) if cells * 2 > max(filled)), 0)
