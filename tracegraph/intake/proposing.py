"""Propose an ``intake.toml`` for files that nobody has described yet.

A proposal is text for a person: evidence and open questions as comments, what is certain
as entries. Nothing is loaded by it until someone saves it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import takewhile
from pathlib import Path, PurePosixPath

from tracegraph.domain.errors import IntakeError
from tracegraph.domain.records import TABLE_BY_NAME, Role
from tracegraph.intake.bytescan import scan
from tracegraph.intake.folder import Form, FoundFile, survey
from tracegraph.intake.guessing import CERTAIN, CONSTANTS, Guess, guess_tables
from tracegraph.intake.headers import fold
from tracegraph.intake.ids import visible
from tracegraph.intake.parquet import ParquetSheet
from tracegraph.intake.people_names import holds_names, is_name_list
from tracegraph.intake.planning import own_table_rule
from tracegraph.intake.profiling import Profile, profile
from tracegraph.intake.settings import MAPPING_FILE, read_settings
from tracegraph.intake.staging import Sheet
from tracegraph.intake.textfile import TextFile
from tracegraph.intake.workbook import Workbook

_SAMPLE = 2_000
_CONTROLS = re.compile(r"[\x00-\x1f\x7f]")


@dataclass(frozen=True)
class _Unknown:
    """One sheet that nothing speaks for."""

    file: FoundFile
    sheet: str | None
    profiles: tuple[Profile, ...]


def propose(folder: Path) -> str:
    """Write a proposal for the files of a folder that are not understood.

    Parameters
    ----------
    folder : Path
        The folder of records.

    Returns
    -------
    str
        Text of an ``intake.toml``: what to add to the one that is there, or a whole one.
        Lines that begin with ``# ?`` are questions that must be answered first.

    Raises
    ------
    IntakeError
        If the folder holds nothing that can be read, or its ``intake.toml`` is wrong.
    """
    found, left_out = survey(folder)
    settings = read_settings(folder)
    unread = [
        f"# {visible(file.name)}: a list of names behind codes, by name_lists; left unread"
        for file in found
        if settings.names_people(file.inner)
    ]
    unread += [f"# {visible(out.name)}: {out.reason}" for out in left_out if not out.litter]
    unknown: dict[tuple[str, ...], list[_Unknown]] = {}
    for file in found:
        if settings.rule_for(file.inner) is not None or settings.names_people(file.inner):
            continue
        try:
            for sheet in _sheets(file):
                if not _speaks_for_itself(sheet):
                    held = _Unknown(file, sheet.name, tuple(_profiles(sheet)))
                    unknown.setdefault(tuple(map(fold, sheet.headers.names)), []).append(held)
        except IntakeError as error:
            unread.append(f"# {visible(file.name)}: {error}")
    if not unknown:
        return "\n".join(["# Every file that can be read is understood already.", *unread]) + "\n"
    there = (folder / MAPPING_FILE).is_file()
    lines = [
        f"# Proposal for {MAPPING_FILE}{': add this to it' if there else ''}. Read it, answer each",
        '# line that begins with "# ?", and save it beside the files. Nothing is loaded before.',
    ]
    if not there:
        lines += [
            "",
            "# ? In which zone are times written? Give its name, such as Europe/Berlin.",
            'time_zone = "UTC"',
        ]
    for alike in unknown.values():
        lines += ["", *_block(alike)]
    return "\n".join([*lines, *unread]) + "\n"


def _sheets(file: FoundFile) -> Iterator[Sheet]:
    if file.form is Form.PARQUET:
        yield ParquetSheet(file)
    elif file.form is Form.WORKBOOK:
        yield from Workbook(file, None).sheets()
    else:
        yield TextFile(file, scan(file.path, packed=file.packed), None)


def _speaks_for_itself(sheet: Sheet) -> bool:
    try:
        own_table_rule(sheet.stem, sheet.headers)
    except IntakeError:
        return False
    return True


def _profiles(sheet: Sheet) -> Iterator[Profile]:
    rows = sheet.sample(_SAMPLE)
    for index, header in enumerate(sheet.headers.names):
        yield profile(header, [row[index] if index < len(row) else "" for row in rows])


def _block(alike: list[_Unknown]) -> list[str]:
    """Entry for all sheets that have the same headers."""
    first = alike[0]
    files = list(dict.fromkeys(unknown.file.name for unknown in alike))
    sheets = list(dict.fromkeys(unknown.sheet for unknown in alike if unknown.sheet))
    shown = ", ".join(map(visible, files[:4]))
    lines = [f"# {shown}{' and more' if len(files) > 4 else ''}"]
    lines += [f"#   {p.header!r}: {_evidence(p)}" for p in first.profiles]
    if is_name_list(first.profiles):
        patterns = ", ".join(map(_quoted, files))
        return [
            *lines,
            "# This seems to be a list of the names behind people's codes. It is not proposed for",
            "# loading: no name should reach the store.",
            f"# ? Is it? Then add at the top: name_lists = [{patterns}]",
        ]
    named = [p.header for p in first.profiles if holds_names(p)]
    if named:
        lines.append(
            f"# ? Does {', '.join(map(repr, named))} hold names of people? Records take codes: "
            "it is not proposed."
        )
    kept = [p for p in first.profiles if p.header not in named]
    guesses = guess_tables(f"{first.file.stem} {first.sheet or ''}", kept)
    if not guesses:
        tables = ", ".join(TABLE_BY_NAME)
        return [*lines, f"# ? Which table do these rows fill, if any ({tables})?"]
    used = {header for guess in guesses for header, _ in guess.columns.values()}
    unused = [p.header for p in first.profiles if p.header not in used]
    if unused:
        lines.append(f"# Not used: {', '.join(map(repr, unused))}")
    entry = ["[[files]]", f"match = {_quoted(_pattern(files))}"]
    if sheets:
        entry.append(f"sheets = [{', '.join(map(_quoted, sheets))}]")
    questions, orders = _orders(first.profiles, used)
    lines += questions
    entry += orders
    whole = True
    for guess in guesses:
        text, complete = _table(guess)
        whole = whole and (complete or guess is not guesses[0])
        entry += ["", *text]
    return [*lines, *(entry if whole else map(_commented, entry))]


def _evidence(profile: Profile) -> str:
    """What a column looks like; names of people are not repeated."""
    if holds_names(profile):
        return f"perhaps names of people, {profile.filled} of {profile.rows} filled; not shown"
    return profile.evidence


def _orders(profiles: Iterable[Profile], used: set[str]) -> tuple[list[str], list[str]]:
    """Questions about dates, and the order where the dates themselves prove it."""
    dated = [p for p in profiles if p.header in used and p.form in ("date", "time") and p.ordered]
    if not dated:
        return [], []
    proven = {p.order for p in dated if p.order is not None}
    questions = []
    if any(p.short_years for p in dated):
        questions.append("# ? Years have two digits: set two_digit_years_from = 1990 if that fits.")
    if len(proven) == 1:
        return questions, [f"dates = {_quoted(str(proven.pop()))}"]
    names = ", ".join(repr(p.header) for p in dated)
    questions.append(f'# ? Are dates in {names} "day first" or "month first"? Set dates = "...".')
    return questions, []


def _table(guess: Guess) -> tuple[list[str], bool]:
    """Entry of one table, and whether it may stand as it is."""
    constants = CONSTANTS.get(guess.table.name, ())
    questions = [
        f"# ? Nothing tells {gap}."
        + (f' Add {gap} = "..." under constants.' if gap in constants else " Name its column.")
        for gap in guess.open
    ]
    sure = {name: h for name, (h, sureness) in guess.columns.items() if sureness >= CERTAIN}
    unsure = {name: h for name, (h, sureness) in guess.columns.items() if sureness < CERTAIN}
    needed = {f.name for f in guess.table.fields if f.required}
    questions += [
        f"# ? Is {header!r} the {name}? Then add it to columns." for name, header in unsure.items()
    ]
    gaps = needed - sure.keys() - guess.constants.keys()
    groups = [g for g in guess.table.one_of if not sure.keys() & set(g)]
    told = guess.constants
    if told and "quantity" not in sure and guess.table.field_names.count("unit"):
        amount = guess.table.field("quantity").role is Role.NUMBER
        told = {k: v for k, v in told.items() if not (amount and k == "unit")}
    lines = [
        *questions,
        "[[files.tables]]",
        f"table = {_quoted(guess.table.name)}",
        f"columns = {_inline(sure)}",
    ]
    if told:
        lines.append(f"constants = {_inline(told)}")
    complete = not gaps and not groups and not guess.open
    if not complete:
        lines = [*map(_commented, lines)]
    return lines, complete


def _commented(line: str) -> str:
    return line if line.startswith("#") or not line else f"# {line}"


def _inline(pairs: dict[str, str]) -> str:
    return "{ " + ", ".join(f"{name} = {_quoted(text)}" for name, text in pairs.items()) + " }"


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    printable = _CONTROLS.sub(" ", escaped)
    return f'"{printable}"'


def _pattern(names: list[str]) -> str:
    """Pattern that matches file names which differ in one place.

    Examples
    --------
    >>> _pattern(["log_2023.csv", "log_2024.csv"]), _pattern(["a.csv"])
    ('log_202*.csv', 'a.csv')
    """
    bare = [PurePosixPath(name).name for name in names]
    if len(set(bare)) == 1:
        return bare[0]
    start = _shared_start(bare)
    end = _shared_start([name[len(start) :][::-1] for name in bare])[::-1]
    return f"{start}*{end}"


def _shared_start(names: list[str]) -> str:
    first, last = min(names), max(names)
    pairs = zip(first, last, strict=False)
    return first[: sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], pairs))]
