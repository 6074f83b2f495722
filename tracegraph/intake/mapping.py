"""The site's description of its files: ``intake.toml``."""

from __future__ import annotations

import tomllib
from fnmatch import fnmatchcase
from pathlib import Path, PurePosixPath
from typing import Annotated, Any, Literal
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    ValidationError,
    model_validator,
)

from tracegraph.domain.errors import MappingError
from tracegraph.domain.records import TABLE_BY_NAME, RecordTable
from tracegraph.intake.rules import MISSING_WORDS, DayOrder, ReadingRules

MAPPING_FILE = "intake.toml"


def _known_zone(name: str) -> str:
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


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


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

    @model_validator(mode="after")
    def _fields_exist(self) -> TableRule:
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
        return self

    @property
    def record_table(self) -> RecordTable:
        """The table with its fields."""
        return TABLE_BY_NAME[self.table]


class FileRule(_Strict):
    """How the files of one kind are read."""

    match: Annotated[
        str,
        Field(min_length=1, description="pattern on the file name or on its path in the folder"),
    ]
    tables: Annotated[
        tuple[TableRule, ...], Field(min_length=1, description="the tables that each row fills")
    ]
    sheets: Annotated[
        tuple[str, ...] | None, Field(description="sheets of a workbook; left out: visible sheets")
    ] = None
    header_row: Annotated[
        int | None, Field(ge=1, description="line or sheet row of the headers; left out: found")
    ] = None
    delimiter: Annotated[
        Literal[",", ";", "\t", "|"] | None, Field(description="left out: found")
    ] = None
    encoding: Annotated[str | None, Field(description="such as cp1252; left out: found")] = None
    time_zone: Annotated[str | None, AfterValidator(lambda z: z and _known_zone(z))] = None
    dates: DayOrder | None = None
    decimal: Literal[".", ","] | None = None
    missing: tuple[str, ...] | None = None

    def matches(self, path: PurePosixPath) -> bool:
        """Whether the rule is for the file at a path inside the folder, whatever its case."""
        pattern = self.match.casefold()
        return fnmatchcase(path.name.casefold(), pattern) or fnmatchcase(
            str(path).casefold(), pattern
        )


class IntakeSettings(_Strict):
    """All that a site says about its files."""

    time_zone: Annotated[str, AfterValidator(_known_zone)] = "UTC"
    missing: tuple[str, ...] = MISSING_WORDS
    dates: DayOrder = "year first"
    decimal: Literal[".", ","] = "."
    files: tuple[FileRule, ...] = ()

    def rule_for(self, path: PurePosixPath) -> FileRule | None:
        """First rule that matches a path inside the folder, or None."""
        return next((rule for rule in self.files if rule.matches(path)), None)

    def reading_rules(self, rule: FileRule | None) -> ReadingRules:
        """Rules for one file: its own where it states them, else the site's."""
        missing = self.missing if rule is None or rule.missing is None else rule.missing
        return ReadingRules(
            time_zone=(rule and rule.time_zone) or self.time_zone,
            missing=frozenset(word.strip().lower() for word in missing) | {""},
            dates=(rule and rule.dates) or self.dates,
            decimal=(rule and rule.decimal) or self.decimal,
        )


def read_settings(folder: Path) -> IntakeSettings:
    """Read the ``intake.toml`` of a folder, or the defaults when there is none.

    Parameters
    ----------
    folder : Path
        The folder of records.

    Raises
    ------
    MappingError
        If the file is not TOML or says something wrong; every fault is named.
    """
    path = folder / MAPPING_FILE
    if not path.is_file():
        return IntakeSettings()
    try:
        content = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise MappingError(f"{MAPPING_FILE} is not readable as TOML: {error}.") from error
    try:
        return IntakeSettings.model_validate(content)
    except ValidationError as error:
        faults = "; ".join(_fault(item) for item in error.errors())
        raise MappingError(f"{MAPPING_FILE}: {faults}.") from error


def _fault(item: Any) -> str:
    where = ".".join(f"{part + 1}" if isinstance(part, int) else str(part) for part in item["loc"])
    if item["type"] == "extra_forbidden":
        model = _model_at(item["loc"][:-1])
        choices = f"; choose of {', '.join(model.model_fields)}" if model else ""
        return f"{where}: no such key{choices}"
    message = item["msg"].removeprefix("Value error, ")
    got = item["input"]
    shown = (
        f"; got {got!r}" if isinstance(got, str | int | float) and repr(got) not in message else ""
    )
    return f"{where}: {message}{shown}"


def _model_at(location: tuple[Any, ...]) -> type[BaseModel] | None:
    names = [part for part in location if isinstance(part, str)]
    models: dict[tuple[str, ...], type[BaseModel]] = {
        (): IntakeSettings,
        ("files",): FileRule,
        ("files", "tables"): TableRule,
    }
    return models.get(tuple(names))
