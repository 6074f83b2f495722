"""Bring a Parquet file into the staging table."""

from __future__ import annotations

import pyarrow as pa
import pyarrow.parquet as pq

from tracegraph.domain.errors import IntakeError
from tracegraph.intake.folder import FoundFile
from tracegraph.intake.headers import make_headers
from tracegraph.intake.staging import Page, clear_page
from tracegraph.store import Build

_READ_ROWS = 200_000


def stage_parquet(build: Build, file: FoundFile) -> Page:
    """Fill the staging table from a Parquet file.

    Parameters
    ----------
    build : Build
        The build being loaded.
    file : FoundFile
        Where it is.

    Returns
    -------
    Page
        Rows counted from 1.

    Raises
    ------
    IntakeError
        If the file is not Parquet.
    """
    try:
        source = pq.ParquetFile(file.path)
    except (pa.ArrowInvalid, OSError) as error:
        reason = str(error).splitlines()[0]
        raise IntakeError(f"is not a readable Parquet file: {reason}") from error
    headers = make_headers(source.schema_arrow.names)
    width = len(headers.names)
    clear_page(build)
    columns = ", ".join(f"c{i} VARCHAR" for i in range(width))
    build.execute(f"CREATE TEMP TABLE page (source_row BIGINT, {columns})")
    first = 1
    for batch in source.iter_batches(batch_size=_READ_ROWS):
        numbers = pa.array(range(first, first + batch.num_rows), pa.int64())
        table = pa.Table.from_arrays(
            [numbers, *batch.columns], names=["source_row", *(f"c{i}" for i in range(width))]
        )
        texts = ", ".join(_text_of(i, batch.schema.field(i).type) for i in range(width))
        build.register("batch", table)
        build.execute(f"INSERT INTO page SELECT source_row, {texts} FROM batch")
        build.unregister("batch")
        first += batch.num_rows
    return Page(headers, "p.source_row")


def _text_of(index: int, kind: pa.DataType) -> str:
    column = f"c{index}"
    if pa.types.is_floating(kind):
        return f"number_text({column})"
    if pa.types.is_nested(kind):
        return f"CAST(to_json({column}) AS VARCHAR)"
    return f"nullif(CAST({column} AS VARCHAR), '')"
