"""Look through a folder of records and tell what each file is, by name and first bytes."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from pathlib import Path, PurePosixPath
from zipfile import is_zipfile

from tracegraph.domain.errors import IntakeError
from tracegraph.intake.settings import MAPPING_FILE
from tracegraph.intake.signatures import not_a_workbook


class Form(Enum):
    """How the bytes of a file hold records."""

    TEXT = "text"
    WORKBOOK = "workbook"
    PARQUET = "parquet"


@dataclass(frozen=True)
class FoundFile:
    """One file that may hold records.

    Attributes
    ----------
    path : Path
        Where it is.
    name : str
        Path inside the folder, with forward slashes.
    form : Form
        How to read it.
    packed : bool
        Whether its bytes are gzip.
    """

    path: Path
    name: str
    form: Form
    packed: bool

    @property
    def inner(self) -> PurePosixPath:
        """The name as a path."""
        return PurePosixPath(self.name)

    @property
    def stem(self) -> str:
        """File name without its endings, in lower case."""
        name = self.inner.name.casefold()
        for ending in (".gz", *_ENDINGS, _OLD_WORKBOOK):
            name = name.removesuffix(ending)
        return name


@dataclass(frozen=True)
class LeftOut:
    """One file that is not read, and why.

    Attributes
    ----------
    name : str
        Path inside the folder.
    reason : str
        One sentence.
    litter : bool
        True when nobody would expect it to be read.
    """

    name: str
    reason: str
    litter: bool


_ENDINGS = {
    ".csv": Form.TEXT,
    ".tsv": Form.TEXT,
    ".txt": Form.TEXT,
    ".xlsx": Form.WORKBOOK,
    ".xlsm": Form.WORKBOOK,
    ".parquet": Form.PARQUET,
}
_OLD_WORKBOOK = ".xls"  # newer workbooks bear it too
_OWN_FILES = {
    MAPPING_FILE: "the description of the other files",
    "intake.proposed.toml": "a proposal that nobody has accepted yet",
    "answer_key.json": "the answer key of a synthetic build",
    "readme.md": "a text for readers",
    "readme.txt": "a text for readers",
}
_SYSTEM = {"thumbs.db", "ehthumbs.db", "desktop.ini", ".ds_store", "icon\r"}
_SYSTEM_ENDINGS = (":zone.identifier", ":encryptable", ".crc", ".lock", ".lck")
# Deleted files, what a disk check found, and what a file server keeps for itself.
_SYSTEM_FOLDERS = {"__macosx", "$recycle.bin", "#recycle", "recycler", "lost+found"}
_SYSTEM_FOLDERS |= {"system volume information", "@eadir"}
_MARKERS = ("_success", "_started", "_committed", "_metadata", "_common_metadata")
_PICTURES = (".jpg", ".jpeg", ".png", ".webp", ".gif", ".bmp", ".tif", ".tiff")
_UNFINISHED = (
    ".part",
    ".partial",
    ".filepart",
    ".crdownload",
    ".download",
    ".tmp",
    ".bak",
    ".old",
    ".orig",
    ".swp",
    ".swo",
    ".opdownload",
    "#",
    "~",
)
_ACCEPTED = "CSV, TSV, TXT (also .gz), XLSX and Parquet"


def survey(folder: Path, *, may_be_empty: bool = False) -> tuple[list[FoundFile], list[LeftOut]]:
    """Find the files of a folder and its subfolders, in the order of their names.

    Parameters
    ----------
    folder : Path
        The folder of records.
    may_be_empty : bool, default False
        Whether records may come from elsewhere, so that no file is needed.

    Returns
    -------
    found : list of FoundFile
        Files that may hold records.
    left_out : list of LeftOut
        All other files.

    Raises
    ------
    IntakeError
        If the folder is missing, is a file, or holds no file that can be read.
    """
    if not folder.exists():
        raise IntakeError(f"{folder} does not exist. Name the folder that holds the records.")
    if not folder.is_dir():
        raise IntakeError(f"{folder} is a file; a folder is expected. Name the folder around it.")
    found: list[FoundFile] = []
    left_out: list[LeftOut] = []
    for path in _walk(folder):
        name = path.relative_to(folder).as_posix()
        judged = _judge(folder, path, name)
        if isinstance(judged, FoundFile):
            found.append(judged)
        else:
            left_out.append(judged)
    if not found and not may_be_empty:
        expected = f"a file of records ({_ACCEPTED}) is expected"
        held = (
            f"it holds {', '.join(out.name for out in left_out[:5])}" if left_out else "it is empty"
        )
        raise IntakeError(f"{folder}: {expected}; {held}. Name the folder that holds the records.")
    return found, left_out


def find_file(path: Path) -> FoundFile | LeftOut:
    """Judge one file by itself: how it is read, or why it is not."""
    return _judge(path.parent, path, path.name)


def _walk(folder: Path) -> Iterator[Path]:
    for parent, folders, names in os.walk(folder):
        hidden = [n for n in folders if n.startswith(".") or n.casefold() in _SYSTEM_FOLDERS]
        folders[:] = sorted(set(folders) - set(hidden))
        links = [name for name in folders if (Path(parent) / name).is_symlink()]
        for name in sorted([*names, *links, *hidden]):
            yield Path(parent) / name


def _judge(folder: Path, path: Path, name: str) -> FoundFile | LeftOut:
    low = path.name.casefold()
    shown = name.encode("utf-8", "replace").decode()
    if shown != name:
        return LeftOut(shown, "its name holds bytes that are no characters: rename it", False)
    if path.is_dir() and not path.is_symlink():
        own = low in _SYSTEM_FOLDERS - {"__macosx"}
        return LeftOut(name, "a folder of the system" if own else "a hidden folder", True)
    if path.is_dir():
        return LeftOut(name, "refused: a link to a folder is not followed", False)
    if low in _OWN_FILES:
        return LeftOut(name, f"not records: {_OWN_FILES[low]}", True)
    if low in _SYSTEM or low.startswith(".") or low.endswith(_SYSTEM_ENDINGS):
        return LeftOut(name, "left by the operating system", True)
    if low.startswith("~$"):
        return LeftOut(name, "a lock that a spreadsheet leaves while a workbook is open", True)
    if low.endswith(_UNFINISHED):
        return LeftOut(name, "an unfinished or saved copy", True)
    if low.startswith(_MARKERS) and "." not in low:
        return LeftOut(name, "a mark that a program leaves beside the files it wrote", True)
    bare = low.removesuffix(".gz")
    form = next((form for ending, form in _ENDINGS.items() if bare.endswith(ending)), None)
    if form is None and low.endswith(_PICTURES):
        return LeftOut(name, "a picture, shown beside the checks that name it", True)
    if form is None and not bare.endswith(_OLD_WORKBOOK):
        return LeftOut(name, f"not understood: {_ACCEPTED} are read", False)
    try:
        inside = path.resolve().is_relative_to(folder.resolve())
    except (OSError, RuntimeError):
        return LeftOut(name, "refused: the link leads round in a circle", False)
    if not inside:
        return LeftOut(name, "refused: the link leads out of the folder", False)
    if not path.is_file():
        return LeftOut(name, "not an ordinary file", False)
    try:
        with path.open("rb") as file:
            packed = file.read(2) == b"\x1f\x8b"
        if form is None and not is_zipfile(path):
            return LeftOut(name, not_a_workbook(path), False)
    except OSError as error:
        return LeftOut(name, f"cannot be opened: {error.strerror}", False)
    form = form or Form.WORKBOOK
    return FoundFile(path, name, form, packed)
