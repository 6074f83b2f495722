import hashlib
import random
import shutil
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from tests.support.postgres_server import Server
from tracegraph.cases import CaseStore
from tracegraph.cases.engine import default_cases_url
from tracegraph.domain.errors import CaseFileError, UnknownNameError

WRITER = Path(__file__).with_name("writer.py")
ROOT = Path(__file__).parents[2]


def sqlite_url(folder: Path) -> str:
    return f"sqlite:///{folder / 'cases.sqlite'}"


def case_url(postgres: Server) -> str:
    host = postgres.url.partition("://")[2]
    return f"postgresql+psycopg://{host.replace('@', f':{postgres.password}@', 1)}"


@pytest.fixture
def store(tmp_path: Path) -> CaseStore:
    return CaseStore(sqlite_url(tmp_path))


def start(url: str, case_no: str, who: str, many: int) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, str(WRITER), url, case_no, who, str(many)],
        cwd=ROOT,
        env={"PYTHONPATH": str(ROOT), "PATH": ""},
        stdout=subprocess.PIPE,
        text=True,
    )


def append_at_once(url: str) -> None:
    store = CaseStore(url)
    case_no = store.open_case("QL-1", {"title": "many at once"}).case_no
    writers = [start(url, case_no, f"W-{number}", 250) for number in range(8)]
    for writer in writers:
        writer.communicate()
    assert [writer.returncode for writer in writers] == [0] * 8
    found = store.entries(case_no)
    assert len(found) == 2001
    assert store.verify(case_no).whole
    for number in range(8):
        mine = [one.content["number"] for one in found if one.who == f"W-{number}"]
        assert mine == list(range(250))


def kill_at_random(url: str, rounds: int) -> None:
    store = CaseStore(url)
    case_no = store.open_case("QL-1", {"title": "killed"}).case_no
    chance = random.Random(7)
    written = 0
    for number in range(rounds):
        writer = start(url, case_no, f"W-{number}", 100_000)
        assert writer.stdout is not None
        told = 0
        for _ in range(chance.randrange(1, 40)):
            writer.stdout.readline()
            told += 1
        writer.kill()
        told += len(writer.stdout.read().split())
        writer.stdout.close()
        writer.wait()
        written += told
        state = store.verify(case_no)
        assert state.whole
        # What a writer was told is on record; one more may be, written but not yet told.
        assert state.entries - 1 - written in (0, 1)
        written = state.entries - 1
    store.append(case_no, "QL-1", "noted", {"text": "goes on"})
    assert store.verify(case_no).whole


def test_eight_processes_lose_nothing_on_sqlite(tmp_path: Path) -> None:
    append_at_once(sqlite_url(tmp_path))


def test_eight_processes_lose_nothing_on_postgresql(postgres: Server) -> None:
    append_at_once(case_url(postgres))


def test_a_kill_at_any_point_leaves_the_chain_whole_on_postgresql(postgres: Server) -> None:
    kill_at_random(case_url(postgres), 3)


def test_a_kill_at_any_point_leaves_the_chain_whole(tmp_path: Path) -> None:
    kill_at_random(sqlite_url(tmp_path), 5)


def test_a_case_is_numbered_and_read_back(store: CaseStore) -> None:
    assert store.open_case("QL-1", {"title": "a"}).case_no == "C-0001"
    assert store.open_case("QL-1", {"title": "é"}).case_no == "C-0002"
    store.append("C-0002", "QL-2", "noted", {"text": "x"}, corrects=1)
    assert store.numbers() == ["C-0001", "C-0002"]
    first, second = store.entries("C-0002")
    assert (first.content, second.corrects, second.previous) == ({"title": "é"}, 1, first.sealed)


def test_wrong_input_is_told(store: CaseStore) -> None:
    with pytest.raises(UnknownNameError):
        store.append("C-9", "QL-1", "noted", {})
    store.open_case("QL-1", {})
    with pytest.raises(CaseFileError, match="entries 1 to 1"):
        store.append("C-0001", "QL-1", "corrected", {}, corrects=2)
    with pytest.raises(CaseFileError, match="code of the person"):
        store.append("C-0001", " ", "noted", {})
    with pytest.raises(CaseFileError, match="SQLite or PostgreSQL"):
        CaseStore("mysql://host/base")
    with pytest.raises(CaseFileError, match="cannot be opened"):
        CaseStore("nonsense")


@pytest.mark.parametrize("column", ["at", "who", "kind", "body", "previous", "sealed"])
def test_one_changed_letter_is_found_in_every_column(
    store: CaseStore, tmp_path: Path, column: str
) -> None:
    store.open_case("QL-1", {"title": "a"})
    for number in range(3):
        store.append("C-0001", "QL-1", "noted", {"number": number})
    with sqlite3.connect(tmp_path / "cases.sqlite") as base:
        base.execute("DROP TRIGGER entries_stay")
        base.execute(
            f'UPDATE entries SET "{column}" = substr("{column}", 1, length("{column}") - 2)'
            f""" || '~' || substr("{column}", -1) WHERE seq = 3"""
        )
    base.close()
    assert store.verify("C-0001").broken_at == 3


def test_one_changed_byte_of_the_file_is_found(tmp_path: Path) -> None:
    store = CaseStore(sqlite_url(tmp_path))
    store.open_case("QL-1", {"title": "marked-word"})
    store.append("C-0001", "QL-1", "noted", {"text": "second"})
    base = sqlite3.connect(tmp_path / "cases.sqlite")
    base.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    base.close()
    content = bytearray((tmp_path / "cases.sqlite").read_bytes())
    for place in range(content.index(b"marked-word"), content.index(b"marked-word") + 11):
        other = tmp_path / f"changed-{place}"
        other.mkdir()
        shutil.copy(tmp_path / "cases.sqlite", other)
        changed = bytearray(content)
        changed[place] ^= 1
        (other / "cases.sqlite").write_bytes(changed)
        assert CaseStore(sqlite_url(other)).verify("C-0001").broken_at == 1


def test_an_attached_file_is_held_to_its_hash(store: CaseStore, tmp_path: Path) -> None:
    store.open_case("QL-1", {"title": "a"})
    sha = hashlib.sha256(b"photo").hexdigest()
    for _ in range(2):
        store.append("C-0001", "QL-1", "attached", {"name": "p.jpg", "sha256": sha}, file=b"photo")
    assert store.file("C-0001", sha) == b"photo"
    assert store.verify("C-0001").whole
    with sqlite3.connect(tmp_path / "cases.sqlite") as base:
        base.execute("UPDATE files SET content = x'00'")
    base.close()
    assert store.verify("C-0001").broken_at == 2
    with pytest.raises(CaseFileError, match="not as it was attached"):
        store.file("C-0001", sha)


def test_a_removed_case_leaves_who_and_why_and_its_number(store: CaseStore) -> None:
    store.open_case("QL-1", {"title": "a"})
    head = store.verify("C-0001").head
    store.remove("C-0001", "QM-1", "kept long enough")
    assert store.numbers() == []
    assert [(row["who"], row["head"]) for row in store.removed()] == [("QM-1", head)]
    assert store.open_case("QL-1", {"title": "b"}).case_no == "C-0002"


def test_case_files_lie_beside_the_store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("TRACEGRAPH_CASES", raising=False)
    assert default_cases_url(tmp_path / "store") == f"sqlite:///{tmp_path / 'cases.sqlite'}"
    monkeypatch.setenv("TRACEGRAPH_CASES", "sqlite:///other")
    assert default_cases_url(tmp_path) == "sqlite:///other"
