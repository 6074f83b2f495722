"""Read ``intake.toml`` and say plainly what is wrong with it."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from tracegraph.domain.errors import MappingError
from tracegraph.intake.mapping import (
    FileRule,
    IdSettings,
    IntakeSettings,
    LotOfSupplier,
    QueryRule,
    RenamedMold,
    TableRule,
)

MAPPING_FILE = "intake.toml"


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
        return IntakeSettings.model_validate({})
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
        return f"{where}: no such key; choose of {', '.join(model.model_fields)}"
    message = item["msg"].removeprefix("Value error, ")
    got = item["input"]
    shown = isinstance(got, str | int | float) and repr(got) not in message
    return f"{where or 'the file'}: {message}" + (f"; got {got!r}" if shown else "")


def _model_at(location: tuple[Any, ...]) -> type[BaseModel]:
    names = [part for part in location if isinstance(part, str)]
    if names[-1:] == ["tables"]:
        return TableRule
    models: dict[str, type[BaseModel]] = {
        "files": FileRule,
        "queries": QueryRule,
        "ids": IdSettings,
        "renamed_molds": RenamedMold,
        "lots_of_suppliers": LotOfSupplier,
    }
    return models[names[0]] if names else IntakeSettings
