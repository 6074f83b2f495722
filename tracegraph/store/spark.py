"""Answer the shared texts by Spark, from published tables; needs the extra ``spark``."""

from __future__ import annotations

import re
import socket
import warnings
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any
from urllib.parse import urlsplit

import pyarrow as pa

from tracegraph.domain.errors import StoreError
from tracegraph.store.engine import PUBLISHED, SHARED
from tracegraph.store.queries import sql_text

if TYPE_CHECKING:
    from pyspark.sql import SparkSession

LOCAL = "local[*]"
CONNECT_PORT = 15002
SECONDS_TO_ANSWER = 5.0
SETTINGS: Mapping[str, str] = {
    "spark.sql.session.timeZone": "UTC",
    "spark.sql.ansi.enabled": "true",
}
LOCAL_SETTINGS: Mapping[str, str] = {
    "spark.ui.enabled": "false",
    "spark.ui.showConsoleProgress": "false",
    "spark.driver.bindAddress": "127.0.0.1",
    "spark.driver.host": "127.0.0.1",
    "spark.log.level": "ERROR",
    # One task for each core of this machine; the default of 200 is meant for a cluster.
    "spark.sql.shuffle.partitions": "4",
}


class SparkEngine:
    """Published tables behind a Spark session.

    Parameters
    ----------
    session : SparkSession
        Through Spark Connect or in this process; the result is the same.
    """

    def __init__(self, session: SparkSession) -> None:
        self._session = session

    def answer(
        self, name: str, parameters: Mapping[str, Any], tables: Mapping[str, pa.Table]
    ) -> pa.Table:
        """Run one shared text; see :class:`~tracegraph.store.engine.Engine`."""
        from pyspark.sql import functions

        if set(tables) != set(SHARED[name]):
            raise ValueError(f"{name} reads {SHARED[name]}, got {sorted(tables)}")
        text = re.sub(r"\$(\w+)", r":\1", sql_text(f"shared/{name}")).strip().rstrip(";")
        for table, rows in tables.items():
            self._session.createDataFrame(rows).createOrReplaceTempView(table)
        asked = {
            key: functions.array(*map(functions.lit, value)) if isinstance(value, list) else value
            for key, value in parameters.items()
            if f":{key}" in text
        }
        return self._session.sql(text, args=asked).toArrow()

    def close(self) -> None:
        """End the session."""
        self._session.stop()


def open_spark(published: str, data_version: str, remote: str | None = None) -> SparkEngine:
    """Connect to Spark and look at the published tables.

    Parameters
    ----------
    published : str
        Folder or URL of the tables, as Spark itself reaches it.
    data_version : str
        Version of the records they must hold.
    remote : str, optional
        Address of a Spark Connect server, ``sc://host:port``; Spark runs in this process
        when left out.

    Returns
    -------
    SparkEngine
        To be closed.

    Raises
    ------
    StoreError
        If Spark is not installed, does not answer, finds no such tables, or finds those of
        other records.
    """
    engine = SparkEngine(_session(remote))
    try:
        found = _open_tables(engine._session, published)
    except StoreError:
        engine.close()
        raise
    if found != data_version:
        engine.close()
        raise StoreError(
            f"The tables at {published} were published from records {found}, the store holds "
            f"{data_version}. Publish again: tracegraph publish --to DIR."
        )
    return engine


def _session(remote: str | None) -> SparkSession:
    if remote is not None:
        _require_server(remote)
    try:
        with warnings.catch_warnings():
            # Spark warns of this version of pandas; results come as Arrow, never as frames.
            warnings.filterwarnings("ignore", "PySpark does not yet fully support pandas")
            from pyspark.sql import SparkSession

            builder = SparkSession.builder.remote(remote) if remote else _local_builder()
            for key, value in SETTINGS.items():
                builder = builder.config(key, value)
            return builder.getOrCreate()
    except ImportError as error:
        raise StoreError(
            f"Spark is not installed here ({error}). "
            "Install the extra: pip install 'tracegraph[spark]'."
        ) from error
    except Exception as error:
        where = remote or "in this process"
        raise StoreError(
            f"Spark does not answer ({where}): {_first_line(error)} See docs/spark.md."
        ) from error


def _require_server(remote: str) -> None:
    """Knock first: Spark's own client tries a server that is not there for minutes."""
    try:
        parts = urlsplit(remote)
        if parts.scheme != "sc" or parts.hostname is None:
            raise StoreError(f"--spark-remote must be like sc://host:15002; got {remote!r}.")
        address = (parts.hostname, parts.port or CONNECT_PORT)
        socket.create_connection(address, SECONDS_TO_ANSWER).close()
    except (OSError, ValueError) as error:
        raise StoreError(
            f"No Spark Connect server answers at {remote} ({error}). Start it, or leave "
            "--spark-remote out to run Spark on this machine."
        ) from error


def _local_builder() -> Any:
    from pyspark.sql import SparkSession

    builder = SparkSession.builder.master(LOCAL)
    for key, value in LOCAL_SETTINGS.items():
        builder = builder.config(key, value)
    return builder


def _open_tables(session: SparkSession, published: str) -> str:
    from pyspark.errors import PySparkException

    base = published.rstrip("/")
    try:
        for table in PUBLISHED:
            session.read.parquet(f"{base}/{table}").createOrReplaceTempView(table)
        found = session.sql("SELECT value FROM meta WHERE key = 'data_version'").toArrow()
    except PySparkException as error:
        raise StoreError(
            f"No published tables at {published}: {_first_line(error)} "
            "Make them with tracegraph publish --to DIR, where Spark can read them."
        ) from error
    return str(found["value"][0].as_py()) if found.num_rows else "unversioned"


def _first_line(error: Exception) -> str:
    return str(error).strip().splitlines()[0] if str(error).strip() else type(error).__name__
