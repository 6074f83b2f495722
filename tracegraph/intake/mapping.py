"""The site's description of its files: ``intake.toml``."""

from __future__ import annotations

import re
from datetime import date
from fnmatch import fnmatchcase
from pathlib import PurePosixPath
from typing import Annotated, Literal
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, model_validator

from tracegraph.domain.plants import plant_name
from tracegraph.domain.records import TABLE_BY_NAME, TABLES, RecordTable, Role
from tracegraph.intake.mended_names import before_mending, mended_name
from tracegraph.intake.rules import (
    MISSING_WORDS,
    DayOrder,
    DecimalMark,
    IdRule,
    ReadingRules,
    SerialDates,
    ThousandsMark,
)

ID_FIELDS = tuple(sorted({f.name for table in TABLES for f in table.fields if f.role is Role.ID}))


def _known_zone(name: str | None) -> str | None:
    if name is None:
        return None
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise ValueError(
            f"{name!r} is not a time zone; write one like 'UTC' or 'Europe/Berlin'"
        ) from error
    return name


def _known_table(name: str) -> str:
    if name not in TABLE_BY_NAME:
        raise ValueError(f"{name!r} is not a table; choose one of {', '.join(TABLE_BY_NAME)}")
    return name


def _fits(path: PurePosixPath, pattern: str) -> bool:
    """Whether a pattern fits the name of a file or its path inside the folder."""
    low = pattern.casefold()
    return fnmatchcase(path.name.casefold(), low) or fnmatchcase(str(path).casefold(), low)


def _inside(pattern: str) -> str:
    if pattern.startswith(("/", "\\")) or re.match("[A-Za-z]:", pattern) or ".." in pattern:
        raise ValueError(f"{pattern!r} leads out of the folder; name files inside it")
    return pattern


def _known_encoding(name: str | None) -> str | None:
    if name is None:
        return None
    try:
        "".encode(name)
    except LookupError as error:
        raise ValueError(
            f"{name!r} is no encoding of text; write one like 'utf-8', 'cp1252' or 'shift_jis'"
        ) from error
    return name


def _known_id_fields(given: dict[str, IdSettings]) -> dict[str, IdSettings]:
    for name in given:
        if name not in ID_FIELDS:
            raise ValueError(f"{name!r} is not an identity; choose of {', '.join(ID_FIELDS)}")
    return given


def _known_plant(name: str | None) -> str | None:
    return None if name is None else plant_name(name)


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class ReadingSettings(_Strict):
    """How text is read: for the whole site, or for the files of one kind."""

    time_zone: Annotated[
        str | None,
        AfterValidator(_known_zone),
        Field(description="zone of times written without one, such as Europe/Berlin"),
    ] = None
    missing: Annotated[
        tuple[str, ...] | None, Field(description="words that say that nothing was written down")
    ] = None
    codes: Annotated[
        tuple[str, ...] | None, Field(description="words that are codes although they look missing")
    ] = None
    dates: Annotated[
        DayOrder | None, Field(description="order of dates; four-digit years first need no setting")
    ] = None
    two_digit_years_from: Annotated[
        int | None,
        Field(ge=1900, le=2100, description="first year of the hundred of two-digit years"),
    ] = None
    serial_dates: Annotated[
        SerialDates | None,
        Field(description="bare numbers in date columns are a spreadsheet's day count"),
    ] = None
    decimal: Annotated[DecimalMark | None, Field(description="mark before decimals")] = None
    thousands: Annotated[
        ThousandsMark | None, Field(description="mark between groups of three digits")
    ] = None
    sentinels: Annotated[
        tuple[float, ...] | None, Field(description="numbers that stand for nothing, such as 999")
    ] = None

    def over(self, site: ReadingSettings) -> ReadingSettings:
        """These settings, and where they say nothing the site's."""
        values = {
            name: getattr(site if getattr(self, name) is None else self, name)
            for name in ReadingSettings.model_fields
        }
        return ReadingSettings(**values)


class IdSettings(_Strict):
    """How the identities of one field are brought to one form."""

    pad: Annotated[
        int | None, Field(ge=1, le=40, description="fill numbers with zeros to this width")
    ] = None
    drop_prefix: Annotated[tuple[str, ...], Field(description="beginnings that are taken off")] = ()
    same: Annotated[
        dict[str, str], Field(default_factory=dict, description="written = meant, one by one")
    ]
    apart: Annotated[
        tuple[str, ...], Field(description="spellings that are never taken for one another")
    ] = ()

    @property
    def rule(self) -> IdRule:
        """The rule that readers follow."""
        same = tuple(sorted((k.strip().lower(), v) for k, v in self.same.items()))
        return IdRule(self.pad, self.drop_prefix, same)


class TableRule(_Strict):
    """How each row of a file fills one table."""

    table: Annotated[
        str,
        AfterValidator(_known_table),
        Field(
            description="table that each row fills", json_schema_extra={"enum": [*TABLE_BY_NAME]}
        ),
    ]
    columns: Annotated[
        dict[str, str], Field(default_factory=dict, description="field = column header")
    ]
    constants: Annotated[
        dict[str, str],
        Field(default_factory=dict, description="field = the same text for each row"),
    ]
    only_when: Annotated[
        tuple[str, ...],
        Field(description="columns of which one must be filled for a row to fill this table"),
    ] = ()
    stamp: Annotated[
        str | None,
        Field(description="column that tells when the row was written: the latest state counts"),
    ] = None

    @model_validator(mode="after")
    def _fields_fit(self) -> TableRule:
        known = self.record_table.field_names
        for name in (*self.columns, *self.constants):
            if name not in known:
                raise ValueError(
                    f"{name!r} is not a field of {self.table}; choose of {', '.join(known)}"
                )
        for name in self.columns:
            if name in self.constants:
                raise ValueError(f"{name!r} stands under both columns and constants; keep one")
        given = {*self.columns, *self.constants}
        for field in self.record_table.fields:
            if field.required and field.name not in given:
                raise ValueError(
                    f"{field.name!r} is required for {self.table}; name its column or a constant"
                )
        for group in self.record_table.one_of:
            if not given.intersection(group):
                raise ValueError(f"{self.table} needs at least one of {', '.join(group)}")
        if self.stamp is not None and not self.record_table.identity:
            raise ValueError(f"rows of {self.table} have no identity, so a stamp cannot order them")
        return self

    @property
    def record_table(self) -> RecordTable:
        """The table with its fields."""
        return TABLE_BY_NAME[self.table]


def _first_always(tables: tuple[TableRule, ...]) -> tuple[TableRule, ...]:
    if tables and tables[0].only_when:
        raise ValueError("the first table takes every row; give only_when to the others")
    return tables


class FileRule(ReadingSettings):
    """How the files of one kind are read."""

    match: Annotated[
        str,
        AfterValidator(_inside),
        Field(min_length=1, description="pattern on the file name or on its path in the folder"),
    ]
    tables: Annotated[
        tuple[TableRule, ...],
        AfterValidator(_first_always),
        Field(min_length=1, description="the tables that each row fills"),
    ]
    sheets: Annotated[
        tuple[str, ...] | None, Field(description="sheets of a workbook; left out: visible sheets")
    ] = None
    header_row: Annotated[
        int | None, Field(ge=1, description="line or sheet row of the headers; left out: found")
    ] = None
    delimiter: Annotated[
        Literal[",", ";", "\t", "|", "^", "~"] | None, Field(description="left out: found")
    ] = None
    encoding: Annotated[
        str | None,
        AfterValidator(_known_encoding),
        Field(description="such as cp1252; left out: found"),
    ] = None
    in_time_order: Annotated[
        bool, Field(description="rows stand in the order of their times: tells the doubled hour")
    ] = False

    def matches(self, path: PurePosixPath) -> bool:
        """Whether the rule is for the file at a path inside the folder, whatever its case."""
        return _fits(path, self.match)


class QueryRule(ReadingSettings):
    """Rows that a query on a database gives, read as if they stood in a file."""

    name: Annotated[str, Field(min_length=1, description="how the rows are called in the ledger")]
    url: Annotated[
        str, Field(min_length=1, description="SQLAlchemy address of the database, no password")
    ]
    password_env: Annotated[
        str | None, Field(description="environment variable that holds the password")
    ] = None
    sql: Annotated[str, Field(min_length=1, description="the query; it may only read")]
    tables: Annotated[
        tuple[TableRule, ...],
        AfterValidator(_first_always),
        Field(min_length=1, description="the tables that each row fills"),
    ]
    in_time_order: bool = False

    @property
    def ledger_name(self) -> str:
        """How the rows are called beside the names of files."""
        return f"query {self.name}"

    @property
    def file_rule(self) -> FileRule:
        """How the rows are read, written to a text file."""
        told = {field: getattr(self, field) for field in ReadingSettings.model_fields}
        return FileRule(
            **told,
            match="*",
            tables=self.tables,
            delimiter=",",
            header_row=1,
            in_time_order=self.in_time_order,
        )


class RenamedMold(_Strict):
    """A mold that got a new number."""

    old: Annotated[str, Field(min_length=1)]
    new: Annotated[str, Field(min_length=1)]
    on: Annotated[date, Field(description="day from which the new number is written")]


class LotOfSupplier(_Strict):
    """The days on which a lot number that two suppliers gave meant one of them."""

    material: Annotated[str, Field(min_length=1)]
    lot_no: Annotated[str, Field(min_length=1)]
    supplier: Annotated[str, Field(min_length=1)]
    first_day: date
    last_day: date

    @property
    def own_name(self) -> str:
        """Number under which this supplier's lot is kept."""
        return f"{self.lot_no} ({self.supplier})"


class IntakeSettings(ReadingSettings):
    """All that a site says about its files."""

    plant: Annotated[
        str | None,
        AfterValidator(_known_plant),
        Field(description="plant whose records these are, where there are several; one a store"),
    ] = None
    mask_notes: Annotated[
        bool, Field(description="blot out phone numbers, e-mail and street addresses in notes")
    ] = True
    name_lists: Annotated[
        tuple[str, ...],
        Field(description="patterns of files that tell the names behind codes; never read"),
    ] = ()
    ids: Annotated[
        dict[str, IdSettings],
        AfterValidator(_known_id_fields),
        Field(default_factory=dict, description="rules for identities, by field"),
    ]
    renamed_molds: Annotated[
        tuple[RenamedMold, ...], Field(description="molds that got a new number")
    ] = ()
    lots_of_suppliers: Annotated[
        tuple[LotOfSupplier, ...],
        Field(description="lot numbers that two suppliers gave, told apart by the day of use"),
    ] = ()
    files: Annotated[tuple[FileRule, ...], Field(description="one per kind of file")] = ()
    queries: Annotated[tuple[QueryRule, ...], Field(description="one per database query")] = ()

    def names_people(self, path: PurePosixPath) -> bool:
        """Whether a path inside the folder is a list of the names behind codes."""
        return any(_fits(path, pattern) for pattern in self.name_lists)

    def rule_for(self, path: PurePosixPath) -> FileRule | None:
        """First rule that matches a path inside the folder, or None.

        Mended rows of a Parquet file or of a query are read by the rule of those.
        """
        for rule in self.files:
            if rule.matches(path):
                return rule
        parquet = before_mending(str(path))
        if parquet is not None:
            return self.rule_for(PurePosixPath(parquet))
        return next(
            (q.file_rule for q in self.queries if mended_name(q.ledger_name) == path.name), None
        )

    @property
    def zone(self) -> str:
        """The site's time zone."""
        return self.time_zone or "UTC"

    @property
    def apart(self) -> tuple[tuple[str, str], ...]:
        """Fields and spellings that are never taken for one another."""
        return tuple((name, word) for name, ids in self.ids.items() for word in ids.apart)

    def reading_rules(self, rule: FileRule | QueryRule | None) -> ReadingRules:
        """Rules for one file: its own where it states them, else the site's."""
        told = rule.over(self) if rule is not None else self
        missing = MISSING_WORDS if told.missing is None else told.missing
        return ReadingRules(
            time_zone=told.time_zone or "UTC",
            missing=frozenset(word.strip().lower() for word in missing) | {""},
            codes=frozenset(word.strip().lower() for word in told.codes or ()),
            dates=told.dates,
            decimal=told.decimal,
            thousands=told.thousands,
            two_digit_years_from=told.two_digit_years_from,
            serial_dates=told.serial_dates,
            sentinels=frozenset(told.sentinels or ()),
            in_time_order=rule is not None and rule.in_time_order,
            ids=tuple((name, ids.rule) for name, ids in sorted(self.ids.items())),
        )
