"""How each field is read: one function from its role to a reading of one text."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from tracegraph.domain.records import Field, Role
from tracegraph.intake.dates import read_date, read_time
from tracegraph.intake.ids import read_id, read_text, read_word, visible
from tracegraph.intake.numbers import (
    read_choice,
    read_flag,
    read_number,
    read_share,
    read_whole,
)
from tracegraph.intake.rules import DOUBTFUL_WORDS, IdRule, Reading, ReadingRules, missing_word
from tracegraph.intake.units import find_unit

CAPITALS_KEPT = frozenset({"model", "dealer", "supplier"})
# Fields that list codes, so that one that looks like a missing word is a code all the same.
# Materials must be written down, so such a word is taken for one, and flagged if no lot has it.
DEFINING = frozenset(
    {("lots", "lot_no"), ("lots", "material"), ("hulls", "model")}
    | {("usages", "material"), ("blends", "material"), ("blends", "parent_material")}
)
# Amounts of each table that stand in the table's own unit.
AMOUNTS: dict[str, tuple[str, ...]] = {
    "usages": ("quantity",),
    "readings": ("value",),
    "ambient": ("value",),
    "inspections": ("value",),
    "lots": ("received_qty", "on_hand_qty", "scrapped_qty"),
}


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
    unit : str or None
        For amounts whose unit is the same in all rows.
    own : IdRule or None
        For identities with a rule of their own.
    defines : bool
        Whether the field defines codes, so that words like NA may be one.
    """

    role: Role
    keep_capitals: bool = False
    choices: tuple[str, ...] = ()
    unit: str | None = None
    own: IdRule | None = None
    defines: bool = False

    @property
    def sql_type(self) -> str:
        """Type in the store."""
        return _SQL_TYPES.get(self.role, "VARCHAR")


_SQL_TYPES = {
    Role.NUMBER: "DOUBLE",
    Role.SHARE: "DOUBLE",
    Role.WHOLE: "BIGINT",
    Role.DATE: "DATE",
    Role.TIME: "TIMESTAMP",
    Role.FLAG: "BOOLEAN",
}
_READERS: dict[Role, Callable[[str, ReadingRules], Reading]] = {
    Role.SHARE: read_share,
    Role.WHOLE: read_whole,
    Role.DATE: read_date,
    Role.TIME: read_time,
    Role.FLAG: read_flag,
}


def kind_of(
    field: Field, table: str, rules: ReadingRules | None = None, unit: str | None = None
) -> Kind:
    """Kind of a field.

    Parameters
    ----------
    field : Field
        The field.
    table : str
        Its table.
    rules : ReadingRules, optional
        May hold a rule for the field's identities.
    unit : str, optional
        Unit of the table's amounts when it is the same in all rows.
    """
    return Kind(
        field.role,
        field.role is Role.WORD and field.name in CAPITALS_KEPT,
        field.choices,
        unit if field.name in AMOUNTS.get(table, ()) else None,
        rules.id_rule(field.name) if rules is not None else None,
        (table, field.name) in DEFINING,
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
    if kind.defines:
        rules = replace(rules, codes=rules.codes | DOUBTFUL_WORDS)
    if kind.role is Role.ID:
        return read_id(text, rules, kind.own)
    if kind.role is Role.NUMBER:
        return read_number(text, rules, kind.unit)
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
        return Reading(unit.name, "unit" if unit.name != text.strip() else None)
    seen = visible(text)
    if seen.lower() in rules.absent:
        return missing_word(text)
    return Reading(seen, "unit not known")
