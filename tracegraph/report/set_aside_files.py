"""The rows that were set aside, as files to be mended, in one archive."""

from __future__ import annotations

import io
import tempfile
import zipfile
from pathlib import Path

from tracegraph.intake.mending import export_set_aside
from tracegraph.store import Store

_MOMENT = (2000, 1, 1, 0, 0, 0)


def set_aside_archive(store: Store) -> bytes:
    """The files to be mended, in the form they came in, as a ZIP archive.

    Parameters
    ----------
    store : Store
        The build in force.

    Returns
    -------
    bytes
        An archive with one file for each file with rows set aside, a reason beside each row.

    Raises
    ------
    IntakeError
        If no temporary folder can be written.
    """
    content = io.BytesIO()
    with tempfile.TemporaryDirectory() as folder:
        written = sorted(export_set_aside(store, Path(folder)))
        with zipfile.ZipFile(content, "w", zipfile.ZIP_DEFLATED) as archive:
            for path in written:
                name = zipfile.ZipInfo(path.relative_to(folder).as_posix(), _MOMENT)
                archive.writestr(name, path.read_bytes())
    return content.getvalue()
