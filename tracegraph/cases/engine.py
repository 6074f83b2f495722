"""Open the database of case files: SQLite in WAL mode, or PostgreSQL by URL."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from alembic.config import Config
from alembic.runtime.environment import EnvironmentContext
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, Engine, create_engine, event, make_url, text
from sqlalchemy.exc import ArgumentError, NoSuchModuleError, SQLAlchemyError
from sqlalchemy.pool import NullPool

from tracegraph.domain.errors import CaseFileError

WAIT_SECONDS = 120
"""How long one writer waits for the others."""

LOCK = 7_034_610
"""Number of the lock under which tables are laid out and cases are opened."""

WRITES = {"writes": True}
_MIGRATIONS = Path(__file__).parent / "migrations"


def default_cases_url(store: Path) -> str:
    """Where case files are kept when nothing else is said.

    Parameters
    ----------
    store : Path
        Directory of the build records; case files lie beside it, never in it.

    Returns
    -------
    str
        The URL in ``TRACEGRAPH_CASES`` when set, else ``cases.sqlite`` beside the store.
    """
    given = os.environ.get("TRACEGRAPH_CASES")
    return given or f"sqlite:///{(store.resolve().parent / 'cases.sqlite').as_posix()}"


def kept_cases_url(store: Path) -> str | None:
    """Where case files are kept, if any were kept yet; asking makes none.

    Parameters
    ----------
    store : Path
        Directory of the build records.

    Returns
    -------
    str or None
        As from :func:`default_cases_url`; None while its file is not there.
    """
    url = default_cases_url(store)
    try:
        address = make_url(url)
    except ArgumentError:
        return url  # opening it says what is wrong
    own_file = address.get_backend_name() == "sqlite" and address.database
    return None if own_file and not Path(own_file).is_file() else url


def open_engine(url: str) -> Engine:
    """Connect to the case files and bring their tables up to date.

    Parameters
    ----------
    url : str
        ``sqlite:///FILE`` or ``postgresql+psycopg://…``.

    Returns
    -------
    Engine
        Writers say so with the execution option ``writes``.

    Raises
    ------
    CaseFileError
        If the URL cannot be used or the database cannot be reached.
    """
    try:
        address = make_url(url)
        kind = address.get_backend_name()
        if kind not in ("sqlite", "postgresql"):
            raise CaseFileError(
                f"Case files are kept in SQLite or PostgreSQL; got a URL of {kind!r}. Give "
                "sqlite:///FILE or postgresql+psycopg://USER@HOST/NAME."
            )
        if kind == "sqlite" and address.database:
            Path(address.database).parent.mkdir(parents=True, exist_ok=True)
        more = {"connect_args": {"timeout": WAIT_SECONDS}} if kind == "sqlite" else {}
        engine = create_engine(address, poolclass=NullPool, **more)
        if kind == "sqlite":
            _set_up_sqlite(engine)
        with engine.connect().execution_options(**WRITES) as connection, connection.begin():
            lock(connection)
            lay_out(connection)
    except (ArgumentError, NoSuchModuleError, ModuleNotFoundError) as error:
        raise CaseFileError(
            f"Case files cannot be opened by this URL: {error}. Give sqlite:///FILE or "
            "postgresql+psycopg://USER@HOST/NAME (with the extra tracegraph[postgres])."
        ) from error
    except (SQLAlchemyError, OSError) as error:
        raise CaseFileError(
            f"The database of case files cannot be opened: {_short(error)}. See that it is "
            "there, that you may write to it, and that it is a database of case files."
        ) from error
    return engine


def lock(connection: Connection) -> None:
    """Keep other writers out until the transaction ends (SQLite does so from its start)."""
    if connection.dialect.name == "postgresql":
        connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": LOCK})


def _set_up_sqlite(engine: Engine) -> None:
    @event.listens_for(engine, "connect")
    def _connected(connection: Any, _record: Any) -> None:
        # Transactions are begun by hand below, so that a writer can queue from the start.
        connection.isolation_level = None
        cursor = connection.cursor()
        cursor.execute(f"PRAGMA busy_timeout = {WAIT_SECONDS * 1000}")
        if cursor.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
            cursor.execute("PRAGMA journal_mode = WAL")
        cursor.execute("PRAGMA synchronous = FULL")
        cursor.execute("PRAGMA foreign_keys = ON")
        cursor.close()

    @event.listens_for(engine, "begin")
    def _begun(connection: Connection) -> None:
        writes = connection.get_execution_options().get("writes", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def lay_out(connection: Connection, revision: str = "head") -> None:
    """Lay the tables out, or bring them up to a revision; what was written stays.

    Parameters
    ----------
    connection : Connection
        Inside a transaction that writes: all of it happens, or nothing.
    revision : str
        The newest when left out.

    Raises
    ------
    CaseFileError
        If they were laid out by a newer version, which this one must not touch.
    """
    config = Config()
    config.set_main_option("script_location", str(_MIGRATIONS))
    script = ScriptDirectory(str(_MIGRATIONS))
    newest = script.get_current_head()
    here = MigrationContext.configure(connection).get_current_revision()
    if here == newest:
        return
    if here is not None and here not in {one.revision for one in script.walk_revisions()}:
        raise CaseFileError(
            f"These case files were laid out by a newer version of tracegraph ({here}); this one "
            f"knows up to {newest} and leaves them as they are. Update tracegraph, or open a "
            "backup from before."
        )

    def upgrade(found: Any, _context: Any) -> Any:
        return script._upgrade_revs(revision, found)

    with EnvironmentContext(config, script, fn=upgrade, destination_rev=revision) as environment:
        environment.configure(connection=connection)
        environment.run_migrations()


def _short(error: Exception) -> str:
    return str(getattr(error, "orig", None) or error).strip().splitlines()[0]
