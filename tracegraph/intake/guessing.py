"""Guess which table a sheet fills and which column is which field, and say how sure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from difflib import SequenceMatcher

from tracegraph.domain.records import TABLES, Field, RecordTable, Role
from tracegraph.intake.profiling import Profile
from tracegraph.intake.vocabulary import (
    DEFAULT_UNITS,
    FIELD_WORDS,
    TABLE_WORDS,
    quantity_in,
    unit_in,
    words,
)

CERTAIN = 0.85
POSSIBLE = 0.6
_FORMS = {
    Role.DATE: {"date", "time"},
    Role.TIME: {"date", "time"},
    Role.NUMBER: {"number"},
    Role.SHARE: {"number"},
    Role.WHOLE: {"number"},
    Role.FLAG: {"yes or no", "number"},
}
# Fields that one sheet often says once, in its name, instead of in each row.
CONSTANTS = {
    "operations": ("step",),
    "parts": ("part",),
    "usages": ("material",),
    "lots": ("material",),
    "readings": ("quantity", "unit"),
    "ambient": ("quantity", "unit", "station"),
    "components": ("component",),
    "inspections": ("checkpoint",),
}


@dataclass(frozen=True)
class Guess:
    """One table that a sheet may fill.

    Attributes
    ----------
    table : RecordTable
        The table.
    columns : dict of str to (str, float)
        Header and sureness of each field.
    constants : dict of str to str
        Fields that the headers themselves tell.
    open : tuple of str
        Required fields, or groups of which one is required, that nothing tells.
    """

    table: RecordTable
    columns: dict[str, tuple[str, float]]
    constants: dict[str, str] = field(default_factory=dict)
    open: tuple[str, ...] = ()


def guess_tables(name: str, profiles: Sequence[Profile]) -> list[Guess]:
    """Guess the tables that a sheet fills; the first is the one that each row is.

    Parameters
    ----------
    name : str
        Name of the file or sheet.
    profiles : sequence of Profile
        Its columns.

    Returns
    -------
    list of Guess
        Empty when nothing fits.
    """
    ranked = sorted(
        ((_worth(guess, name), -n, guess) for n, guess in enumerate(_all(profiles))),
        key=lambda item: item[:2],
        reverse=True,
    )
    if not ranked or ranked[0][0] <= 0:
        return []
    first = ranked[0][2]
    guesses = [first]
    if first.table.name == "operations":
        used = {header for header, _ in first.columns.values()}
        guesses += _used_and_read(first, [p for p in profiles if p.header not in used])
    return guesses


def _all(profiles: Sequence[Profile]) -> list[Guess]:
    return [_guess(table, profiles) for table in TABLES]


def _guess(table: RecordTable, profiles: Sequence[Profile]) -> Guess:
    pairs = sorted(
        (
            (-_likeness(field, profile), n, field.name, profile.header)
            for n, field in enumerate(table.fields)
            for profile in profiles
        ),
    )
    columns: dict[str, tuple[str, float]] = {}
    taken: set[str] = set()
    for negative, _, name, header in pairs:
        if -negative < POSSIBLE:
            break
        if name not in columns and header not in taken:
            columns[name] = (header, -negative)
            taken.add(header)
    missing = [f.name for f in table.fields if f.required and f.name not in columns]
    missing += [" or ".join(group) for group in table.one_of if not columns.keys() & set(group)]
    return Guess(table, columns, {}, tuple(missing))


def _likeness(field: Field, profile: Profile) -> float:
    """How much a header looks like a field, 0 to 1; 0 when its texts speak against it."""
    if profile.form == "blank" or profile.form not in _FORMS.get(field.role, {profile.form}):
        return 0.0
    if field.role in (Role.WORD, Role.TEXT, Role.CHOICE) and profile.form in ("date", "time"):
        return 0.0
    told = words(profile.header)
    names = (field.name.replace("_", " "), *FIELD_WORDS.get(field.name, ()))
    if told in names:
        return 1.0
    near = max(SequenceMatcher(None, told, name).ratio() for name in names)
    return near * 0.8


def _worth(guess: Guess, name: str) -> float:
    told = words(name)
    hint = any(word in told for word in TABLE_WORDS[guess.table.name])
    constants = CONSTANTS.get(guess.table.name, ())
    hard = [gap for gap in guess.open if gap not in constants]
    sure = sum(sureness for _, sureness in guess.columns.values())
    return sure + 2.0 * hint - 3.0 * len(hard) - 0.5 * (len(guess.open) - len(hard))


def _used_and_read(first: Guess, rest: Sequence[Profile]) -> list[Guess]:
    """Materials and readings that stand beside an operation in the same row."""
    if "operation_id" not in first.columns:
        return []
    operation = {"operation_id": first.columns["operation_id"]}
    tables = {table.name: table for table in TABLES}
    guesses = []
    lots = [
        p for p in rest if p.form != "number" and {"lot", "batch"} & set(words(p.header).split())
    ]
    drums = [p for p in rest if "drum" in words(p.header).split()]
    amounts = [
        p for p in rest if p.form == "number" and unit_in(p.header) in ("lb", "kg", "g", "gal")
    ]
    for lot in lots:
        what = words(lot.header).replace("lot", "").replace("batch", "").replace(" no", "").strip()
        columns = {**operation, "lot_no": (lot.header, CERTAIN)}
        constants = {"material": what} if what else {}
        if lot is lots[0] and drums:
            columns["drum_no"] = (drums[0].header, CERTAIN)
        if lot is lots[0] and amounts:
            columns["quantity"] = (amounts[0].header, POSSIBLE)
            constants["unit"] = unit_in(amounts[0].header) or ""
        missing = () if what else ("material",)
        guesses.append(Guess(tables["usages"], columns, constants, missing))
    for profile in rest:
        quantity = quantity_in(profile.header)
        if profile.form != "number" or quantity is None or profile in amounts:
            continue
        unit = unit_in(profile.header) or DEFAULT_UNITS.get(quantity)
        constants = {"quantity": quantity, **({"unit": unit} if unit else {})}
        columns = {**operation, "value": (profile.header, CERTAIN)}
        guesses.append(Guess(tables["readings"], columns, constants, () if unit else ("unit",)))
    return guesses
