"""Stores and case files for the commands about cases."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.support.case_yard import EARLIER, write_yard
from tracegraph.cli.main import run
from tracegraph.intake import load_folder
from tracegraph.store import StoreDirectory

Say = Callable[..., str]


@pytest.fixture(scope="session")
def yard_store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A store of the yard as it stood at first; for reading only."""
    folder = tmp_path_factory.mktemp("yard")
    write_yard(folder / "records", EARLIER)
    load_folder(folder / "records", StoreDirectory(folder / "store"))
    return folder / "store"


@pytest.fixture
def say(yard_store: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Say:
    """Run a command about cases of the yard; what it printed, or its one line of refusal."""

    def said(*words: str, status: int = 0, store: Path = yard_store) -> str:
        options = ["--store", str(store), "--cases", f"sqlite:///{tmp_path / 'cases.sqlite'}"]
        assert run(["case", *words, *options]) == status, capsys.readouterr().err
        out = capsys.readouterr()
        return out.out if status == 0 else out.err

    return said
