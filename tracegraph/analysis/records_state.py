"""How complete the records are, how well they hang together, and what was set aside."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from tracegraph.domain.records import TABLES
from tracegraph.store import Connection, Store


@dataclass(frozen=True, eq=False)
class RecordsState:
    """What came in and what it is worth.

    Attributes
    ----------
    files : DataFrame
        One row per file or sheet: ``name``, ``sheet``, ``load_no``, ``encoding``,
        ``seen``, ``loaded``, ``set_aside``, ``repeats``, ``furniture``;
        ``seen`` is the sum of the other four.
    reasons : DataFrame
        Rows set aside by ``file``, ``sheet``, ``table_name``, ``column_name``,
        ``reason``; with ``rows``, ``first_row``, ``first_value``.
    cleaned : DataFrame
        Values stored otherwise than written: ``table_name``, ``column_name``, ``rule``,
        ``rows``, ``example``, ``became``.
    remarks : DataFrame
        ``file`` (missing: the whole load), ``table_name``, ``kind``, ``affected``,
        ``text``.
    links : DataFrame
        One row per way from one record to another: ``link``, ``records``, ``linked``,
        ``not_linked``, ``examples`` (list of up to 20 names that lead nowhere).
    questions : DataFrame
        One row per family: ``family``, ``kind``, ``part``, ``step``, ``hulls`` (that it
        applies to), ``recorded`` (in full), ``not_recorded``.
    fields : DataFrame
        One row per column of the record tables that hold rows: ``table``, ``field``,
        ``required`` (bool), ``rows``, ``filled``.
    loaded_at : str
        When the build was made, as ISO 8601 text.
    data_version : str
        Version of the records.
    """

    files: pd.DataFrame
    reasons: pd.DataFrame
    cleaned: pd.DataFrame
    remarks: pd.DataFrame
    links: pd.DataFrame
    questions: pd.DataFrame
    fields: pd.DataFrame
    loaded_at: str
    data_version: str


def records_state(store: Store) -> RecordsState:
    """Look at the records as records.

    Parameters
    ----------
    store : Store
        The records.

    Returns
    -------
    RecordsState
        Ledger, rows set aside by reason, links, completeness.
    """
    with store.session() as session:
        return RecordsState(
            files=session.frame("records/ledger"),
            reasons=session.frame("records/set_aside_reasons"),
            cleaned=session.frame("records/cleaned"),
            remarks=session.frame("records/remarks"),
            links=session.frame("records/links"),
            questions=session.frame("records/questions"),
            fields=_fields(session),
            loaded_at=store.meta("loaded_at") or "",
            data_version=store.version,
        )


def set_aside_rows(
    store: Store, *, file: str | None = None, limit: int = 200, offset: int = 0
) -> pd.DataFrame:
    """Rows that could not be read, whole, one page of them.

    Parameters
    ----------
    store : Store
        The records.
    file : str, optional
        Only rows of this file.
    limit, offset : int
        Which page.

    Returns
    -------
    DataFrame
        ``file``, ``sheet``, ``line``, ``table_name``, ``column_name``, ``value``,
        ``reason``, ``raw`` (the whole row as JSON).
    """
    return store.frame("records/set_aside_rows", {"file": file, "limit": limit, "offset": offset})


def _fields(session: Connection) -> pd.DataFrame:
    rows = []
    for table in TABLES:
        # Table and column names come from the list of records, not from anyone's input.
        filled = ", ".join(f'count("{name}")' for name in table.field_names)
        total, *counts = session.rows(f"SELECT count(*), {filled} FROM {table.name}")[0]
        if total:
            rows += [
                (table.name, field.name, field.required, int(total), int(count))
                for field, count in zip(table.fields, counts, strict=True)
            ]
    return pd.DataFrame(rows, columns=["table", "field", "required", "rows", "filled"])
