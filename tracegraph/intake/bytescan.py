"""Look once through the bytes of a text file: fingerprint, encoding, line ends, quotes."""

from __future__ import annotations

import codecs
import gzip
import hashlib
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tracegraph.domain.errors import IntakeError

_CHUNK = 1 << 22
_START = 512
_SMALL_ENOUGH = 64 * 2**20
_LARGEST_RATIO = 500
_PLAIN = bytes(range(0x20, 0x7F)) + b"\n"
_CONTROLS = frozenset(range(0x20)) - {10, 13} | {127}


@dataclass(frozen=True)
class ByteScan:
    """What the bytes of a text file show.

    Attributes
    ----------
    sha256 : str
        Fingerprint of the (unpacked) bytes.
    size : int
        Number of (unpacked) bytes.
    lines : int
        Line feeds, plus one for a last line without one.
    wide : bool
        Whether characters are two or four bytes wide: UTF-16 and UTF-32, by their marks, or
        UTF-16 by its zeros.
    start : bytes
        First bytes.
    utf8 : bool
        Whether all bytes are valid UTF-8.
    printable : bool
        Whether all bytes are printable ASCII or line ends.
    nul : bool
        Whether a NUL byte occurs.
    quote : bool
        Whether a double quote occurs.
    returns : int
        Carriage returns.
    returns_before_feed : int
        Carriage returns that a line feed follows.
    """

    sha256: str
    size: int
    lines: int
    wide: bool
    start: bytes
    utf8: bool
    printable: bool
    nul: bool
    quote: bool
    returns: int
    returns_before_feed: int


def chunks(path: Path, *, packed: bool, size: int = _CHUNK) -> Iterator[bytes]:
    """Bytes of a file, unpacked when it is gzip.

    Raises
    ------
    IntakeError
        If the file ends in the middle of a gzip stream, unpacks to far more than it is, or
        cannot be read.
    """
    try:
        most = max(_SMALL_ENOUGH, _LARGEST_RATIO * path.stat().st_size)
        with path.open("rb") as plain, gzip.open(plain) if packed else plain as file:
            while chunk := file.read(size):
                yield chunk
                most -= len(chunk)
                if packed and most < 0:
                    raise IntakeError(
                        f"refused: unpacks to more than the limit of {_LARGEST_RATIO} times its "
                        "size; unpack it yourself if it is right"
                    )
    except (EOFError, zlib.error, gzip.BadGzipFile) as error:
        raise IntakeError(
            f"{path.name} is a damaged gzip file: {error}. Export or copy it again."
        ) from error
    except OSError as error:
        raise IntakeError(f"{path.name} cannot be read: {error.strerror}.") from error


def fingerprint(path: Path) -> str:
    """SHA-256 of a file's bytes."""
    digest = hashlib.sha256()
    for chunk in chunks(path, packed=False):
        digest.update(chunk)
    return digest.hexdigest()


def scan(path: Path, *, packed: bool) -> ByteScan:
    """Scan a text file.

    Parameters
    ----------
    path : Path
        The file.
    packed : bool
        Whether it is gzip.

    Returns
    -------
    ByteScan
        Facts about all of its bytes.
    """
    digest = hashlib.sha256()
    decoder = codecs.getincrementaldecoder("utf-8")()
    size = feeds = returns = pairs = 0
    utf8, ascii_only, nul, quote, controls = True, True, False, False, False
    start = last = b""
    for chunk in chunks(path, packed=packed):
        digest.update(chunk)
        start = start or chunk[:_START]
        size += len(chunk)
        feeds += chunk.count(b"\n")
        quote = quote or b'"' in chunk
        if chunk.translate(None, _PLAIN):
            found = chunk.count(b"\r")
            returns += found
            pairs += chunk.count(b"\r\n") + (last.endswith(b"\r") and chunk.startswith(b"\n"))
            nul = nul or b"\0" in chunk
            controls = controls or not _CONTROLS.isdisjoint(chunk)
        if utf8 and not (chunk.isascii() and ascii_only):
            ascii_only = False
            try:
                decoder.decode(chunk)
            except UnicodeDecodeError:
                utf8 = False
        last = chunk[-1:]
    if utf8:
        try:
            decoder.decode(b"", final=True)
        except UnicodeDecodeError:
            utf8 = False
    marks = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE, codecs.BOM_UTF32_BE)
    marked = start.startswith(
        marks
    )  # the mark of UTF-32 with the low byte first begins as UTF-16's
    fewer, zeros = sorted((start[0::2].count(0), start[1::2].count(0)))
    four = sum(start[place::4].count(0) * 8 > len(start) > 0 for place in range(4)) == 3
    lines = feeds + (1 if last not in (b"", b"\n") else 0)
    return ByteScan(
        digest.hexdigest(),
        size,
        lines,
        marked or four or (zeros * 3 > len(start) > 0 and fewer * 10 < zeros),
        start,
        utf8,
        ascii_only and not controls,
        nul,
        quote,
        returns,
        pairs,
    )
