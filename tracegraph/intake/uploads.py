"""Files that came through the browser: checked, and put into a folder of their own."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Sequence
from pathlib import Path, PurePosixPath
from typing import BinaryIO, Protocol

from tracegraph.domain.errors import IntakeError
from tracegraph.intake.ids import visible
from tracegraph.intake.settings import MAPPING_FILE, read_settings

MOST_FILES = 100
LARGEST_FILE = 50 * 2**20
LARGEST_SUM = 200 * 2**20
ENDINGS = ("csv", "tsv", "txt", "gz", "xlsx", "xlsm", "parquet", "toml")
_LONGEST_NAME = 120
_BY_FOLDER = "Put the files into a folder on the app's machine and load that folder instead."


class Upload(Protocol):
    """One file that came through the browser."""

    @property
    def name(self) -> str:
        """Name that its sender gave it."""

    @property
    def size(self) -> int:
        """Number of its bytes."""

    def seek(self, offset: int, /) -> int:
        """Go to a byte."""

    def read(self, size: int, /) -> bytes:
        """Read some bytes."""


def keep_uploads(files: Sequence[Upload]) -> Path:
    """Put uploaded files into a private folder, under harmless names.

    Parameters
    ----------
    files : sequence of Upload
        The files.

    Returns
    -------
    Path
        The folder, readable for nobody else; whoever loads it removes it.

    Raises
    ------
    IntakeError
        If they are too many or too large, a name cannot be kept, or an uploaded
        ``intake.toml`` names queries.
    """
    _within_limits(files)
    names = [_harmless(file.name) for file in files]
    twice = {name for name in names if names.count(name) > 1}
    if twice:
        raise IntakeError(
            f"Each file needs a name of its own; {sorted(twice)[0]!r} came twice. Rename one."
        )
    folder = Path(tempfile.mkdtemp(prefix="tracegraph-upload-"))
    try:
        for file, name in zip(files, names, strict=True):
            file.seek(0)
            with (folder / name).open("xb") as kept:
                _copy(file, kept)
        if read_settings(folder).queries:
            raise IntakeError(
                f"An uploaded {MAPPING_FILE} may not name queries: they would reach into the "
                f"server's databases. {_BY_FOLDER}"
            )
    except OSError as error:
        remove_uploads(folder)
        raise IntakeError(
            f"The files cannot be kept: {error.strerror}. Make room, or {_BY_FOLDER}"
        ) from error
    except BaseException:
        remove_uploads(folder)
        raise
    return folder


def remove_uploads(folder: Path) -> None:
    """Remove the folder that :func:`keep_uploads` made."""
    shutil.rmtree(folder, ignore_errors=True)


def limits_sentence() -> str:
    """What may be uploaded at once, for a reader."""
    return (
        f"Up to {MOST_FILES} files of {LARGEST_FILE // 2**20} MB each, {LARGEST_SUM // 2**20} MB "
        "in all; for more, load a folder on the app's machine. The files are removed after "
        f"the load. {MAPPING_FILE} may be among them."
    )


def _within_limits(files: Sequence[Upload]) -> None:
    if not files:
        raise IntakeError("No file was chosen. Choose files of records.")
    if len(files) > MOST_FILES:
        raise IntakeError(f"Up to {MOST_FILES} files at once; got {len(files)}. {_BY_FOLDER}")
    for file in files:
        if file.size > LARGEST_FILE:
            raise IntakeError(
                f"A file may have up to {LARGEST_FILE // 2**20} MB; {_shown(file.name)!r} has "
                f"{file.size / 2**20:.0f} MB. {_BY_FOLDER}"
            )
    total = sum(file.size for file in files)
    if total > LARGEST_SUM:
        raise IntakeError(
            f"All files together may have up to {LARGEST_SUM // 2**20} MB; got "
            f"{total / 2**20:.0f} MB. {_BY_FOLDER}"
        )


def _harmless(name: str) -> str:
    """Last part of a name, without what no eye sees; it cannot lead out of a folder."""
    bare = visible(PurePosixPath(name.replace("\\", "/")).name)
    ending = bare.rpartition(".")[2].casefold()
    if not bare.strip(". ") or bare.startswith(".") or len(bare.encode()) > _LONGEST_NAME:
        raise IntakeError(
            f"A file needs a name of up to {_LONGEST_NAME} bytes that does not begin with a full "
            f"stop; got {_shown(name)!r}. Rename it."
        )
    if ending not in ENDINGS:
        raise IntakeError(
            f"CSV, TSV, TXT (also .gz), XLSX, Parquet and {MAPPING_FILE} are read; got "
            f"{_shown(name)!r}. Save it as one of them."
        )
    return bare


def _shown(name: str) -> str:
    return visible(name)[:60]


def _copy(file: Upload, kept: BinaryIO) -> None:
    """Copy no more bytes than the file said it has."""
    left = file.size
    while left > 0 and (chunk := file.read(min(left, 1 << 20))):
        kept.write(chunk)
        left -= len(chunk)
