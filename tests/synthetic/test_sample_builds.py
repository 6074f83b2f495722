"""The committed sample is what the generator makes, and is small enough to ship."""

from __future__ import annotations

import gzip
import hashlib
import json
import zipfile
from pathlib import Path

import pytest

from tracegraph.synthetic import make_builds

SAMPLE = Path(__file__).parents[2] / "sample_builds"


def content(path: Path) -> str:
    """Digest of what a file says, leaving out what the packing library decides."""
    data = path.read_bytes()
    if path.suffix == ".gz":
        data = gzip.decompress(data)
    elif path.suffix == ".xlsx":
        with zipfile.ZipFile(path) as book:
            sheets = [n for n in sorted(book.namelist()) if n.startswith("xl/")]
            data = b"".join(book.read(n) for n in sheets)
    return hashlib.sha256(data).hexdigest()


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("sample") / "builds"
    make_builds(out)
    return out


def test_the_committed_sample_is_what_the_generator_makes(made: Path) -> None:
    committed = {p.name: content(p) for p in SAMPLE.iterdir()}
    assert committed == {p.name: content(p) for p in made.iterdir()}


def test_it_is_small_enough_to_ship() -> None:
    assert sum(p.stat().st_size for p in SAMPLE.iterdir()) <= 7_000_000


def test_the_readme_names_every_file_and_every_cause() -> None:
    text = (SAMPLE / "README.md").read_text("utf-8")
    for path in SAMPLE.iterdir():
        assert path.name == "README.md" or f"`{path.name}`" in text
    for entry in json.loads((SAMPLE / "answer_key.json").read_text("utf-8")):
        assert entry["note"] in text
        for cause in entry["causes"]:
            assert f"`{cause['family']}`" in text
    assert "synthetic" in text
    assert "QZX stands for no real maker" in text
    assert "tracegraph make-builds OUT --hulls 1200 --seed 1 --scenario sample" in text
