"""Read folders of records: text, workbooks and Parquet; mapped, checked, nothing lost.

Every row of every file is accounted for: it became a record, was set aside with a reason,
repeats another row, or is furniture (blank lines, titles, repeated headers, totals).
"""

from pathlib import Path

from tracegraph.intake.folder import LeftOut
from tracegraph.intake.ledger import FileLedger, LoadReport, Remark
from tracegraph.intake.load import load_folder
from tracegraph.intake.mending import export_set_aside
from tracegraph.intake.progress import Progress
from tracegraph.intake.proposing import propose
from tracegraph.intake.sheet import read_sheet
from tracegraph.store import StoreDirectory, default_store_path

__all__ = [
    "FileLedger",
    "LeftOut",
    "LoadReport",
    "Progress",
    "Remark",
    "export_set_aside",
    "load",
    "load_folder",
    "propose",
    "read_sheet",
]


def load(folder: Path | str, store: Path | str | None = None, *, fresh: bool = False) -> LoadReport:
    """Load a folder of records into a store.

    Parameters
    ----------
    folder : Path or str
        The folder; see the data-format page.
    store : Path or str, optional
        Directory of the store; the user's own when left out.
    fresh : bool, default False
        Begin without the records in force.

    Returns
    -------
    LoadReport
        Where each row of each file went.

    Raises
    ------
    IntakeError
        If the folder holds nothing that can be read.
    StoreBusyError
        If another load holds the store.
    """
    directory = StoreDirectory(Path(store) if store is not None else default_store_path())
    return load_folder(Path(folder), directory, fresh=fresh)
