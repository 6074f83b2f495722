"""Bring a CSV or TSV file into the staging table: the fast road, or the careful one."""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterator
from itertools import chain, islice

from tracegraph.domain.errors import IntakeError
from tracegraph.domain.records import TABLE_BY_NAME
from tracegraph.intake.bytescan import ByteScan, chunks
from tracegraph.intake.folder import FoundFile
from tracegraph.intake.headers import (
    NOT_UNDERSTOOD,
    SEARCHED,
    Headers,
    find_header,
    make_headers,
    wanted_headers,
)
from tracegraph.intake.ledger import Remark
from tracegraph.intake.lines import (
    Record,
    cut,
    decode_line,
    guess_delimiter,
    physical_lines,
    records,
)
from tracegraph.intake.mapping import FileRule
from tracegraph.intake.staging import BrokenRow, Page, clear_page, fill_page
from tracegraph.store import Build

_SEPARATOR_LINE = re.compile(r"sep=(.)\s*")
_PROBED = 200


class TextFile:
    """One CSV or TSV file.

    Parameters
    ----------
    file : FoundFile
        Where it is.
    scan : ByteScan
        What its bytes show.
    rule : FileRule or None
        What the mapping says about it.
    """

    def __init__(self, file: FoundFile, scan: ByteScan, rule: FileRule | None) -> None:
        self.file = file
        self.scan = scan
        self.rule = rule
        self.encoding = self._encoding()
        self.windows_lines = 0
        self._find_dialect()

    def _encoding(self) -> str:
        if self.rule is not None and self.rule.encoding is not None:
            return self.rule.encoding
        if self.scan.bom == "utf-16":
            return "utf-16"
        return "utf-8"

    def _lines(self) -> Iterator[tuple[int, str]]:
        end = b"\r" if self.scan.old_line_ends else b"\n"
        source = chunks(self.file.path, packed=self.file.packed)
        if self.encoding == "utf-16":
            source = _as_utf8(source)
        encoding = "utf-8" if self.encoding == "utf-16" else self.encoding
        for number, line in enumerate(physical_lines(source, end), start=1):
            text, windows = decode_line(line, encoding)
            self.windows_lines += windows
            yield number, text.removeprefix("\ufeff") if number == 1 else text

    def _find_dialect(self) -> None:
        top = list(islice(self._lines(), SEARCHED))
        if not top or not any(text.strip() for _, text in top):
            raise IntakeError("holds no rows: it is empty")
        texts = [text.rstrip("\r\n") for _, text in top]
        wanted = wanted_headers(self.file.stem, self.rule)
        separator = _SEPARATOR_LINE.fullmatch(texts[0])
        skipped = 1 if separator else 0
        given: str | None = self.rule.delimiter if self.rule else None
        if given is None and separator:
            given = separator[1]
        if self.rule is not None and self.rule.header_row is not None:
            self.header_line = self.rule.header_row
        else:
            rows = [cut(t, given or guess_delimiter(t)) or [t] for t in texts[skipped:]]
            self.header_line = find_header(rows, wanted) + skipped + 1
        if self.header_line > len(texts):
            raise IntakeError(f"ends before line {self.header_line}, where its header should be")
        header = texts[self.header_line - 1]
        self.delimiter = given or guess_delimiter(header)
        self.header_cells = cut(header, self.delimiter)
        self.titles = self.header_line - 1 - skipped

    def check_known(self) -> None:
        """Refuse a file that no mapping and no table name speaks for, before reading it.

        Raises
        ------
        IntakeError
            If nobody says what the file is.
        """
        if self.rule is None and self.file.stem not in TABLE_BY_NAME:
            raise IntakeError(NOT_UNDERSTOOD)

    def stage(self, build: Build) -> Page:
        """Fill the staging table.

        Parameters
        ----------
        build : Build
            The build being loaded.

        Returns
        -------
        Page
            The rows, still text.

        Raises
        ------
        IntakeError
            If there is no row below the header.
        """
        page = self._stage_fast(build) or self._stage_carefully(build)
        page.sha256 = self.scan.sha256
        page.encoding = self.encoding
        page.titles = self.titles
        page.printable = self.scan.printable
        for name in page.headers.made:
            page.remarks.append(
                Remark("header", 1, f"a column has no name of its own and is called {name!r}")
            )
        return page

    def _stage_fast(self, build: Build) -> Page | None:
        """Let the database cut the file, when its lines and quotes are beyond doubt."""
        scan = self.scan
        wide = self.header_cells
        if (
            wide is None
            or not scan.utf8
            or self.encoding != "utf-8"
            or scan.nul
            or scan.returns != scan.returns_before_feed
            or any("\n" in cell for cell in wide)
        ):
            return None
        headers = make_headers(wide)
        clear_page(build)
        fault = build.attempt(
            "intake/read_csv",
            {
                "path": _unglobbed(str(self.file.path)),
                "delimiter": self.delimiter,
                "skipped": self.header_line,
                "columns": {f"c{i}": "VARCHAR" for i in range(len(wide))},
                "compression": "gzip" if self.file.packed else "none",
            },
        )
        if fault is not None:
            return None
        if build.scalar("SELECT count(*) FROM page") != scan.lines - self.header_line:
            return None  # blank lines, or fields over several lines: their numbers need care
        page = Page(headers, row_sql=f"p.rowid + {self.header_line + 1}")
        if scan.quote and self._holds_quotes(build, page):
            return None
        return page

    def _holds_quotes(self, build: Build, page: Page) -> bool:
        test = " OR ".join(f"contains({column}, '\"')" for column in page.columns)
        return bool(build.scalar(f"SELECT count(*) FROM page WHERE {test}"))

    def _stage_carefully(self, build: Build) -> Page:
        """Cut the file line by line."""
        stream = records(
            self._lines_from(self.header_line), self.delimiter, len(self.header_cells or [])
        )
        header = next(stream)
        if header.fields is None:
            raise IntakeError(f"line {header.line}: {header.problem}")
        stream = records(self._after(header), self.delimiter, len(header.fields))
        probe = list(islice(stream, _PROBED))
        headers = self._widened(header.fields, probe)
        page = Page(headers, row_sql="p.source_row")
        rows = self._rows(probe, stream, page, len(headers.names))
        fill_page(build, len(headers.names), rows)
        if self.windows_lines:
            page.remarks.append(
                Remark(
                    "encoding", self.windows_lines, "lines are not UTF-8 and were read as cp1252"
                )
            )
        return page

    def _lines_from(self, first: int) -> Iterator[tuple[int, str]]:
        self.windows_lines = 0
        return ((number, text) for number, text in self._lines() if number >= first)

    def _after(self, header: Record) -> Iterator[tuple[int, str]]:
        return self._lines_from(header.line + header.text.rstrip("\r\n").count("\n") + 1)

    def _widened(self, header: list[str], probe: list[Record]) -> Headers:
        widths = [len(_trimmed(r.fields, len(header))) for r in probe if r.fields is not None]
        wider = [width for width in widths if width > len(header)]
        if len(wider) * 2 > len(widths):
            return make_headers(header, max(set(wider), key=wider.count))
        return make_headers(_trimmed(header, 1))

    def _rows(
        self, probe: list[Record], rest: Iterator[Record], page: Page, width: int
    ) -> Iterator[tuple[int, list[str]]]:
        short = 0
        for record in chain(probe, rest):
            if record.fields is None:
                page.broken.append(BrokenRow(record.line, record.text, record.problem or ""))
                continue
            fields = _trimmed(record.fields, width)
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
            page.remarks.append(
                Remark("short row", short, "rows end early; the columns not there count as blank")
            )


def _trimmed(fields: list[str] | None, width: int) -> list[str]:
    """Fields without blank ones at the end beyond a width: trailing delimiters."""
    kept = list(fields or [])
    while len(kept) > width and not kept[-1].strip():
        kept.pop()
    return kept


def _unglobbed(path: str) -> str:
    return re.sub(r"([\[*?])", r"[\1]", path)


def _as_utf8(source: Iterator[bytes]) -> Iterator[bytes]:
    decoder = codecs.getincrementaldecoder("utf-16")()
    for chunk in source:
        yield decoder.decode(chunk).encode("utf-8", "surrogatepass")
