"""Files from the browser: bounded, harmlessly named, private, and gone after the load."""

from __future__ import annotations

import io
import stat
from pathlib import Path

import pytest

from tests.intake.yard import Yard
from tracegraph.domain.errors import IntakeError, NotAllowedError, StoreBusyError
from tracegraph.domain.permission import OWNER, Person, Role
from tracegraph.intake import running, uploads
from tracegraph.intake.running import begin_load, forget_load, load_of
from tracegraph.intake.uploads import keep_uploads
from tracegraph.store.audit import read_audit

HULLS = b"hull_serial,model\nBT-1,S22\n"
PATIENCE = 60


class Sent(io.BytesIO):
    def __init__(self, name: str, content: bytes = HULLS) -> None:
        super().__init__(content)
        self.name = name
        self.size = len(content)


def test_uploaded_files_lie_in_a_private_folder_under_their_own_names() -> None:
    folder = keep_uploads([Sent("hulls.csv"), Sent("week 1\\lots.csv", b"material,lot_no\n")])
    assert sorted(path.name for path in folder.iterdir()) == ["hulls.csv", "lots.csv"]
    assert (folder / "hulls.csv").read_bytes() == HULLS
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700


@pytest.mark.parametrize(
    "name",
    ["../../etc/x.csv", "/etc/x.csv", "C:\\temp\\x.csv", "a/../x.csv", "x\u200b\x00.csv"],
)
def test_no_name_leads_out_of_the_folder(name: str) -> None:
    folder = keep_uploads([Sent(name)])
    assert [path.name for path in folder.iterdir()] == ["x.csv"]


@pytest.mark.parametrize("name", ["..", ".csv", "", "x.exe", "x.zip", "y" * 200 + ".csv"])
def test_a_name_that_cannot_be_kept_is_refused(name: str) -> None:
    with pytest.raises(IntakeError):
        keep_uploads([Sent(name)])


def test_limits_are_stated_and_the_folder_is_offered(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(IntakeError, match="Choose files"):
        keep_uploads([])
    with pytest.raises(IntakeError, match=r"Up to 100 files at once; got 101\. Put the files"):
        keep_uploads([Sent(f"{n}.csv") for n in range(101)])
    monkeypatch.setattr(uploads, "LARGEST_FILE", 10)
    with pytest.raises(IntakeError, match=r"'hulls\.csv' has .* Put the files into a folder"):
        keep_uploads([Sent("hulls.csv")])
    monkeypatch.setattr(uploads, "LARGEST_FILE", 100)
    monkeypatch.setattr(uploads, "LARGEST_SUM", 50)
    with pytest.raises(IntakeError, match="All files together"):
        keep_uploads([Sent("hulls.csv"), Sent("more.csv")])
    with pytest.raises(IntakeError, match="came twice"):
        keep_uploads([Sent("a/hulls.csv", b""), Sent("b/hulls.csv", b"")])


def test_an_uploaded_mapping_may_not_reach_into_databases(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    queries = (
        b'[[queries]]\nname = "q"\nurl = "sqlite:////etc/x.db"\nsql = "SELECT 1"\n'
        b'[[queries.tables]]\ntable = "lots"\ncolumns = { material = "a", lot_no = "b" }\n'
    )
    with pytest.raises(IntakeError, match="may not name queries"):
        keep_uploads([Sent("intake.toml", queries)])
    with pytest.raises(IntakeError, match="TOML"):
        keep_uploads([Sent("intake.toml", b"= =")])
    assert list(tmp_path.iterdir()) == []


def test_a_load_beside_the_page_and_its_result(yard: Yard) -> None:
    folder = keep_uploads([Sent("hulls.csv")])
    load = begin_load(folder, yard.directory, OWNER, "1 file", remove=True)
    assert load.wait(PATIENCE)
    assert load_of(yard.directory) is load
    assert load.report is not None
    assert [file.loaded for file in load.report.files] == [1]
    assert (load.running, load.problem, load.share) == (False, None, 1.0) or load.share > 0
    assert not folder.exists()
    forget_load(yard.directory)
    assert load_of(yard.directory) is None


def test_a_second_load_is_told_that_one_is_running(
    yard: Yard, monkeypatch: pytest.MonkeyPatch
) -> None:
    yard.write("hulls.csv", HULLS)
    held: list[bool] = []
    loading = running.load_folder

    def slow(*args: object, **more: object) -> object:
        with pytest.raises(StoreBusyError, match=r"running already \(first, begun by owner\)"):
            begin_load(yard.folder, yard.directory, OWNER, "second")
        held.append(True)
        return loading(*args, **more)  # type: ignore[arg-type]  # passed on as they come

    monkeypatch.setattr(running, "load_folder", slow)
    first = begin_load(yard.folder, yard.directory, OWNER, "first")
    assert first.wait(PATIENCE)
    assert (held, first.problem) == ([True], None)


def test_a_stopped_load_leaves_the_earlier_store_in_force(yard: Yard) -> None:
    yard.load_files(hulls__csv=HULLS)
    before = yard.directory.current()
    yard.write("lots.csv", "material,lot_no\nresin,R-1\n")
    load = running.RunningLoad("folder", OWNER)
    load.stop(OWNER)
    load.work(yard.folder, yard.directory, remove=False)
    assert load.report is None
    assert load.problem == "The load was stopped; the records before it stay in force."
    assert yard.directory.current() == before
    assert not list(yard.directory.path.glob("*.unfinished*"))
    assert yard.load().changed


def test_a_load_that_fails_says_so(yard: Yard, tmp_path: Path) -> None:
    load = begin_load(tmp_path / "nowhere", yard.directory, OWNER, "nowhere")
    assert load.wait(PATIENCE)
    assert "does not exist" in (load.problem or "")


def test_loading_and_stopping_need_the_role(yard: Yard) -> None:
    investigator = Person("QE-1", Role.INVESTIGATE)
    with pytest.raises(NotAllowedError):
        begin_load(yard.folder, yard.directory, investigator, "folder")
    with pytest.raises(NotAllowedError):
        running.RunningLoad("folder", OWNER).stop(investigator)


def test_a_refused_load_stands_in_the_audit(yard: Yard) -> None:
    with pytest.raises(NotAllowedError):
        begin_load(yard.folder, yard.directory, Person("QE-1", Role.INVESTIGATE), "the folder x")
    [line] = read_audit(yard.directory.path)
    assert (line.who, line.about, line.allowed) == ("QE-1", "the folder x", False)
    assert load_of(yard.directory) is None
