"""Bytes of a text file as plain lines of UTF-8: line ends, encodings, quotes around lines."""

from __future__ import annotations

import codecs
from collections.abc import Iterator

from tracegraph.intake.lines import cut, guess_delimiter


def is_wrapped(header: str) -> bool:
    """Whether a header line is one quoted field that holds several."""
    inner = unwrapped(header.encode()).decode()
    return (
        inner != header
        and (cut(header, guess_delimiter(header)) or []) == [inner]
        and (len(cut(inner, guess_delimiter(inner)) or []) > 1)
    )


def unwrapped(line: bytes) -> bytes:
    """Line without the quotes around the whole of it."""
    body = line.rstrip(b"\r\n")
    if len(body) < 2 or not (body.startswith(b'"') and body.endswith(b'"')):
        return line
    return body[1:-1].replace(b'""', b'"') + line[len(body) :]


def with_feeds(source: Iterator[bytes]) -> Iterator[bytes]:
    """Bytes whose lines all end with a line feed: carriage returns alone end lines too."""
    held = b""
    for chunk in source:
        block = held + chunk
        held = b"\r" if block.endswith(b"\r") else b""
        block = block.removesuffix(held) if held else block
        yield block.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    if held:
        yield b"\n"


def as_utf8(source: Iterator[bytes], encoding: str) -> Iterator[bytes]:
    """The same text in UTF-8; what the encoding does not know is a replacement mark."""
    decoder = codecs.getincrementaldecoder(encoding)(errors="replace")
    for chunk in source:
        yield decoder.decode(chunk).encode("utf-8", "surrogatepass")
    yield decoder.decode(b"", final=True).encode("utf-8", "surrogatepass")
