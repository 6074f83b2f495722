"""Open the build in force for reading, locked down."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import RLock
from types import TracebackType
from typing import Any

import duckdb
import pandas as pd

from tracegraph.domain.errors import StoppedError, StoreError
from tracegraph.domain.stopping import heeded, stop_if_asked
from tracegraph.store.connection import Connection, Parameters, literal
from tracegraph.store.directory import StoreDirectory, default_store_path
from tracegraph.store.engine import Engine
from tracegraph.store.room import READING, cores, memory_limit, reading_spill
from tracegraph.store.writer import SCHEMA_VERSION


class Store:
    """A finished build, read only.

    Safe to share between threads: every question runs on a cursor of its own.

    Attributes
    ----------
    path : Path
        File of the build.
    version : str
        Data version: changes when the records or the way they are read change.
    """

    def __init__(self, raw: duckdb.DuckDBPyConnection, path: Path) -> None:
        self._raw = raw
        self.path = path
        self._engine: Engine | None = None
        self.version: str = self.meta("data_version") or "unversioned"
        self._made: dict[str, object] = {}
        self._making = RLock()

    def meta(self, key: str) -> str | None:
        """One entry of the store's own notes, or None."""
        with self.session() as session:
            value = session.scalar("SELECT value FROM meta WHERE key = $key", {"key": key})
        return None if value is None else str(value)

    @contextmanager
    def session(self) -> Iterator[Connection]:
        """A line of one's own, with its own temporary tables.

        Raises
        ------
        StoppedError
            If the work that this thread does is stopped while a question is answered.
        """
        stop_if_asked()
        connection = Connection(self._raw.cursor(), self._engine)
        sign = heeded()
        try:
            if sign is None:
                yield connection
                return
            with sign.breaking(connection.interrupt):
                yield connection
        except duckdb.InterruptException as error:
            raise StoppedError("Stopped while the records were asked.") from error
        finally:
            connection.close()

    def frame(self, name: str, parameters: Parameters | None = None) -> pd.DataFrame:
        """Result of a named SQL file as a frame."""
        with self.session() as session:
            return session.frame(name, parameters)

    def kept(self, key: str, make: Callable[[Store], object]) -> object:
        """What was made of the records once and is asked for often.

        Parameters
        ----------
        key : str
            Names it.
        make : callable
            Makes it from this store, the first time only; threads wait for each other.

        Returns
        -------
        object
            Shared by all callers, who must not change it.
        """
        with self._making:
            if key not in self._made:
                self._made[key] = make(self)
            return self._made[key]

    def rows(self, text: str, parameters: Parameters | None = None) -> list[tuple[Any, ...]]:
        """Result of a text as a list of tuples."""
        with self.session() as session:
            return session.rows(text, parameters)

    def count_by(self, engine: Engine) -> None:
        """Have the shared texts answered by another engine from now on; closed with this."""
        self._engine = engine

    def close(self) -> None:
        """Close the build."""
        if self._engine is not None:
            self._engine.close()
        self._raw.close()

    def __enter__(self) -> Store:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()


def open_store(path: Path | str | None = None) -> Store:
    """Open the build in force of a store directory.

    Parameters
    ----------
    path : Path or str, optional
        The store directory; the user's own when left out.

    Returns
    -------
    Store
        Read only, with external access off. Memory and the folder for what does not fit are
        set by ``TRACEGRAPH_MEMORY``, ``TRACEGRAPH_SPILL`` and ``TRACEGRAPH_CORES``.

    Raises
    ------
    StoreError
        If nothing has been loaded, the build was made by another version, or a setting
        cannot be used.
    """
    directory = StoreDirectory(Path(path) if path is not None else default_store_path())
    return open_build(directory.require_current())


def open_build(build: Path) -> Store:
    """Open one build file for reading; see :func:`open_store`."""
    memory, spill, own = memory_limit(READING), reading_spill(), cores()
    try:
        raw = duckdb.connect(str(build), read_only=True)
    except duckdb.Error as error:
        raise StoreError(
            f"{build} cannot be opened: {str(error).splitlines()[0]} Load the records again."
        ) from error
    _lock_down(raw, memory, spill, own)
    found = raw.execute("SELECT value FROM meta WHERE key = 'schema_version'").fetchone()
    if found is None or found[0] != str(SCHEMA_VERSION):
        raw.close()
        raise StoreError(
            f"{build} was made by another version of tracegraph (schema "
            f"{found[0] if found else 'unknown'}, expected {SCHEMA_VERSION}). "
            "Load the records anew, all of them: tracegraph load FOLDER --fresh."
        )
    return Store(raw, build)


def _lock_down(raw: duckdb.DuckDBPyConnection, memory: str, spill: Path, own: int | None) -> None:
    """Shut external access off. Within a process all openings of a file share one setting."""
    locked = raw.execute("SELECT current_setting('lock_configuration')").fetchone()
    if locked is not None and locked[0]:
        return
    for statement in (
        *([f"SET threads={own}"] if own else []),
        f"SET memory_limit={literal(memory)}",
        f"SET temp_directory={literal(str(spill))}",
        "SET max_temp_directory_size='8GB'",
        "SET autoinstall_known_extensions=false",
        "SET autoload_known_extensions=false",
        "SET enable_external_access=false",
        "SET lock_configuration=true",
    ):
        raw.execute(statement)


def as_store(connection: Connection, path: Path | None = None) -> Store:
    """View a build that is still in memory as a store to read from."""
    return Store(connection._raw, path or Path(":memory:"))
