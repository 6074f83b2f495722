"""One flat sheet as text, read with the same care as a folder of records."""

from __future__ import annotations

from pathlib import Path

import pandas as pd

from tracegraph.domain.errors import IntakeError
from tracegraph.intake.bytescan import scan
from tracegraph.intake.folder import Form, FoundFile, LeftOut, find_file
from tracegraph.intake.parquet import ParquetSheet
from tracegraph.intake.rules import ReadingRules
from tracegraph.intake.staging import Page, Sheet
from tracegraph.intake.textfile import TextFile
from tracegraph.intake.workbook import Workbook
from tracegraph.store import Build, in_memory_build


def read_sheet(path: Path) -> pd.DataFrame:
    """Read a CSV, TSV, XLSX or Parquet file as it is written.

    Parameters
    ----------
    path : Path
        The file; of a workbook the only visible sheet that holds cells.

    Returns
    -------
    DataFrame
        Of text, one column per heading; a blank cell is missing.

    Raises
    ------
    IntakeError
        If the file is not there, cannot be read, or holds no rows or several sheets.
    """
    if not path.is_file():
        raise IntakeError(f"{path} does not exist. Name a CSV, TSV, XLSX or Parquet file.")
    found = find_file(path)
    if isinstance(found, LeftOut):
        raise IntakeError(f"{path}: {found.reason}.")
    build = in_memory_build()
    try:
        build.run("intake/macros")
        build.run("intake/begin")
        try:
            page = _stage(build, found)
        except IntakeError as error:
            raise IntakeError(f"{path}: {error}.") from error
        if page.broken:
            first = page.broken[0]
            raise IntakeError(
                f"{path} line {first.row}: {first.reason}. Mend the line; a flat sheet is ranked "
                "whole or not at all."
            )
        names = page.headers.names
        columns = ", ".join(f"p.{column}" for column in page.columns)
        rows = build.rows(f"SELECT {columns} FROM page AS p ORDER BY {page.row_sql}")
    finally:
        build.close()
    if not rows:
        raise IntakeError(f"{path} holds no rows below its header. Give one row for each unit.")
    return pd.DataFrame(rows, columns=list(names)).astype("str")


def _stage(build: Build, found: FoundFile) -> Page:
    sheets: list[Sheet]
    if found.form is Form.PARQUET:
        sheets = [ParquetSheet(found)]
    elif found.form is Form.TEXT:
        sheets = [TextFile(found, scan(found.path, packed=found.packed), None)]
    else:
        sheets = [*Workbook(found, None).sheets()]
    if len(sheets) != 1:
        raise IntakeError(
            f"holds {len(sheets)} sheets with cells; a flat table is one sheet. Save it alone"
        )
    return sheets[0].stage(build, {}, ReadingRules())
