"""Bring the rows of database queries into files that are read like any other."""

from __future__ import annotations

import csv
import os
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, create_engine, make_url, text
from sqlalchemy.exc import ArgumentError, NoSuchModuleError, SQLAlchemyError

from tracegraph.domain.errors import IntakeError, MappingError
from tracegraph.intake.cells import cell_text
from tracegraph.intake.mapping import QueryRule

_READS = re.compile(r"\s*(select|with|values|table)\b", re.IGNORECASE)
_AT_ONCE = 5_000


def write_rows(
    rule: QueryRule,
    folder: Path,
    target: Path,
    environment: Mapping[str, str],
    tell: Callable[[int], None] = lambda rows: None,
) -> int:
    """Run a query and write its rows as text.

    Parameters
    ----------
    rule : QueryRule
        The query.
    folder : Path
        Folder of records; a path to an SQLite file starts there.
    target : Path
        File to write.
    environment : mapping of str to str
        Holds the password, where one is needed.
    tell : callable, optional
        Told now and then how many rows have come; what it raises ends the query.

    Returns
    -------
    int
        Number of rows.

    Raises
    ------
    MappingError
        If the address holds a password, or the query does more than read.
    IntakeError
        If the database cannot be reached or refuses the query.
    """
    url = _address(rule, folder, environment)
    if not _READS.match(rule.sql):
        raise MappingError(f"query {rule.name}: begins with none of SELECT, WITH, VALUES")
    with _connected(rule, url) as connection:
        result = connection.execute(text(rule.sql))
        with target.open("w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file, lineterminator="\n")
            writer.writerow(result.keys())
            rows = 0
            for batch in result.partitions(_AT_ONCE):
                writer.writerows(_texts(row) for row in batch)
                rows += len(batch)
                tell(rows)
    return rows


def _texts(row: Sequence[Any]) -> list[str]:
    return [cell_text(value) for value in row]


def _address(rule: QueryRule, folder: Path, environment: Mapping[str, str]) -> URL:
    try:
        url = make_url(rule.url)
    except ArgumentError as error:
        raise MappingError(
            f"query {rule.name}: url must be like postgresql://user@host/database or "
            "sqlite:///file.db"
        ) from error
    if url.password is not None:
        raise MappingError(
            f"query {rule.name}: the password must not stand in intake.toml; name an environment "
            "variable under password_env"
        )
    if rule.password_env is not None:
        if rule.password_env not in environment:
            raise IntakeError(
                f"needs its password in the environment variable {rule.password_env}, which is "
                "not set"
            )
        url = url.set(password=environment[rule.password_env])
    if url.drivername == "postgresql":
        url = url.set(drivername="postgresql+psycopg")
    if url.get_backend_name() == "sqlite" and url.database:
        path = (folder / url.database).resolve()
        if not path.is_file():
            raise IntakeError(f"there is no database {path}")
        url = url.set(database=f"file:{path}", query={"mode": "ro", "uri": "true"})
    return url


@contextmanager
def _connected(rule: QueryRule, url: URL) -> Iterator[Connection]:
    """Line to a database that streams and, where the database can, only reads."""
    try:
        engine = create_engine(url)
    except (NoSuchModuleError, ModuleNotFoundError) as error:
        raise IntakeError(
            f"needs a driver for {url.get_backend_name()} that is not installed ({error})"
        ) from error
    options: dict[str, Any] = {"stream_results": True}
    if url.get_backend_name() == "postgresql":
        options["postgresql_readonly"] = True
    try:
        with engine.connect().execution_options(**options) as connection:
            yield connection
            connection.rollback()
    except SQLAlchemyError as error:
        reason = str(error).splitlines()[0]
        raise IntakeError(f"the database refused: {reason}") from error
    finally:
        engine.dispose()


def password_environment() -> Mapping[str, str]:
    """Environment in which passwords are looked up."""
    return os.environ
