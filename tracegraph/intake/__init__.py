"""Read folders of records: text, workbooks and Parquet; mapped, checked, nothing lost.

Every row of every file is accounted for: it became a record, was set aside with a reason,
repeats another row, or is furniture (blank lines, titles, repeated headers, totals).
"""

from tracegraph.intake.folder import LeftOut
from tracegraph.intake.ledger import FileLedger, LoadReport, Remark
from tracegraph.intake.load import load_folder
from tracegraph.intake.progress import Progress

__all__ = ["FileLedger", "LeftOut", "LoadReport", "Progress", "Remark", "load_folder"]
