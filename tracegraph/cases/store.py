"""Keep case files: append, read, prove, export and remove them."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, delete, insert, select, update
from sqlalchemy.exc import SQLAlchemyError

from tracegraph.cases.chain import START, ChainState, Entry, canonical, check_chain, entry_after
from tracegraph.cases.engine import WRITES, kept_cases_url, lock, open_engine
from tracegraph.cases.tables import cases, entries, files, removals
from tracegraph.domain.errors import CaseFileError, UnknownNameError
from tracegraph.domain.permission import Deed, Person, require, whoever
from tracegraph.store.audit import permit

OPENED, CORRECTED, ATTACHED, CLOSED = "opened", "corrected", "attached", "closed"


class CaseStore:
    """The case files of one plant.

    Parameters
    ----------
    url : str
        SQLAlchemy URL of SQLite or PostgreSQL; see :func:`default_cases_url`.
    store : Path, optional
        Directory of the build records, whose audit keeps who tried to write; none is kept when
        left out.
    by : Person, optional
        Who writes; the owner of the machine when left out.

    Attributes
    ----------
    by : Person or None
        The same.

    Raises
    ------
    CaseFileError
        If the database cannot be opened.
    """

    def __init__(self, url: str, store: Path | None = None, by: Person | None = None) -> None:
        self._engine: Engine = open_engine(url)
        self._store = store
        self.by = by

    def open_case(self, who: str, content: dict[str, Any], at: str | None = None) -> Entry:
        """Open a case under the next number.

        Parameters
        ----------
        who : str
            Code of the person.
        content : dict
            What the case is about.
        at : str, optional
            Time, ISO 8601; now when left out.

        Returns
        -------
        Entry
            The first entry.

        Raises
        ------
        NotAllowedError
            If the role does not cover it, or somebody else signs.
        """
        self._permit(Deed.WRITE_CASE, "a new case", who)
        with self._writing() as connection:
            lock(connection)
            numbers = [
                int(number.removeprefix("C-"))
                for table in (cases, removals)
                for (number,) in connection.execute(select(table.c.case_no))
            ]
            case_no = f"C-{max(numbers, default=0) + 1:04d}"
            connection.execute(insert(cases).values(case_no=case_no, last=0, head=START))
            return _append(connection, case_no, who, OPENED, content, None, at)

    def append(
        self,
        case_no: str,
        who: str,
        kind: str,
        content: dict[str, Any] | Callable[[list[Entry]], dict[str, Any]],
        *,
        corrects: int | None = None,
        at: str | None = None,
        file: bytes | None = None,
    ) -> Entry:
        """Add one entry at the end of a case; others may be adding at the same time.

        Parameters
        ----------
        case_no : str
            Number of the case.
        who, kind : str
            Code of the person; kind of entry.
        content : dict or callable
            Plain values; or what makes them of the entries before, while nobody else adds.
        corrects : int, optional
            Place of the earlier entry that this one puts right.
        at : str, optional
            Time, ISO 8601; now when left out.
        file : bytes, optional
            Content of an attached file; ``content`` then holds its ``sha256``.

        Returns
        -------
        Entry
            As it was written.

        Raises
        ------
        NotAllowedError
            If the role does not cover it, or somebody else signs.
        UnknownNameError
            If there is no such case.
        CaseFileError
            If it corrects an entry that is not there, or cannot be written.
        """
        self._permit(Deed.WRITE_CASE, f"{case_no}: {kind}", who)
        with self._writing() as connection:
            if file is not None:
                _keep(connection, case_no, file)
            if callable(content):
                _head(connection, case_no, for_update=True)
                content = content(_read(connection, case_no))
            return _append(connection, case_no, who, kind, content, corrects, at)

    def numbers(self) -> list[str]:
        """Numbers of all cases, in order."""
        with self._reading() as connection:
            return list(
                connection.execute(select(cases.c.case_no).order_by(cases.c.case_no)).scalars()
            )

    def entries(self, case_no: str) -> list[Entry]:
        """All entries of a case, in order.

        Raises
        ------
        UnknownNameError
            If there is no such case.
        """
        with self._reading() as connection:
            _head(connection, case_no)
            return _read(connection, case_no)

    def file(self, case_no: str, sha256: str) -> bytes:
        """Content of an attached file.

        Raises
        ------
        UnknownNameError
            If no such file is attached.
        CaseFileError
            If its content no longer has the hash it was attached by.
        """
        with self._reading() as connection:
            found = connection.execute(
                select(files.c.content).where(files.c.case_no == case_no, files.c.sha256 == sha256)
            ).scalar()
        if found is None:
            raise UnknownNameError("attached file", sha256)
        content = bytes(found)
        if hashlib.sha256(content).hexdigest() != sha256:
            raise CaseFileError(f"The file attached as {sha256[:12]}… is not as it was attached.")
        return content

    def verify(self, case_no: str) -> ChainState:
        """Prove that a case is as it was written, its attached files too.

        Returns
        -------
        ChainState
            With the first broken entry, if there is one.
        """
        with self._reading() as connection:
            last, head = _head(connection, case_no)
            found = _read(connection, case_no)
            kept = {
                sha: hashlib.sha256(bytes(content)).hexdigest()
                for sha, content in connection.execute(
                    select(files.c.sha256, files.c.content).where(files.c.case_no == case_no)
                )
            }
        state = check_chain(case_no, found, last, head)
        for entry in found if state.whole else ():
            if entry.kind == ATTACHED:
                sha = entry.content.get("sha256")
                if kept.get(str(sha)) != sha:
                    return ChainState(
                        case_no, entry.seq - 1, entry.previous, entry.seq,
                        "the file it attached is not as it was",
                    )  # fmt: skip
        return state

    def integrity(self) -> str:
        """What the database itself says of its pages; empty when nothing is wrong."""
        if self._engine.dialect.name != "sqlite":
            return ""
        with self._reading() as connection:
            found = list(connection.exec_driver_sql("PRAGMA integrity_check").scalars())
        return "" if found == ["ok"] else "; ".join(str(one) for one in found[:3])

    def remove(self, case_no: str, who: str, reason: str, at: str | None = None) -> None:
        """Remove a case; who did it, why, and the hash of its last entry stay on record.

        Raises
        ------
        NotAllowedError
            If the role does not cover it, or somebody else signs.
        """
        self._permit(Deed.REMOVE_CASE, f"{case_no}: {reason}", who)
        with self._writing() as connection:
            last, head = _head(connection, case_no, for_update=True)
            values = {"at": at or now(), "who": who, "reason": reason, "last": last, "head": head}
            connection.execute(insert(removals).values(case_no=case_no, **values))
            for table in (files, entries, cases):
                connection.execute(delete(table).where(table.c.case_no == case_no))

    def removed(self) -> list[dict[str, Any]]:
        """Cases that were removed, with who, when and why."""
        with self._reading() as connection:
            rows = connection.execute(select(removals).order_by(removals.c.case_no)).mappings()
            return [dict(row) for row in rows]

    def _permit(self, deed: Deed, about: str, who: str) -> None:
        if self._store is None:
            require(whoever(self.by), deed, who)
        else:
            permit(self._store, self.by, deed, about, signed=who)

    @contextmanager
    def _writing(self) -> Iterator[Connection]:
        with (
            _told(),
            self._engine.connect().execution_options(**WRITES) as connection,
            connection.begin(),
        ):
            yield connection

    @contextmanager
    def _reading(self) -> Iterator[Connection]:
        with _told(), self._engine.connect() as connection:
            yield connection


def kept_case_files(store: Path) -> CaseStore | None:
    """The case files of a store, or None while no case was ever opened; asking makes none.

    Parameters
    ----------
    store : Path
        Directory of the build records.
    """
    url = kept_cases_url(store)
    return None if url is None else CaseStore(url, store)


def now() -> str:
    """The time now, ISO 8601 in UTC, to the second."""
    return datetime.now(UTC).isoformat(timespec="seconds")


@contextmanager
def _told() -> Iterator[None]:
    try:
        yield
    except (SQLAlchemyError, UnicodeDecodeError) as error:
        cause = str(getattr(error, "orig", None) or error).strip().splitlines()[0]
        raise CaseFileError(
            f"The case files cannot be read or written: {cause}. Fetch them from a backup if "
            "the file is damaged; try again if it is in use."
        ) from error


def _head(connection: Connection, case_no: str, *, for_update: bool = False) -> tuple[int, str]:
    wanted = select(cases.c.last, cases.c.head).where(cases.c.case_no == case_no)
    # On PostgreSQL writers of one case queue at its row; SQLite has queued them already.
    row = connection.execute(wanted.with_for_update() if for_update else wanted).one_or_none()
    if row is None:
        known = connection.execute(select(cases.c.case_no)).scalars()
        raise UnknownNameError("case", case_no, known)
    return int(row.last), str(row.head)


def _append(
    connection: Connection,
    case_no: str,
    who: str,
    kind: str,
    content: dict[str, Any],
    corrects: int | None,
    at: str | None,
) -> Entry:
    if not who.strip():
        raise CaseFileError("An entry needs the code of the person who writes it; none was given.")
    last, head = _head(connection, case_no, for_update=True)
    if corrects is not None and not 1 <= corrects <= last:
        raise CaseFileError(
            f"A correction points at one of the entries 1 to {last}; got {corrects}."
        )
    entry = entry_after(
        head, case_no, last + 1, at or now(), who.strip(), kind, canonical(content), corrects
    )
    connection.execute(
        insert(entries).values(
            case_no=case_no, seq=entry.seq, at=entry.at, who=entry.who, kind=kind,
            body=entry.body, corrects=corrects, previous=head, sealed=entry.sealed,
        )
    )  # fmt: skip
    connection.execute(
        update(cases).where(cases.c.case_no == case_no).values(last=entry.seq, head=entry.sealed)
    )
    return entry


def _read(connection: Connection, case_no: str) -> list[Entry]:
    rows = connection.execute(
        select(entries).where(entries.c.case_no == case_no).order_by(entries.c.seq)
    )
    return [Entry(**row._mapping) for row in rows]


def _keep(connection: Connection, case_no: str, content: bytes) -> None:
    sha = hashlib.sha256(content).hexdigest()
    _head(connection, case_no, for_update=True)
    there = select(files.c.sha256).where(files.c.case_no == case_no, files.c.sha256 == sha)
    if connection.execute(there).scalar() is None:
        connection.execute(insert(files).values(sha256=sha, case_no=case_no, content=content))
