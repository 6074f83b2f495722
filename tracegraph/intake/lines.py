"""Cut text into lines and fields with care: odd quotes, ragged rows, mixed encodings."""

from __future__ import annotations

import codecs
import re
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from typing import NamedTuple

DELIMITERS = (",", ";", "\t", "|", "^", "~")
_OPEN_QUOTE = "a quote is opened here and not closed rightly; mend the line"
_LONGEST_RECORD = 50_000  # lines: a quote left open longer than this is taken for a slip
_TRIED = 200  # lines up to which each quote may be the closing one
_LIKE_RECORDS = 3  # lines inside a quote that look like records show that it is a slip


class Record(NamedTuple):
    """One record of a text file.

    Attributes
    ----------
    line : int
        Physical line where it starts, counted from 1.
    fields : list of str or None
        Its fields; None when the line could not be cut.
    text : str
        The line or lines as written.
    problem : str or None
        Why it could not be cut.
    """

    line: int
    fields: list[str] | None
    text: str
    problem: str | None = None


def physical_lines(chunks: Iterable[bytes]) -> Iterator[bytes]:
    """Lines of a byte stream, each with its line feed."""
    rest = b""
    for chunk in chunks:
        block = rest + chunk
        lines = block.split(b"\n")
        rest = lines.pop()
        for line in lines:
            yield line + b"\n"
    if rest:
        yield rest


def decode_line(line: bytes, encoding: str) -> tuple[str, bool]:
    """Text of a line, and whether it had to be read as cp1252 against the file's encoding."""
    try:
        return line.decode(encoding), False
    except UnicodeDecodeError:
        return decode_windows(line), True


def decode_windows(line: bytes) -> str:
    """Text of Windows western bytes; its five unused bytes keep their Latin-1 meaning."""
    try:
        return line.decode("cp1252")
    except UnicodeDecodeError:
        return "".join(
            codecs.decode(bytes([b]), "latin-1" if b in _UNUSED else "cp1252") for b in line
        )


_UNUSED = frozenset({0x81, 0x8D, 0x8F, 0x90, 0x9D})


def cut(text: str, delimiter: str) -> list[str] | None:
    """Fields of one record's text, without its line end.

    A quote has its meaning only at the start of a field; elsewhere it is a character
    like any other. Inside a quoted field two quotes stand for one.

    Parameters
    ----------
    text : str
        The record.
    delimiter : str
        One character.

    Returns
    -------
    list of str or None
        None when a quoted field is not closed, or something follows its closing quote.

    Examples
    --------
    >>> cut('BT-1,2" gouge,"said ""ok"", twice"', ",")
    ['BT-1', '2" gouge', 'said "ok", twice']
    >>> cut('BT-1,"open', ",") is None
    True
    """
    if '"' not in text:
        return text.split(delimiter)
    fields: list[str] = []
    position, end = 0, len(text)
    while True:
        if text.startswith('"', position):
            close = _closing_quote(text, position + 1)
            if close is None:
                return None
            fields.append(text[position + 1 : close].replace('""', '"'))
            position = close + 1
            tail = _BLANKS.match(text, position)
            position = tail.end() if tail else position
            if position < end and text[position] != delimiter:
                return None
        else:
            stop = text.find(delimiter, position)
            stop = end if stop < 0 else stop
            fields.append(text[position:stop])
            position = stop
        if position >= end:
            return fields
        position += 1


_BLANKS = re.compile(" *")


def _closing_quote(text: str, position: int) -> int | None:
    while True:
        found = text.find('"', position)
        if found < 0:
            return None
        if not text.startswith('""', found):
            return found
        position = found + 2


def records(
    lines: Iterable[tuple[int, bytes]],
    decode: Callable[[bytes], str],
    delimiter: str,
    width: int,
    take: Callable[[int, bytes], bool] = lambda number, line: False,
) -> Iterator[Record]:
    """Cut numbered lines into records; a quoted field may run over several lines.

    A quote that is opened and never rightly closed spoils its own line only: when the
    lines up to the closing quote do not make a record of the expected width, or look like
    records themselves, the first of them is given back as broken and cutting goes on with
    the next.

    Parameters
    ----------
    lines : iterable of (int, bytes)
        Line number and bytes, with the line end.
    decode : callable
        Text of a line.
    delimiter : str
        One character.
    width : int
        Number of fields expected.
    take : callable, optional
        Offered each line that begins a record; true when it takes the line for itself,
        because nothing in it needs care.
    """
    stream = iter(lines)
    waiting: deque[tuple[int, bytes]] = deque()
    while True:
        if waiting:
            number, line = waiting.popleft()
        else:
            head = next(stream, None)
            if head is None:
                return
            number, line = head
        if take(number, line):
            continue
        text = decode(line)
        fields = cut(text.rstrip("\r\n"), delimiter)
        if fields is None or (len(fields) > width and '"' in text):
            fields = _leniently(text, delimiter, width) or fields
        if fields is not None:
            yield Record(number, fields, text)
            continue
        taken = alike = 0
        joined = [text]
        longest = _LONGEST_RECORD if width > 2 else _TRIED
        while fields is None and taken < longest and alike < _LIKE_RECORDS:
            if taken == len(waiting):
                more = next(stream, None)
                if more is None:
                    break
                waiting.append(more)
            added = decode(waiting[taken][1])
            joined.append(added)
            taken += 1
            quotes = added.count('"')
            if quotes % 2 or (quotes and taken <= _TRIED):
                fields = cut("".join(joined).rstrip("\r\n"), delimiter)
            if width > 2 and quotes % 2 == 0 and added.count(delimiter) >= width - 1:
                alike += len(cut(added.rstrip("\r\n"), delimiter) or ()) == width
        if fields is not None and len(fields) == width:
            for _ in range(taken):
                waiting.popleft()
            yield Record(number, fields, "".join(joined))
        else:
            yield Record(number, None, text, _OPEN_QUOTE)


def _leniently(text: str, delimiter: str, width: int) -> list[str] | None:
    """Fields of a line that breaks the rule of quotes and has one reading all the same.

    Quotes may be escaped by a backslash, stand behind spaces, or around a word at the start
    of a field; every quote that is opened must be closed, and the fields must be as many as
    expected.
    """
    line = text.rstrip("\r\n")
    escaped = cut(line.replace('\\"', '""'), delimiter)
    if escaped is not None and len(escaped) == width:
        return escaped
    if line.count('"') % 2:
        return None
    tight = re.sub(f'({re.escape(delimiter)}|^) +"', r'\1"', line)
    readings = (
        cut(tight, delimiter),
        line.split(delimiter),
    )
    for fields in readings:
        if fields is not None and len(fields) == width:
            return fields
    return None


def guess_delimiter(header: str) -> str:
    """Mark that cuts a header line into most fields; a comma when none does.

    Examples
    --------
    >>> guess_delimiter("hull_serial;model;shipped_on")
    ';'
    """
    best, most = ",", 1
    for delimiter in DELIMITERS:
        fields = cut(header, delimiter)
        if fields is not None and len(fields) > most:
            best, most = delimiter, len(fields)
    return best
