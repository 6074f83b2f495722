"""What a worksheet's own XML tells and its values do not: formats, hidden parts, formulas.

The reader of values shows a number as a number and a failed formula as nothing. Here the
XML is read once more, as a stream, for what stands behind them.
"""

from __future__ import annotations

import re
import zipfile
import zlib
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from xml.parsers import expat

from tracegraph.domain.errors import IntakeError
from tracegraph.intake.signatures import not_a_workbook

MOST_ROWS = 1_048_576  # of a worksheet, by ECMA-376
MOST_COLUMNS = 16_384
LARGEST_RATIO = 100
SMALL_ENOUGH = 64 * 2**20
LARGEST = 4 * 2**30
MOST_EMPTY = 50_000_000
MOST_LAID_OUT = 20_000_000  # cells of 32 bytes each in the reader of values
_CHUNK = 1 << 18
_BUILT_IN = {9: "0%", 10: "0.00%", 14: "yyyy-mm-dd", 15: "d-mmm-yy", 16: "d-mmm", 17: "mmm-yy"}
_BUILT_IN |= {11: "0.00E+00", 18: "h:mm AM/PM", 20: "h:mm", 21: "h:mm:ss"}
_BUILT_IN |= {22: "yyyy-mm-dd hh:mm", 48: "##0.0E+0", 49: "@"}
_FIXED = re.compile(r'(?:"[^"]*"|\\.|[-/ ])*0(?:"[^"]*"|\\.|[-/ 0])*')
_DAMAGE = (
    expat.ExpatError,
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    OSError,
    ValueError,
    KeyError,
    NotImplementedError,
)
_CELL = re.compile(r"([A-Z]+)([0-9]+)")


@dataclass
class SheetFacts:
    """Facts about one worksheet; rows and columns are counted from 0.

    Attributes
    ----------
    formats : dict of (int, int) to str
        Number format of number cells where it changes what the number means: leading
        zeros, percent, dates.
    without_result : list of str
        Addresses of formulas without a stored result.
    errors : dict of (int, int) to str
        Error that a cell shows.
    hidden_rows : set of int
        Rows that are hidden and hold something.
    hidden_columns : set of int
        Columns that are hidden.
    last_row, last_column : int
        Furthest cell that holds something; -1 when none does.
    filled : int
        Cells that hold something.
    reach_row, reach_column : int
        Last row and column with a cell, be it one of spaces only.
    merged : list of str
        Blocks of merged cells, such as ``A2:A5``.
    """

    formats: dict[tuple[int, int], str] = field(default_factory=dict)
    without_result: list[str] = field(default_factory=list)
    errors: dict[tuple[int, int], str] = field(default_factory=dict)
    hidden_rows: set[int] = field(default_factory=set)
    hidden_columns: set[int] = field(default_factory=set)
    last_row: int = -1
    last_column: int = -1
    filled: int = 0
    reach_row: int = -1
    reach_column: int = -1
    merged: list[str] = field(default_factory=list)

    @property
    def scattered(self) -> bool:
        """Whether its cells lie too far apart for a reader that lays out all between them."""
        room = (self.reach_row + 1) * (self.reach_column + 1)
        return room > MOST_LAID_OUT + 20 * self.filled


class WorkbookFiles:
    """The XML files inside a workbook.

    Parameters
    ----------
    path : Path
        The workbook.

    Attributes
    ----------
    from_1904 : bool
        Whether its days are counted from 1904.

    Raises
    ------
    IntakeError
        If it is no zip file, is damaged, or would unpack to far more than it is.
    """

    def __init__(self, path: Path) -> None:
        try:
            with zipfile.ZipFile(path) as archive:
                self._sizes = {info.filename: info.file_size for info in archive.infolist()}
        except (zipfile.BadZipFile, OSError) as error:
            raise IntakeError(not_a_workbook(path)) from error
        self._path = path
        total, packed = sum(self._sizes.values()), max(1, path.stat().st_size)
        if total > LARGEST or (total > SMALL_ENOUGH and total > LARGEST_RATIO * packed):
            raise IntakeError(
                f"refused: {packed / 2**20:.1f} MB unpack to {total / 2**20:.0f} MB, over the "
                f"limit of {LARGEST_RATIO} times its size; save it again, or export it as CSV"
            )
        self.from_1904 = False
        self._styles = self._read_styles()
        self._targets = self._read_targets()

    def facts(self, sheet: str) -> SheetFacts:
        """Read the facts of one worksheet.

        Raises
        ------
        IntakeError
            If a cell lies outside a worksheet, or far from all others.
        """
        facts = SheetFacts()
        target = self._targets.get(sheet)
        if target is None:
            return facts
        CellReader(facts, self._styles).read(self, target)
        extent = (facts.last_row + 1) * (facts.last_column + 1)
        if extent > MOST_EMPTY + 100 * facts.filled:
            raise IntakeError(
                f"refused: sheet {sheet!r} reaches to row {facts.last_row + 1} with "
                f"{facts.filled} filled cells; clear what lies far from the records"
            )
        return facts

    def read_sheet(self, sheet: str, reader: CellReader) -> None:
        """Stream the cells of a worksheet through a reader."""
        reader.read(self, self._targets[sheet])

    @property
    def styles(self) -> list[str | None]:
        """Format of each cell style, where it changes what a number means."""
        return self._styles

    def holds(self, name: str) -> bool:
        """Whether the workbook holds a file."""
        return name in self._sizes

    def parse(
        self,
        name: str,
        on_start: Callable[[str, dict[str, str]], None],
        on_text: Callable[[str], None] | None = None,
    ) -> None:
        """Stream one XML file through handlers.

        Raises
        ------
        IntakeError
            If it is damaged, or declares entities.
        """
        parser = expat.ParserCreate()
        parser.buffer_text = True
        parser.StartElementHandler = on_start
        parser.CharacterDataHandler = on_text
        parser.StartDoctypeDeclHandler = _refuse_doctype
        try:
            with zipfile.ZipFile(self._path) as archive, archive.open(name) as file:
                while chunk := file.read(_CHUNK):
                    parser.Parse(chunk, False)
                parser.Parse(b"", True)
        except _DAMAGE as error:
            raise IntakeError(f"is a damaged workbook ({name}: {error}); save it again") from error

    def _read_styles(self) -> list[str | None]:
        """Format of each cell style, where it changes what a number means."""
        name = "xl/styles.xml"
        codes: dict[int, str] = dict(_BUILT_IN)
        styles: list[str | None] = []
        inside = [False]

        def on_start(tag: str, attributes: dict[str, str]) -> None:
            tag = tag.rpartition(":")[2]
            if tag == "numFmt":
                codes[int(attributes["numFmtId"])] = attributes["formatCode"]
            elif tag in ("cellXfs", "cellStyleXfs", "cellStyles"):
                inside[0] = tag == "cellXfs"
            elif tag == "xf" and inside[0]:
                styles.append(_telling(codes.get(int(attributes.get("numFmtId", 0)))))

        if name in self._sizes:
            self.parse(name, on_start)
        return styles

    def _read_targets(self) -> dict[str, str]:
        """File of each sheet."""
        relations: dict[str, str] = {}
        sheets: dict[str, str] = {}

        def on_relation(tag: str, attributes: dict[str, str]) -> None:
            if tag.rpartition(":")[2] == "Relationship":
                target = attributes["Target"].removeprefix("/xl/").removeprefix("/")
                relations[attributes["Id"]] = f"xl/{target}"

        def on_sheet(tag: str, attributes: dict[str, str]) -> None:
            if tag.rpartition(":")[2] == "workbookPr":
                self.from_1904 = attributes.get("date1904") in ("1", "true")
            if tag.rpartition(":")[2] == "sheet":
                id_ = next((v for k, v in attributes.items() if k.endswith(":id")), "")
                sheets[attributes["name"]] = relations.get(id_, "")

        for name in ("xl/_rels/workbook.xml.rels", "xl/workbook.xml"):
            if name not in self._sizes:
                raise IntakeError("is not a readable workbook: it lacks its list of sheets")
        self.parse("xl/_rels/workbook.xml.rels", on_relation)
        self.parse("xl/workbook.xml", on_sheet)
        return {sheet: name for sheet, name in sheets.items() if name in self._sizes}


class CellReader:
    """Handlers for the cells of one worksheet."""

    def __init__(self, facts: SheetFacts, styles: list[str | None]) -> None:
        self.facts = facts
        self.styles = styles
        self.columns: dict[str, int] = {}
        self.row = -1
        self.column = -1
        self.row_hidden = False
        self.kind = "n"
        self.style: str | None = None
        self.formula = self.value = self.inside = self.present = False
        self.text: list[str] = []

    def read(self, files: WorkbookFiles, name: str) -> None:
        """Read the XML file of a worksheet."""
        files.parse(name, self.start, self.characters)
        self.close_cell()

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        """Take the beginning of an element."""
        if ":" in tag:
            tag = tag.rpartition(":")[2]
        if tag == "c":
            self.close_cell()
            self.open_cell(attributes)
        elif tag in ("v", "t"):
            self.inside = self.present = True
            return
        elif tag == "f":
            self.formula = True
        elif tag == "row":
            self.close_cell()
            self.row = int(attributes["r"]) - 1 if "r" in attributes else self.row + 1
            self.column = -1
            self.row_hidden = attributes.get("hidden") in ("1", "true") or _nothing(
                attributes.get("ht")
            )
        elif tag == "mergeCell":
            self.facts.merged.append(attributes["ref"])
        elif tag == "col" and (
            attributes.get("hidden") in ("1", "true") or _nothing(attributes.get("width"))
        ):
            last = min(int(attributes["max"]), MOST_COLUMNS)
            self.facts.hidden_columns.update(range(int(attributes["min"]) - 1, last))
        self.inside = False

    def characters(self, text: str) -> None:
        """Take text between elements."""
        if self.inside and not text.isspace():
            self.value = True
            if self.kind == "e":
                self.text.append(text)

    def open_cell(self, attributes: dict[str, str]) -> None:
        """Begin a cell."""
        reference = attributes.get("r")
        if reference is None:
            self.column += 1
        else:
            match = _CELL.fullmatch(reference)
            letters = match[1] if match else ""
            if letters not in self.columns:
                self.columns[letters] = _column_number(letters, reference)
            self.column = self.columns[letters]
        if not 0 <= self.row < MOST_ROWS or self.column >= MOST_COLUMNS:
            raise IntakeError(f"refused: cell {reference} lies outside a worksheet")
        style = attributes.get("s")
        self.style = self.styles[int(style)] if style and int(style) < len(self.styles) else None
        self.kind = attributes.get("t", "n")
        self.formula = self.value = self.present = False

    def close_cell(self) -> None:
        """End the cell that was begun, if one was."""
        facts = self.facts
        if self.formula and not self.value:
            facts.without_result.append(address(self.row, self.column))
        if self.present:
            facts.reach_row = self.row if self.row > facts.reach_row else facts.reach_row
            if self.column > facts.reach_column:
                facts.reach_column = self.column
        if self.value:
            facts.filled += 1
            facts.last_row = max(facts.last_row, self.row)
            facts.last_column = max(facts.last_column, self.column)
            if self.row_hidden:
                facts.hidden_rows.add(self.row)
            if self.kind == "e":
                facts.errors[self.row, self.column] = "".join(self.text).strip()
            elif self.style is not None and self.kind == "n":
                facts.formats[self.row, self.column] = self.style
        self.formula = self.value = False
        self.text = []


def address(row: int, column: int) -> str:
    """Name of a cell.

    Examples
    --------
    >>> address(0, 0), address(9, 27)
    ('A1', 'AB10')
    """
    letters = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(65 + rest) + letters
    return f"{letters}{row + 1}"


def _nothing(size: str | None) -> bool:
    """Whether a width or height is none at all."""
    return size is not None and size.strip("0.") == "" and "0" in size


def _column_number(letters: str, reference: str) -> int:
    number = 0
    for letter in letters[:4]:
        number = number * 26 + ord(letter) - 64
    if not 1 <= number <= MOST_COLUMNS:
        raise IntakeError(f"refused: cell {reference} lies outside a worksheet")
    return number - 1


def _telling(code: str | None) -> str | None:
    """Format when it changes what a number means, else None."""
    if code is None:
        return None
    # Colours, languages and the room left for signs do not change what is shown.
    first = re.sub(r"\[[^\]]*\]|_.|\*.", "", code.split(";")[0])
    bare = re.sub(r'"[^"]*"|\\.', "", first)
    if re.search("[dmyh]", bare, re.IGNORECASE):
        return first
    if re.search("E[+-]", bare):
        return first
    fixed = _FIXED.fullmatch(first) and (bare.count("0") > 1 or bare != first)
    return first if fixed or "%" in bare else None


def _refuse_doctype(*_: object) -> None:
    raise IntakeError("refused: its XML declares entities, which no workbook needs")
