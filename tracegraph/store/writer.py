"""Write one new build beside the old ones, and publish it when it is whole."""

from __future__ import annotations

import os
import shutil
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from pathlib import Path

import duckdb

from tracegraph.domain.errors import LoadStoppedError, StoreError
from tracegraph.domain.records import TABLES
from tracegraph.store.connection import Connection, literal
from tracegraph.store.directory import StoreDirectory
from tracegraph.store.queries import sql_names, sql_text
from tracegraph.store.room import LOADING, cores, memory_limit, spill_folder

SCHEMA_VERSION = 5


class Build(Connection):
    """A build being written; every table of the schema exists in it.

    Parameters
    ----------
    raw : duckdb.DuckDBPyConnection
        Line to the file.
    copied : bool, default False
        Whether the file is the copy of a finished build, with its tables.
    described : bool, default True
        Whether tables and columns say what they mean, for those who open the file by itself.
    """

    def __init__(
        self, raw: duckdb.DuckDBPyConnection, *, copied: bool = False, described: bool = True
    ) -> None:
        super().__init__(raw)
        if copied:
            return
        self.execute("BEGIN")  # one commit for all: each costs a write to the disk
        for name in sql_names("schema"):
            for statement in self.parsed(sql_text(name)):
                if described or statement.type != duckdb.StatementType.ALTER:
                    raw.execute(statement)
        if described:
            self._describe()
        self.execute(
            "INSERT INTO meta VALUES ('schema_version', $schema), ('duckdb_version', $duckdb)",
            {"schema": str(SCHEMA_VERSION), "duckdb": duckdb.__version__},
        )
        self.execute("COMMIT")

    def _describe(self) -> None:
        for table in TABLES:
            self.execute(f"COMMENT ON TABLE {table.name} IS {literal(table.meaning)}")
            for field in table.fields:
                self.execute(
                    f'COMMENT ON COLUMN {table.name}."{field.name}" IS {literal(field.meaning)}'
                )

    def survives(self, error: Exception) -> bool:
        """Whether the build can go on after an error: one about what a file holds.

        A full disk, too little memory, a damaged build and a stop end it.
        """
        return not isinstance(error, (*_ENDS, MemoryError, OSError))

    def drop_source(self, source_id: int) -> None:
        """Take away all that one file or sheet brought so far."""
        for name, kept in self.rows(_OF_SOURCES):
            catalog = "temp." if kept else ""
            self.execute(f"DELETE FROM {catalog}{name} WHERE source_id = $id", {"id": source_id})

    def renew_all_but(self, kept: Collection[str]) -> None:
        """Make tables anew, empty; the room of the old ones is used again.

        Parameters
        ----------
        kept : collection of str
            Tables that stay as they are. A file of the schema makes either kept tables or
            others.
        """
        self.renew({name for (name,) in self.rows(_TABLES)} - set(kept))
        self.execute("CHECKPOINT")

    def renew(self, tables: Collection[str]) -> None:
        """Make tables anew, empty: all that a file of the schema makes, or none of them."""
        self.execute("BEGIN")
        for name in tables:
            self.execute(f"DROP TABLE {name}")
        for name in sql_names("schema"):
            if any(f"CREATE TABLE {table} (" in sql_text(name) for table in tables):
                self.execute(sql_text(name))
        self.execute("COMMIT")

    @contextmanager
    def tidied(self) -> Iterator[None]:
        """Drop the temporary tables and views that the block makes."""
        before = set(self.rows(_TEMPORARY))
        yield
        for kind, name in sorted(set(self.rows(_TEMPORARY)) - before, reverse=True):
            self.execute(f"DROP {kind} {name}")

    @contextmanager
    def beside(self, other: Path, name: str = "earlier") -> Iterator[None]:
        """Show the tables of a finished build under a name of their own.

        Parameters
        ----------
        other : Path
            Its file, which is only read.
        name : str, default "earlier"
            A word that stands before its tables in the texts.
        """
        self.execute(f"ATTACH {literal(str(other))} AS {name} (READ_ONLY)")
        try:
            yield
        finally:
            self.execute(f"DETACH {name}")


_ENDS = (
    duckdb.IOException,
    duckdb.OutOfMemoryException,
    duckdb.InterruptException,
    duckdb.FatalException,
    duckdb.InternalException,
)
_OF_SOURCES = (
    "SELECT table_name, temporary FROM duckdb_columns() JOIN duckdb_tables() USING "
    "(database_name, table_name) WHERE column_name = 'source_id' AND NOT duckdb_tables.internal"
)
_TEMPORARY = (
    "SELECT 'TABLE', table_name FROM duckdb_tables() WHERE temporary UNION ALL "
    "SELECT 'VIEW', view_name FROM duckdb_views() WHERE temporary AND NOT internal"
)
_TABLES = "SELECT table_name FROM duckdb_tables() WHERE NOT internal AND NOT temporary"


def in_memory_build(*, described: bool = False) -> Build:
    """Make an empty build that lives in memory only.

    Parameters
    ----------
    described : bool, default False
        Whether its tables and columns say what they mean.

    Returns
    -------
    Build
        Closed by its :meth:`~Connection.close`.
    """
    own = cores()
    raw = duckdb.connect(":memory:", config={"threads": own} if own else {})
    return Build(raw, described=described)


@contextmanager
def new_build(directory: StoreDirectory, base: Path | None = None) -> Iterator[Build]:
    """Write a build; publish it when the block ends well, drop it when it does not.

    Parameters
    ----------
    directory : StoreDirectory
        Held by :meth:`StoreDirectory.loading`.
    base : Path, optional
        File of the build that it begins as; empty when left out.

    Yields
    ------
    Build
        To be filled.

    Raises
    ------
    StoreError
        If the disk is full, the folder cannot be written, or a setting cannot be used.
    LoadStoppedError
        If a statement was interrupted.
    """
    path = directory.unfinished_path()
    memory, folder, own = memory_limit(LOADING), spill_folder(), cores()
    spill = (folder or path.parent) / f"{path.name}-{os.getpid()}.spill"
    try:
        if base is not None:
            _copy(base, path)
        raw = duckdb.connect(str(path))
    except duckdb.IOException as error:
        raise StoreError(
            f"The store folder {directory.path} cannot be written: {_first_line(error)}. "
            "Choose another with --store."
        ) from error
    whole = False
    try:
        for statement in (
            *([f"SET threads={own}"] if own else []),
            f"SET memory_limit={literal(memory)}",
            f"SET temp_directory={literal(str(spill))}",
            "SET autoinstall_known_extensions=false",
            "SET autoload_known_extensions=false",
            "SET enable_progress_bar=true",  # keeps count, for share_done
            "SET enable_progress_bar_print=false",
            "SET fsync_mode='NONE'",  # a killed load is thrown away; a whole one is flushed below
        ):
            raw.execute(statement)
        build = Build(raw, copied=base is not None)
        yield build
        build.execute("CHECKPOINT")
        whole = True
    except duckdb.InterruptException as error:
        raise LoadStoppedError from error
    except (duckdb.IOException, duckdb.OutOfMemoryException) as error:
        raise _no_room(directory.path, error) from error
    finally:
        raw.close()
        _drop_spill(spill)
        if not whole:
            path.unlink(missing_ok=True)
            path.with_name(path.name + ".wal").unlink(missing_ok=True)
    _flush(path)
    directory.publish(path)


def _copy(base: Path, path: Path) -> None:
    try:
        shutil.copyfile(base, path)
    except OSError as error:
        path.unlink(missing_ok=True)
        raise _no_room(path.parent, error) from error


def _no_room(folder: Path, error: BaseException) -> StoreError:
    return StoreError(
        f"The load ran out of room in {folder}: {_first_line(error)}. The earlier records stay "
        "in force. Make room, or choose another store with --store."
    )


def _flush(path: Path) -> None:
    """Wait until a closed file is on the disk."""
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def _drop_spill(spill: Path) -> None:
    if spill.is_dir():
        for file in spill.iterdir():
            file.unlink()
        spill.rmdir()


def _first_line(error: BaseException) -> str:
    return str(error).splitlines()[0]
