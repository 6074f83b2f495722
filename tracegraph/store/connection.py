"""Run SQL and hand back frames or arrays: the part that readers and writers share."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import duckdb
import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa

from tracegraph.store.engine import SHARED, Engine
from tracegraph.store.queries import sql_names, sql_text

Parameters = Mapping[str, Any]

_ROWS = 1_000_000


def literal(text: str) -> str:
    """Quote a text for the few statements that take no bound parameter (SET, COMMENT)."""
    return "'" + text.replace("'", "''") + "'"


_PARSED: dict[str, list[duckdb.Statement]] = {}
_MOST_PARSED = 2000


class Connection:
    """One thread's line to a database.

    Parameters
    ----------
    raw : duckdb.DuckDBPyConnection
        An open connection or cursor. Temporary tables made through it are its own.
    engine : Engine, optional
        What answers the shared texts; the database itself when left out.
    """

    def __init__(self, raw: duckdb.DuckDBPyConnection, engine: Engine | None = None) -> None:
        self._raw = raw
        self._engine = engine

    @property
    def answers_itself(self) -> bool:
        """Whether the database answers the shared texts, not another engine."""
        return self._engine is None

    def run(self, name: str, parameters: Parameters | None = None) -> None:
        """Run all statements of one named SQL file.

        Parameters
        ----------
        name : str
            Path below ``store/sql`` without the ending.
        parameters : mapping, optional
            Values for the ``$names`` in the text; names that a statement does not use
            are left out for it.
        """
        self.execute(sql_text(name), parameters)

    def run_folder(self, folder: str, parameters: Parameters | None = None) -> None:
        """Run every SQL file of a folder, in the order of their names."""
        for name in sql_names(folder):
            self.run(name, parameters)

    def execute(self, text: str, parameters: Parameters | None = None) -> None:
        """Run statements given as text, with bound parameters."""
        self._last(text, parameters)

    def parsed(self, text: str) -> list[duckdb.Statement]:
        """Statements of a text, kept: a load asks some hundred texts, many again and again."""
        statements = _PARSED.get(text)
        if statements is None:
            if len(_PARSED) >= _MOST_PARSED:
                _PARSED.clear()
            statements = _PARSED[text] = self._raw.extract_statements(text)
        return statements

    def attempt(self, name: str, parameters: Parameters | None = None) -> str | None:
        """Run a named SQL file that may fail on what it reads, such as a damaged file.

        Returns
        -------
        str or None
            First line of the database's complaint; None when all went well.
        """
        try:
            self.run(name, parameters)
        except (duckdb.InvalidInputException, duckdb.ConversionException) as error:
            return str(error).splitlines()[0]
        return None

    def frame(self, name: str, parameters: Parameters | None = None) -> pd.DataFrame:
        """Result of the last statement of a named SQL file as a frame."""
        return self.frame_of(sql_text(name), parameters)

    def frame_of(self, text: str, parameters: Parameters | None = None) -> pd.DataFrame:
        """Result of the last statement of a text as a frame."""
        return self._last(text, parameters).df()

    def arrays(
        self, name: str, parameters: Parameters | None = None
    ) -> dict[str, npt.NDArray[Any]]:
        """Result of a named SQL file as one numpy array per column.

        Nulls come as masked arrays.
        """
        columns = self._last(sql_text(name), parameters).fetchnumpy()
        return {key: np.asanyarray(value) for key, value in columns.items()}

    def shared_arrays(
        self, name: str, parameters: Parameters | None = None
    ) -> dict[str, npt.NDArray[Any]]:
        """Result of a text under ``sql/shared`` as arrays, whichever engine answers it."""
        columns = self._shared(name, parameters).fetchnumpy()
        return {key: np.asanyarray(value) for key, value in columns.items()}

    def shared_frame(self, name: str, parameters: Parameters | None = None) -> pd.DataFrame:
        """Result of a text under ``sql/shared`` as a frame, whichever engine answers it."""
        return self._shared(name, parameters).df()

    def batches(self, table: str, rows: int) -> pa.RecordBatchReader:
        """All rows of a table, so many at a time."""
        self._raw.abort()  # an answer not read to its end would be in the way
        return self._raw.table(table).to_arrow_reader(rows)

    def whole_numbers(
        self, name: str, parameters: Parameters | None = None
    ) -> dict[str, npt.NDArray[Any]]:
        """Integer columns without nulls of a named SQL file of one statement, in its order.

        Handed over in large pieces; several times as fast as :meth:`arrays` for many rows.
        """
        text = sql_text(name)
        (statement,) = self.parsed(text)
        given = dict(parameters or {})
        self._raw.abort()
        table = self._raw.sql(
            text, params={key: given[key] for key in statement.named_parameters}
        ).to_arrow_table()
        return {key: table.column(key).to_numpy() for key in table.column_names}

    def rows(self, text: str, parameters: Parameters | None = None) -> list[tuple[Any, ...]]:
        """Result of the last statement of a text as a list of tuples."""
        return self._last(text, parameters).fetchall()

    def named_rows(self, name: str, parameters: Parameters | None = None) -> list[tuple[Any, ...]]:
        """Result of a named SQL file as a list of tuples."""
        return self.rows(sql_text(name), parameters)

    def record(self, name: str, parameters: Parameters | None = None) -> dict[str, Any]:
        """First row of a named SQL file by column name; what is null is None.

        Raises
        ------
        LookupError
            If there is no row.
        """
        result = self._last(sql_text(name), parameters)
        columns = [column[0] for column in result.description or []]
        rows = result.fetchall()  # all: a result that is left open is in the way of the next
        if not rows:
            raise LookupError(f"{name} returned no row")
        return dict(zip(columns, rows[0], strict=True))

    def scalar(self, text: str, parameters: Parameters | None = None) -> Any:
        """First value of the first row, or None when there is no row."""
        rows = self._last(text, parameters).fetchall()
        return rows[0][0] if rows else None

    def register(self, name: str, table: pd.DataFrame | pa.Table) -> None:
        """Make a frame or an Arrow table visible under a name."""
        self._raw.register(name, table)

    def unregister(self, name: str) -> None:
        """Take a registered name away again."""
        self._raw.unregister(name)

    def interrupt(self) -> None:
        """Stop the statement that another thread is running here."""
        self._raw.interrupt()

    def share_done(self) -> float:
        """How much of the running statement is done, 0 to 1; asked by another thread."""
        return max(0.0, float(self._raw.query_progress())) / 100

    def close(self) -> None:
        """Close the line; its temporary tables go with it."""
        self._raw.close()

    def _shared(self, name: str, parameters: Parameters | None) -> duckdb.DuckDBPyConnection:
        if self._engine is None:
            return self._last(sql_text(f"shared/{name}"), parameters)
        tables = {table: self.batches(table, _ROWS).read_all() for table in SHARED[name]}
        # Through the database, so that types and nulls come out as from its own texts.
        self._raw.register("shared_answer", self._engine.answer(name, parameters or {}, tables))
        return self._raw.execute("SELECT * FROM shared_answer")

    def _last(self, text: str, parameters: Parameters | None) -> duckdb.DuckDBPyConnection:
        given = dict(parameters or {})
        result = self._raw
        for statement in self.parsed(text):
            names = statement.named_parameters
            result = self._raw.execute(statement, {name: given[name] for name in names})
        return result
