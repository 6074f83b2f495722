"""Decide which files of a folder are to be read, and which say only what is known."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict, dataclass, field
from itertools import accumulate

from tracegraph.domain.errors import IntakeError
from tracegraph.domain.records import TABLE_BY_NAME
from tracegraph.intake.bytescan import ByteScan, fingerprint, scan
from tracegraph.intake.finishing import READING_VERSION
from tracegraph.intake.folder import Form, FoundFile, LeftOut
from tracegraph.intake.ledger import FileLedger
from tracegraph.intake.mapping import FileRule, IntakeSettings

_AT_ONCE = 2  # files: hashing runs beside the other file's counting

Known = dict[tuple[str, str], tuple[int, int]]  # by bytes and reading: rows seen, furniture


@dataclass(frozen=True)
class Candidate:
    """One file with its fingerprint and the rules by which it would be read.

    Attributes
    ----------
    file : FoundFile
        The file.
    sha256 : str
        Fingerprint of its bytes.
    scan : ByteScan or None
        What the bytes of a text file show.
    rule : FileRule or None
        What the mapping says about it.
    reading : str
        Fingerprint of the rules by which it is read.
    """

    file: FoundFile
    sha256: str
    scan: ByteScan | None
    rule: FileRule | None
    reading: str

    @property
    def understood(self) -> bool:
        """Whether a mapping or its own name says what it is; a workbook's sheets may."""
        return (
            self.rule is not None
            or self.file.stem in TABLE_BY_NAME
            or self.file.form is Form.WORKBOOK
        )


@dataclass
class Sorted:
    """Files sorted by what is to be done with them.

    Attributes
    ----------
    to_read : list of Candidate
        Files that may bring something new.
    repeats : list of FileLedger
        Files whose bytes were loaded before in the same way.
    copies : dict of str to str
        Files that hold the bytes of another file of the folder, with its name.
    forgotten : list of str
        Fingerprints of files whose earlier reading no longer holds.
    left_out : list of LeftOut
        Files that cannot be read.
    """

    to_read: list[Candidate] = field(default_factory=list)
    repeats: list[FileLedger] = field(default_factory=list)
    copies: dict[str, str] = field(default_factory=dict)
    forgotten: list[str] = field(default_factory=list)
    left_out: list[LeftOut] = field(default_factory=list)


def sort_files(
    found: Iterable[tuple[FoundFile, FileRule | None]],
    settings: IntakeSettings,
    known: Known,
    replaced: Mapping[str, Iterable[str]],
    step: Callable[[str, float, float], None],
) -> Sorted:
    """Look through the bytes of files and sort them.

    Parameters
    ----------
    found : iterable of (FoundFile, FileRule or None)
        Files, each with the rule that the mapping has for it.
    settings : IntakeSettings
        What the site says.
    known : dict
        Rows of the files in force.
    replaced : mapping of str to iterable of str
        Fingerprints of earlier states of a name whose next state replaces them.
    step : callable
        Told which file was looked at, and how far that is of all their bytes.

    Returns
    -------
    Sorted
        What to do with each file.
    """
    result = Sorted()
    candidates: list[Candidate] = []
    pairs = list(found)
    total = sum(file.path.stat().st_size for file, _ in pairs) or 1
    with ThreadPoolExecutor(_AT_ONCE) as pool:
        looks = pool.map(_look, (file for file, _ in pairs))
        sizes = accumulate(file.path.stat().st_size for file, _ in pairs)
        for (file, rule), look, size in zip(pairs, looks, sizes, strict=True):
            step(f"{file.name}: looked through its bytes", size / total, size / total)
            if isinstance(look, IntakeError):
                result.left_out.append(LeftOut(file.name, str(look), False))
                continue
            sha256 = look.sha256 if isinstance(look, ByteScan) else look
            looked = look if isinstance(look, ByteScan) else None
            reading = _reading(file, rule, settings)
            candidates.append(Candidate(file, sha256, looked, rule, reading))
    named = [c for c in candidates if c.understood]
    reading_of = dict(known.keys()) | {c.sha256: c.reading for c in reversed(named)}
    before = {sha256 for sha256, _ in known}
    void = {s for c in named for s in replaced.get(c.file.name, ()) if s != c.sha256}
    void |= {c.sha256 for c in named if c.sha256 in before and (c.sha256, c.reading) not in known}
    if void:
        # What one file no longer says, another may have said too: read all of them anew.
        result.forgotten = sorted(void | before.intersection(c.sha256 for c in candidates))
        known = {}
    originals: dict[tuple[str, str, Form], str] = {}
    for candidate in (*named, *(c for c in candidates if not c.understood)):
        reading, name = candidate.reading, candidate.file.name
        if not candidate.understood:
            reading = reading_of.get(candidate.sha256, reading)
        key = (candidate.sha256, reading)
        if key in known:
            result.repeats.append(repeated(name, *known[key]))
        elif (*key, candidate.file.form) in originals:
            result.copies[name] = originals[*key, candidate.file.form]
        else:
            originals[*key, candidate.file.form] = name
            result.to_read.append(candidate)
    return result


def _look(file: FoundFile) -> ByteScan | str | IntakeError:
    """What the bytes of a text file show, the fingerprint of another, or what is wrong."""
    try:
        if file.form is Form.TEXT:
            return scan(file.path, packed=file.packed)
        return fingerprint(file.path)
    except IntakeError as error:
        return error


def repeated(name: str, seen: int, furniture: int) -> FileLedger:
    """Ledger of a file that says only what is known."""
    return FileLedger(name, seen, repeats=seen - furniture, furniture=furniture)


def _reading(file: FoundFile, rule: FileRule | None, settings: IntakeSettings) -> str:
    """Fingerprint of the rules by which a file is read."""
    told = {
        "version": READING_VERSION,
        "rules": asdict(settings.reading_rules(rule)),
        "mask": settings.mask_notes,
        "apart": settings.apart,
        "lots": [lot.model_dump(mode="json") for lot in settings.lots_of_suppliers],
        "rule": rule.model_dump(mode="json", exclude={"match"}) if rule else file.stem,
    }
    text = json.dumps(told, sort_keys=True, default=sorted)
    return hashlib.sha256(text.encode()).hexdigest()[:16]
