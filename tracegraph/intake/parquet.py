"""Bring a Parquet file into the staging table."""

from __future__ import annotations

from collections.abc import Mapping

import pyarrow as pa
import pyarrow.parquet as pq

from tracegraph.domain.errors import IntakeError
from tracegraph.domain.records import Role
from tracegraph.intake.cells import cell_text
from tracegraph.intake.compose import compose
from tracegraph.intake.folder import FoundFile
from tracegraph.intake.headers import make_headers
from tracegraph.intake.ledger import Remark
from tracegraph.intake.lines import decode_line
from tracegraph.intake.rules import ReadingRules
from tracegraph.intake.staging import Page, make_page
from tracegraph.store import Build

_READ_ROWS = 200_000


class ParquetSheet:
    """One Parquet file: a sheet without a name.

    Parameters
    ----------
    file : FoundFile
        Where it is.

    Attributes
    ----------
    name : None
        A Parquet file holds one sheet only.
    stem : str
        File name without its endings.
    headers : Headers
        Names of its columns.
    share_read : float or None
        Share of its rows that is staged.

    Raises
    ------
    IntakeError
        If the file is not Parquet.
    """

    name: None = None

    def __init__(self, file: FoundFile) -> None:
        self.stem = file.stem
        try:
            self._source = pq.ParquetFile(file.path)
        except (pa.ArrowException, OSError, ValueError) as error:
            raise IntakeError(f"is not a readable Parquet file: {_first_line(error)}") from error
        self.headers = make_headers(self._source.schema_arrow.names)
        self.share_read: float | None = 0.0

    def stage(self, build: Build, roles: Mapping[int, set[Role]], rules: ReadingRules) -> Page:
        """Fill the staging table; see :class:`~tracegraph.intake.staging.Sheet`."""
        kinds = self._source.schema_arrow.types
        width = len(kinds)
        page = Page(self.headers, "p.source_row")
        texts = ", ".join(_text_of(i, kind, rules) for i, kind in enumerate(kinds))
        make_page(build, width)
        first = 1
        try:
            for batch in self._source.iter_batches(batch_size=_READ_ROWS):
                numbers = pa.array(range(first, first + batch.num_rows), pa.int64())
                names = ["source_row", *(f"c{i}" for i in range(width))]
                columns = [_plainer(column) for column in batch.columns]
                append = pa.Table.from_arrays([numbers, *columns], names=names)
                build.register("typed_batch", append)
                build.execute(compose("intake/append_typed", texts=texts))
                build.unregister("typed_batch")
                first += batch.num_rows
                self.share_read = first / self._source.metadata.num_rows
        except (pa.ArrowException, OSError, ValueError) as error:
            raise IntakeError(f"is a damaged Parquet file: {_first_line(error)}") from error
        for index, kind in enumerate(kinds):
            if Role.ID in roles.get(index, ()) and _is_number(kind):
                text = (
                    f"{self.headers.names[index]!r} holds numbers, not text: zeros before them, "
                    "if there were any, are gone"
                )
                if pa.types.is_float32(kind) or pa.types.is_float16(kind):
                    text += "; they are kept to seven digits, so that longer ones are not whole"
                page.remarks.append(Remark("identity kept as number", 0, text))
        return page

    def sample(self, most: int) -> list[list[str]]:
        """First rows below the header, as text."""
        try:
            batch = next(self._source.iter_batches(batch_size=most), None)
        except (pa.ArrowException, OSError, ValueError) as error:
            raise IntakeError(f"is a damaged Parquet file: {_first_line(error)}") from error
        if batch is None:
            return []
        columns = [[cell_text(value) for value in column.to_pylist()] for column in batch.columns]
        return [list(row) for row in zip(*columns, strict=True)]


def _plainer(column: pa.Array) -> pa.Array:
    """Column of a kind that the database turns into the text that was meant.

    Bytes are text of a writer that did not say so; a moment with a zone is written in that
    zone, whatever the zone of the machine.
    """
    kind = column.type
    if pa.types.is_dictionary(kind):
        return _plainer(column.dictionary_decode())
    if pa.types.is_float16(kind):
        return column.cast(pa.float32())
    if pa.types.is_timestamp(kind) and kind.tz is not None:
        return column.cast(pa.timestamp("us", kind.tz), safe=False).cast(pa.string())
    if pa.types.is_binary(kind) or pa.types.is_large_binary(kind):
        held = column.to_pylist()
        texts = [None if b is None else decode_line(b, "utf-8")[0] for b in held]
        return pa.array(texts, pa.string())
    return column


def _is_number(kind: pa.DataType) -> bool:
    return bool(
        pa.types.is_integer(kind) or pa.types.is_floating(kind) or pa.types.is_decimal(kind)
    )


def _text_of(index: int, kind: pa.DataType, rules: ReadingRules) -> str:
    column = f"c{index}"
    if pa.types.is_floating(kind):
        text = f"number_text({column})"
        return f"replace({text}, '.', ',')" if rules.decimal == "," else text
    if pa.types.is_decimal(kind):
        return f"decimal_text({column})"
    if pa.types.is_nested(kind):
        return f"CAST(to_json({column}) AS VARCHAR)"
    return f"nullif(CAST({column} AS VARCHAR), '')"


def _first_line(error: BaseException) -> str:
    return (str(error).splitlines() or ["unknown fault"])[0]
