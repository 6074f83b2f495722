"""How each field is read: one function from its role to a reading of one text."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from tracegraph.domain.records import Field, Role
from tracegraph.intake.dates import read_date, read_time
from tracegraph.intake.ids import read_id, read_text, read_word, visible
from tracegraph.intake.numbers import read_choice, read_flag, read_number, read_whole
from tracegraph.intake.rules import Reading, ReadingRules, missing_word
from tracegraph.intake.units import find_unit

CAPITALS_KEPT = frozenset({"model", "dealer", "supplier"})


@dataclass(frozen=True)
class Kind:
    """All that decides how a field's text is read.

    Attributes
    ----------
    role : Role
        Of the field.
    keep_capitals : bool
        For words that are names.
    choices : tuple of str
        For choices.
    """

    role: Role
    keep_capitals: bool = False
    choices: tuple[str, ...] = ()

    @property
    def sql_type(self) -> str:
        """Type in the store."""
        return _SQL_TYPES.get(self.role, "VARCHAR")


_SQL_TYPES = {
    Role.NUMBER: "DOUBLE",
    Role.WHOLE: "BIGINT",
    Role.DATE: "DATE",
    Role.TIME: "TIMESTAMP",
    Role.FLAG: "BOOLEAN",
}
_READERS: dict[Role, Callable[[str, ReadingRules], Reading]] = {
    Role.ID: read_id,
    Role.NUMBER: read_number,
    Role.WHOLE: read_whole,
    Role.DATE: read_date,
    Role.TIME: read_time,
    Role.FLAG: read_flag,
}


def kind_of(field: Field) -> Kind:
    """Kind of a field."""
    return Kind(
        field.role,
        field.role is Role.WORD and field.name in CAPITALS_KEPT,
        field.choices,
    )


def read(kind: Kind, text: str, rules: ReadingRules) -> Reading:
    """Read one text as a field of a kind.

    Parameters
    ----------
    kind : Kind
        Of the field.
    text : str
        As written.
    rules : ReadingRules
        Of the file.

    Returns
    -------
    Reading
        Canonical text, or a problem.
    """
    if kind.role in _READERS:
        return _READERS[kind.role](text, rules)
    if kind.role is Role.WORD:
        return read_word(text, rules, keep_capitals=kind.keep_capitals)
    if kind.role is Role.CHOICE:
        return read_choice(text, rules, kind.choices)
    if kind.role is Role.UNIT:
        return read_unit(text, rules)
    return read_text(text)


def read_unit(text: str, rules: ReadingRules) -> Reading:
    """Canonical unit that values with a written unit are converted to."""
    unit = find_unit(text)
    if unit is not None:
        changed = unit.name != visible(text)
        return Reading(unit.name, "unit" if changed else None)
    seen = visible(text)
    if seen.lower() in rules.missing:
        return missing_word(text)
    return Reading(seen, "unit not known")
