"""Cut lines that need no care in bulk: no quotes, no odd bytes, the right number of fields."""

from __future__ import annotations

from collections.abc import Callable

import pyarrow as pa
from pyarrow import csv

from tracegraph.intake.lines import decode_line
from tracegraph.intake.staging import append_page
from tracegraph.store import Build

_AT_ONCE = 100_000


class Bulk:
    """Takes simple lines for the staging table and cuts many of them at once.

    Parameters
    ----------
    build : Build
        Holds the staging table.
    delimiter : str
        One character.
    encoding : str
        Of the lines; what it cannot decode is read as cp1252.

    Attributes
    ----------
    windows_lines, other_lines : int
        Lines that were read as cp1252, and other lines with characters beyond ASCII.
    """

    def __init__(self, build: Build, delimiter: str, encoding: str) -> None:
        self.windows_lines = self.other_lines = 0
        self._build = build
        self._delimiter = delimiter
        self._mark = delimiter.encode()
        self._encoding = encoding
        self._width = 0
        self._numbers: list[int] = []
        self._lines: list[bytes] = []

    def of_width(self, width: int) -> Callable[[int, bytes], bool]:
        """Taker of lines with some number of fields; see :func:`~lines.records`."""
        self._width = width
        marks = width - 1
        mark, numbers, lines = self._mark, self._numbers, self._lines
        blank = self._mark + b" \t\r\n"

        def take(number: int, line: bytes) -> bool:
            if b'"' in line or b"\0" in line or line.count(mark) != marks:
                return False
            body = line.rstrip(b"\r\n")
            if b"\r" in body or b"\n" in body or not body.strip(blank):
                return False
            numbers.append(number)
            lines.append(body)
            if len(lines) >= _AT_ONCE:
                self.flush()
            return True

        return take

    def flush(self) -> None:
        """Put the lines taken so far into the staging table."""
        if not self._lines:
            return
        block = b"\n".join(self._lines)
        if not (self._encoding == "utf-8" and block.isascii()):
            block = self._as_utf8(block)
        names = [f"c{i}" for i in range(self._width)]
        table = csv.read_csv(
            pa.BufferReader(block),
            read_options=csv.ReadOptions(column_names=names, block_size=len(block) + 1),
            parse_options=csv.ParseOptions(
                delimiter=self._delimiter, quote_char=False, ignore_empty_lines=False
            ),
            convert_options=csv.ConvertOptions(
                column_types=dict.fromkeys(names, pa.string()),
                null_values=[""],
                strings_can_be_null=True,
            ),
        )
        numbers = pa.array(self._numbers, pa.int64())
        append_page(self._build, table.add_column(0, "source_row", numbers))
        self._numbers.clear()
        self._lines.clear()

    def _as_utf8(self, block: bytes) -> bytes:
        try:
            text = block.decode(self._encoding)
            self.other_lines += 1
        except UnicodeDecodeError:
            decoded = [decode_line(line, self._encoding) for line in self._lines]
            self.windows_lines += sum(windows for _, windows in decoded)
            self.other_lines += sum(not windows and not text.isascii() for text, windows in decoded)
            text = "\n".join(text for text, _ in decoded)
        return text.encode("utf-8", "replace")
