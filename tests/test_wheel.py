"""The wheel carries every file that the package reads."""

from __future__ import annotations

import zipfile
from pathlib import Path

from hatchling.builders.wheel import WheelBuilder

ROOT = Path(__file__).resolve().parent.parent


def test_the_wheel_carries_every_file_of_the_package(tmp_path: Path) -> None:
    built = next(WheelBuilder(str(ROOT)).build(directory=str(tmp_path)))
    with zipfile.ZipFile(built) as wheel:
        held = set(wheel.namelist())
    wanted = {
        str(path.relative_to(ROOT))
        for path in (ROOT / "tracegraph").rglob("*")
        if path.suffix in (".py", ".sql", ".typ", ".css", ".json") and "bundled" not in path.parts
    }
    assert wanted - held == set()
    for name in (
        "tracegraph/report/casefile/paper.typ",
        "tracegraph/cases/migrations/versions/r0002_entries_stay.py",
        "tracegraph/bundled/app.py",
        "tracegraph/bundled/sample_builds/intake.toml",
    ):
        assert name in held
