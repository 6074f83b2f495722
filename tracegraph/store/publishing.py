"""Write a build's tables as Parquet, for an engine that reads them elsewhere."""

from __future__ import annotations

import os
import shutil
from dataclasses import dataclass
from pathlib import Path

import pyarrow.parquet as pq

from tracegraph.domain.errors import StoreError
from tracegraph.store.engine import PUBLISHED
from tracegraph.store.reader import Store

ROWS_OF_A_FILE = 10_000_000
ROWS_OF_A_BATCH = 1_000_000


@dataclass(frozen=True)
class Published:
    """What was written where.

    Parameters
    ----------
    folder : Path
        One folder for each table, with Parquet files in it.
    rows : dict of str to int
        Rows of each table.
    data_version : str
        Version of the records.
    """

    folder: Path
    rows: dict[str, int]
    data_version: str


def publish(store: Store, folder: Path) -> Published:
    """Write the tables that the shared texts read.

    Parameters
    ----------
    store : Store
        Where the records are.
    folder : Path
        Is made; what an earlier publishing left there is replaced whole.

    Returns
    -------
    Published
        The tables of :data:`~tracegraph.store.engine.PUBLISHED`.

    Raises
    ------
    StoreError
        If the folder holds something else, or cannot be written.
    """
    _require_own(folder)
    fresh = folder.with_name(f".{folder.name}.{os.getpid()}")
    try:
        rows = {table: _write(store, table, fresh / table) for table in PUBLISHED}
        if folder.exists():
            shutil.rmtree(folder)
        fresh.replace(folder)
    except OSError as error:
        raise StoreError(
            f"{folder} cannot be written: {error.strerror or error}. Give another folder."
        ) from error
    finally:
        shutil.rmtree(fresh, ignore_errors=True)
    return Published(folder, rows, store.version)


def _require_own(folder: Path) -> None:
    if not folder.exists():
        return
    there = {entry.name for entry in folder.iterdir()} if folder.is_dir() else {folder.name}
    if there - set(PUBLISHED):
        raise StoreError(
            f"{folder} holds something other than published tables "
            f"({', '.join(sorted(there - set(PUBLISHED))[:3])}). Give a new folder."
        )


def _write(store: Store, table: str, folder: Path) -> int:
    folder.mkdir(parents=True)
    rows = 0
    with store.session() as session:
        batches = session.batches(table, ROWS_OF_A_BATCH)
        writer: pq.ParquetWriter | None = None
        for batch in batches:
            if writer is None or rows // ROWS_OF_A_FILE != (rows - 1) // ROWS_OF_A_FILE:
                if writer is not None:
                    writer.close()
                name = f"part-{rows // ROWS_OF_A_FILE:05d}.parquet"
                writer = pq.ParquetWriter(folder / name, batches.schema, compression="zstd")
            writer.write_batch(batch)
            rows += batch.num_rows
        if writer is None:
            writer = pq.ParquetWriter(folder / "part-00000.parquet", batches.schema)
        writer.close()
    return rows
