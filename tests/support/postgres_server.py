"""A PostgreSQL server on loopback for one test session, with a password, thrown away afterwards."""

from __future__ import annotations

import os
import pwd
import secrets
import shutil
import socket
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import psycopg

USER, DATABASE = "reader", "plant"
_ACCOUNTS = ("postgres", "nobody")
_PATIENCE = 60.0


@dataclass(frozen=True)
class Server:
    """Where a server listens, and its password."""

    port: int
    password: str

    @property
    def url(self) -> str:
        """Address without the password."""
        return f"postgresql://{USER}@127.0.0.1:{self.port}/{DATABASE}"

    def run(self, *statements: str) -> list[tuple[Any, ...]]:
        """Run statements as the owner; rows of the last one, if it gives any."""
        with self.connect(DATABASE) as connection:
            cursor = connection.cursor()
            for statement in statements:
                cursor.execute(statement.encode())
            return cursor.fetchall() if cursor.description else []

    def connect(self, database: str) -> psycopg.Connection[Any]:
        """A connection as the owner, each statement on its own."""
        return psycopg.connect(
            host="127.0.0.1",
            port=self.port,
            user=USER,
            password=self.password,
            dbname=database,
            autocommit=True,
        )


def programs() -> Path | None:
    """Folder of the server's programs, or None when none is installed."""
    on_path = shutil.which("initdb")
    if on_path:
        return Path(on_path).resolve().parent
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    return found[-1].parent if found else None


@contextmanager
def running(folder: Path) -> Iterator[Server]:
    """Make a cluster, start a server on a free port, and stop and remove both at the end.

    Parameters
    ----------
    folder : Path
        From :func:`programs`.
    """
    # The server refuses to run as root, and the account it gets must reach its folder.
    as_root = os.geteuid() == 0
    account = next((name for name in _ACCOUNTS if _exists(name)), None) if as_root else None
    base = Path(tempfile.mkdtemp(prefix="tracegraph-postgres-"))
    server = Server(_free_port(), secrets.token_hex(8))
    (base / "password").write_text(server.password, encoding="utf-8")
    if account is not None:
        for path in (base, base / "password"):
            shutil.chown(path, account)
    options: dict[str, Any] = {"cwd": base} | ({} if account is None else {"user": account})
    data = base / "data"
    try:
        subprocess.run(
            [
                folder / "initdb", "-D", data, "-U", USER, "-A", "scram-sha-256",
                f"--pwfile={base / 'password'}", "-E", "UTF8", "--locale=C", "--no-sync",
            ],
            check=True, capture_output=True, **options,
        )  # fmt: skip
        with (base / "log").open("wb") as log:
            process = subprocess.Popen(
                [
                    folder / "postgres", "-D", data, "-p", str(server.port), "-k", base,
                    "-c", "listen_addresses=127.0.0.1", "-c", "fsync=off",
                ],
                stdout=log, stderr=log, **options,
            )  # fmt: skip
            try:
                _wait(server, process, base / "log")
                yield server
            finally:
                process.terminate()
                process.wait(_PATIENCE)
    finally:
        shutil.rmtree(base, ignore_errors=True)


def _wait(server: Server, process: subprocess.Popen[bytes], log: Path) -> None:
    end = time.monotonic() + _PATIENCE
    while True:
        try:
            with server.connect("postgres") as connection:
                connection.execute(f"CREATE DATABASE {DATABASE}".encode())
            return
        except psycopg.OperationalError:
            if process.poll() is not None or time.monotonic() > end:
                raise RuntimeError(log.read_text(encoding="utf-8", errors="replace")) from None
            time.sleep(0.1)


def _exists(account: str) -> bool:
    try:
        pwd.getpwnam(account)
    except KeyError:
        return False
    return True


def _free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])
