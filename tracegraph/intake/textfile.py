"""Bring a CSV or TSV file into the staging table: the fast road, or the careful one."""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterator, Mapping
from itertools import islice

from tracegraph.domain.errors import IntakeError
from tracegraph.domain.records import Role
from tracegraph.intake.bulk import Bulk
from tracegraph.intake.bytescan import ByteScan, chunks
from tracegraph.intake.compose import compose
from tracegraph.intake.folder import FoundFile
from tracegraph.intake.headers import (
    SEARCHED,
    Headers,
    find_header,
    make_headers,
    named_by_us,
    wanted_headers,
)
from tracegraph.intake.ledger import Remark
from tracegraph.intake.lines import (
    DELIMITERS,
    Record,
    cut,
    decode_line,
    guess_delimiter,
    physical_lines,
    records,
)
from tracegraph.intake.mapping import FileRule
from tracegraph.intake.rules import ReadingRules
from tracegraph.intake.sheetfacts import MOST_COLUMNS
from tracegraph.intake.signatures import not_text
from tracegraph.intake.staging import BrokenRow, Page, clear_page, fill_page
from tracegraph.intake.streams import as_utf8, is_wrapped, unwrapped, with_feeds
from tracegraph.store import Build
from tracegraph.store.queries import sql_text

_SEPARATOR_LINE = re.compile(r"sep=(.)\s*", re.IGNORECASE)
_PROBED = 200
_HEADER_LINES = 5
_PADDED = "\0" * 8  # fewer may have stood for characters


class TextFile:
    """One CSV or TSV file: a sheet without a name.

    Parameters
    ----------
    file : FoundFile
        Where it is.
    scan : ByteScan
        What its bytes show.
    rule : FileRule or None
        What the mapping says about it.

    Attributes
    ----------
    name : None
        A text file holds one sheet only.
    stem : str
        File name without its endings.
    headers : Headers
        Headers of its columns.
    share_read : float or None
        Share that is staged; None while the database reads the file itself.

    Raises
    ------
    IntakeError
        If it holds no header.
    """

    name: None = None

    def __init__(self, file: FoundFile, scan: ByteScan, rule: FileRule | None) -> None:
        self.file = file
        self.scan = scan
        self.rule = rule
        self.stem = file.stem
        other = not_text(scan.start)
        if other is not None:
            raise IntakeError(other)
        self._encoding = self._find_encoding()
        self._windows_lines = self._other_lines = self._padding = 0
        self._wrapped = False
        self.share_read: float | None = None
        self._find_dialect()
        columns = len(self._header_cells or ())
        if columns > MOST_COLUMNS:
            raise IntakeError(
                f"refused: its header has {columns} columns, over the limit of {MOST_COLUMNS}; "
                "cut it into several files"
            )
        self.headers = self._begin_carefully(Page(Headers((), ()), ""))[0]
        self._fast = self._beyond_doubt()

    def _find_encoding(self) -> str:
        if self.rule is not None and self.rule.encoding is not None:
            return self.rule.encoding
        if self.scan.start.startswith((codecs.BOM_UTF32_LE, codecs.BOM_UTF32_BE)):
            return "utf-32"
        if not self.scan.wide:
            return "utf-8"
        start = self.scan.start
        zeros = [start[place::4].count(0) * 8 > len(start) for place in range(4)]
        if sum(zeros) == 3:
            return "utf-32-be" if zeros[0] else "utf-32-le"
        if self.scan.start.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
            return "utf-16"
        little = self.scan.start[1::2].count(0) >= self.scan.start[0::2].count(0)
        return "utf-16-le" if little else "utf-16-be"

    def _lines(self, first: int = 1) -> Iterator[tuple[int, bytes]]:
        """Physical lines with their numbers; forgets what an earlier reading counted."""
        self._windows_lines = self._other_lines = 0
        source = self._counted(chunks(self.file.path, packed=self.file.packed))
        if self.scan.wide:
            source = as_utf8(source, self._encoding)
        if self.scan.returns != self.scan.returns_before_feed:
            source = with_feeds(source)
        cut_lines = physical_lines(source)
        lines = enumerate(map(unwrapped, cut_lines) if self._wrapped else cut_lines, start=1)
        return lines if first == 1 else ((n, line) for n, line in lines if n >= first)

    def _counted(self, source: Iterator[bytes]) -> Iterator[bytes]:
        passed = 0
        for chunk in source:
            yield chunk
            passed += len(chunk)
            if self.share_read is not None:
                self.share_read = passed / self.scan.size

    def _decode(self, line: bytes) -> str:
        text, windows = decode_line(line, "utf-8" if self.scan.wide else self._encoding)
        self._windows_lines += windows
        self._other_lines += not windows and not line.isascii()
        return text

    def _find_dialect(self) -> None:
        given_row = self.rule.header_row if self.rule else None
        raw = islice(self._lines(), max(SEARCHED, given_row or 0))
        top = [(number, self._decode(line)) for number, line in raw]
        if top:
            top[0] = (1, top[0][1].removeprefix("\ufeff"))
        texts = [text.rstrip("\r\n") for _, text in top]
        if not any(text.strip("\0 \t") for text in texts):
            raise IntakeError("holds no rows: it is empty")
        separator = _SEPARATOR_LINE.fullmatch(texts[0])
        skipped = 1 if separator else 0
        given: str | None = self.rule.delimiter if self.rule else None
        if given is None and separator:
            given = separator[1]
        candidates = _joined(top[skipped:])
        if given_row is not None:
            candidates = [(number, text) for number, text in candidates if number >= given_row]
            at = 0
        else:
            rows = [cut(t, given or guess_delimiter(t)) or [t] for _, t in candidates]
            at = find_header(rows, wanted_headers(self.stem, self.rule))
        if at >= len(candidates):
            raise IntakeError(
                f"ends before line {given_row or skipped + 1}, where its header should be"
            )
        self._header_line, header = candidates[at]
        self._delimiter = given or guess_delimiter(header)
        self._header_cells = cut(header, self._delimiter)
        if not self._wrapped and is_wrapped(header):
            self._wrapped = True
            self._find_dialect()
            return
        self._titles = self._header_line - 1 - skipped

    def _beyond_doubt(self) -> bool:
        """Whether lines and fields are such that the database cuts them rightly."""
        scan = self.scan
        return (
            not self._wrapped
            and self._header_cells is not None
            and bool(self._header_cells[-1].strip())
            and self.headers == make_headers(self._header_cells)
            and not any("\n" in cell or "\r" in cell for cell in self._header_cells)
            and self._encoding.lower() in ("utf-8", "utf8")
            and scan.utf8
            and not scan.nul
            and scan.returns == scan.returns_before_feed
        )

    def stage(self, build: Build, roles: Mapping[int, set[Role]], rules: ReadingRules) -> Page:
        """Fill the staging table; see :class:`~tracegraph.intake.staging.Sheet`."""
        page = self._stage_fast(build) if self._fast else None
        page = page or self._stage_carefully(build)
        page.delimiter = self._delimiter
        page.header_row = self._header_line
        page.titles = self._titles
        page.printable = self.scan.printable
        page.encoding = self._encoding
        if self._windows_lines and self._encoding == "utf-8" and not self._other_lines:
            page.encoding = "cp1252"
        page.remarks += named_by_us(page.headers)
        if self._wrapped:
            text = "every line stands in quotes of its own: they are taken off"
            page.remarks.append(Remark("quotes", 0, text))
        return page

    def sample(self, most: int) -> list[list[str]]:
        """First rows below the header, as text."""
        page = Page(self.headers, "")
        headers, stream = self._begin_carefully(page)
        rows = self._rows(stream, page, len(headers.names))
        return [row for _, row in islice(rows, most)]

    def _stage_fast(self, build: Build) -> Page | None:
        """Let the database cut the file; None when something was not as expected."""
        clear_page(build)
        given = {
            "path": _unglobbed(str(self.file.path)),
            "delimiter": self._delimiter,
            "skipped": self._header_line,
            "columns": {f"c{i}": "VARCHAR" for i in range(len(self.headers.names))},
            "compression": "gzip" if self.file.packed else "none",
        }
        if build.attempt("intake/read_csv", given) is not None:
            return None
        rows = build.scalar(sql_text("intake/page_rows"))
        if rows != self.scan.lines - self._header_line:
            return None  # blank lines, or fields over several lines: their numbers need care
        page = Page(self.headers, row_sql=f"p.rowid + {self._header_line + 1}")
        if self.scan.quote:
            holds = " OR ".join(f"contains({column}, '\"')" for column in page.columns)
            if build.scalar(compose("intake/rows_where", condition=holds)):
                return None
        return page

    def _begin_carefully(
        self, page: Page, bulk: Bulk | None = None
    ) -> tuple[Headers, Iterator[Record]]:
        """Headers, widened to what most rows hold, and the records below them."""
        width = len(self._header_cells or [])
        header = next(records(self._top_lines(), self._decode, self._delimiter, width))
        if header.fields is None:
            raise IntakeError(f"line {header.line}: {header.problem}")
        below = header.line + header.text.rstrip("\r\n").count("\n") + 1
        width = len(header.fields)
        stream = records(self._lines(below), self._decode, self._delimiter, width)
        headers = _widened(header.fields, list(islice(stream, _PROBED)), page)
        take = bulk.of_width(len(headers.names)) if bulk is not None else _none
        lines = self._lines(below)
        return headers, records(lines, self._decode, self._delimiter, width, take)

    def _top_lines(self) -> Iterator[tuple[int, bytes]]:
        """Lines from the header on, without a byte-order mark."""
        for number, line in self._lines(self._header_line):
            yield number, line.removeprefix(codecs.BOM_UTF8) if number == 1 else line

    def _stage_carefully(self, build: Build) -> Page:
        """Cut the file line by line; lines that need no care are cut in bulk."""
        self.share_read = 0.0
        page = Page(self.headers, row_sql="p.source_row")
        encoding = "utf-8" if self.scan.wide else self._encoding
        bulk = Bulk(build, self._delimiter, encoding)
        page.headers, stream = self._begin_carefully(page, bulk)
        width = len(page.headers.names)
        fill_page(build, width, self._rows(stream, page, width))
        bulk.flush()
        self._windows_lines += bulk.windows_lines
        self._other_lines += bulk.other_lines
        if self._windows_lines:
            text = f"{self._windows_lines} lines are not UTF-8 and were read as cp1252"
            page.remarks.append(Remark("encoding", self._windows_lines, text))
        if self._padding:
            text = (
                f"{self._padding} lines begin, end or are filled with NUL bytes, as by a power cut"
            )
            page.remarks.append(Remark("padding", self._padding, text))
        return page

    def _rows(
        self, stream: Iterator[Record], page: Page, width: int
    ) -> Iterator[tuple[int, list[str]]]:
        short = 0
        self._padding = 0
        for record in stream:
            if record.fields is None:
                page.broken.append(BrokenRow(record.line, record.text, record.problem or ""))
                continue
            fields = _trimmed(record.fields, width)
            if _PADDED in record.text:
                self._padding += 1
                fields[0], fields[-1] = fields[0].lstrip("\0"), fields[-1].rstrip("\0")
            if not any(field.strip("\0 \t\r\n") for field in fields):
                page.blank += 1
            elif len(fields) > width:
                reason = (
                    f"{len(fields)} fields where the header has {width}: a field may hold an "
                    "unquoted delimiter; put it in quotes"
                )
                page.broken.append(BrokenRow(record.line, record.text, reason))
            else:
                short += len(fields) < width
                yield record.line, [*fields, *[""] * (width - len(fields))]
        if short:
            text = f"{short} rows end early; the columns not there count as blank"
            page.remarks.append(Remark("short row", short, text))


def _none(number: int, line: bytes) -> bool:
    return False


def _joined(lines: list[tuple[int, str]]) -> list[tuple[int, str]]:
    """Lines without their ends, each joined with the next while a quote is open."""
    joined: list[tuple[int, str]] = []
    for number, text in lines:
        if joined and joined[-1][1].count('"') % 2 and number <= joined[-1][0] + _HEADER_LINES:
            joined[-1] = (joined[-1][0], joined[-1][1] + text)
        else:
            joined.append((number, text))
    return [(number, text.rstrip("\r\n")) for number, text in joined]


def _widened(header: list[str], probe: list[Record], page: Page) -> Headers:
    """Headers for as many columns as most rows have."""
    header = _trimmed(header, 1)
    _doubt_mark(header, probe, page)
    widths = [len(_trimmed(r.fields, len(header))) for r in probe if r.fields is not None]
    wider = [width for width in widths if width > len(header)]
    if len(wider) * 2 <= len(widths):
        return make_headers(header)
    width = max(set(wider), key=wider.count)
    text = f"rows have {width} fields where the header has {len(header)}"
    if width == len(header) + 1 and _are_numbered(probe):
        text += ": the first one numbers the rows, and has no header"
        header = ["", *header]
    page.remarks.append(Remark("header", len(wider), text))
    return make_headers(header, width)


def _are_numbered(probe: list[Record]) -> bool:
    """Whether the first fields of some rows count them."""
    first = [r.fields[0].strip() for r in probe if r.fields]
    return len(first) > 1 and any(first == [str(n + k) for n in range(len(first))] for k in (0, 1))


def _doubt_mark(header: list[str], probe: list[Record], page: Page) -> None:
    """Say so when the rows are cut by another mark than the header."""
    texts = [r.text for r in probe if r.fields is not None and r.text.strip()]
    if len(header) == 1 or not texts or any(r.fields and len(r.fields) > 1 for r in probe):
        return
    others = [mark for mark in DELIMITERS if all(mark in text for text in texts)]
    if others:
        text = (
            f"the rows are not cut like the header; they hold {others[0]!r}: mend the header, or "
            "name the header's row and the delimiter in intake.toml"
        )
        page.remarks.append(Remark("delimiter", len(texts), text))


def _trimmed(fields: list[str], width: int) -> list[str]:
    """Fields without blank ones at the end beyond a width: trailing delimiters."""
    kept = list(fields)
    while len(kept) > width and not kept[-1].strip():
        kept.pop()
    return kept


def _unglobbed(path: str) -> str:
    return re.sub(r"([\[*?])", r"[\1]", path)
