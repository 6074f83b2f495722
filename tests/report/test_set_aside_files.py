"""The archive of rows to mend."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

from tracegraph.intake.load import load_folder
from tracegraph.report.set_aside_files import set_aside_archive
from tracegraph.store import StoreDirectory, open_store


def test_rows_set_aside_come_in_one_archive_each_with_its_reason(tmp_path: Path) -> None:
    records = tmp_path / "records"
    records.mkdir()
    (records / "hulls.csv").write_text(
        "hull_serial,model,completed_on\nH1,S18,2025-01-20\nH2,,2025-01-40x\n", encoding="utf-8"
    )
    load_folder(records, StoreDirectory(tmp_path / "store"), fresh=True)
    with open_store(tmp_path / "store") as store:
        content = set_aside_archive(store)
        assert set_aside_archive(store) == content
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        (name,) = archive.namelist()
        text = archive.read(name).decode("utf-8-sig")
    assert name.endswith(".csv")
    assert "2025-01-40x" in text
    assert "H1" not in text
