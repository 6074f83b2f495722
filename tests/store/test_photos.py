"""Pictures come from the folder of records only, bounded in size, and without metadata."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from PIL import Image

from tracegraph.store.photos import folders, photo, remember_folder


@pytest.fixture
def store(tmp_path: Path) -> Path:
    store = tmp_path / "store"
    store.mkdir()
    (tmp_path / "records" / "photos").mkdir(parents=True)
    remember_folder(store, tmp_path / "records")
    return store


def picture(path: Path, size: tuple[int, int] = (40, 30)) -> None:
    exif = Image.Exif()
    exif[0x0112] = 6  # turned by a quarter
    exif[0x010F] = "maker of the camera"
    exif.get_ifd(0x8825)[1] = "N"  # place
    Image.new("RGB", size, "navy").save(path, exif=exif)


def test_a_picture_is_shown_upright_and_without_what_the_camera_added(store: Path) -> None:
    path = store.parent / "records" / "photos" / "a.jpg"
    picture(path)
    assert b"maker of the camera" in path.read_bytes()
    found = photo(store, "photos\\a.jpg")
    assert found.reason == ""
    assert found.jpeg is not None
    shown = Image.open(io.BytesIO(found.jpeg))
    assert shown.size == (30, 40)
    assert not dict(shown.getexif())
    assert b"camera" not in found.jpeg


def test_a_large_picture_is_made_small(store: Path) -> None:
    picture(store.parent / "records" / "big.png", (3000, 1500))
    found = photo(store, "big.png")
    assert found.jpeg is not None
    assert max(Image.open(io.BytesIO(found.jpeg)).size) == 1280


@pytest.mark.parametrize(
    "name",
    ["../secret.jpg", "/etc/passwd.jpg", "photos/../../secret.jpg", "..\\secret.jpg", "C:\\a.jpg",
     "a\0.jpg"],
)  # fmt: skip
def test_a_name_that_leads_out_is_refused(store: Path, name: str) -> None:
    picture(store.parent / "secret.jpg")
    found = photo(store, name)
    assert found.jpeg is None
    assert "leads out" in found.reason


def test_a_link_that_leads_out_is_refused(store: Path) -> None:
    picture(store.parent / "secret.jpg")
    (store.parent / "records" / "link.jpg").symlink_to(store.parent / "secret.jpg")
    assert photo(store, "link.jpg").reason == "it lies outside the folder of records"


def test_what_is_no_picture_is_said(store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    records = store.parent / "records"
    (records / "text.jpg").write_text("<script>alert(1)</script>")
    (records / "page.svg").write_text("<svg onload='alert(1)'/>")
    picture(records / "cut.jpg")
    (records / "cut.jpg").write_bytes((records / "cut.jpg").read_bytes()[:300])
    assert "cannot be read" in photo(store, "text.jpg").reason
    assert "not that of a picture" in photo(store, "page.svg").reason
    assert "cannot be read" in photo(store, "cut.jpg").reason
    assert "does not lie" in photo(store, "gone.jpg").reason
    picture(records / "ok.jpg")
    monkeypatch.setattr("tracegraph.store.photos.MOST_BYTES", 100)
    assert "larger than" in photo(store, "ok.jpg").reason
    monkeypatch.setattr("tracegraph.store.photos.MOST_BYTES", 10_000_000)
    monkeypatch.setattr("tracegraph.store.photos.MOST_PIXELS", 100)
    assert "megapixels" in photo(store, "ok.jpg").reason


def test_folders_are_kept_latest_first_and_damage_is_no_matter(tmp_path: Path) -> None:
    for name in ("a", "b", "a"):
        remember_folder(tmp_path, tmp_path / name)
    assert [one.name for one in folders(tmp_path)] == ["a", "b"]
    (tmp_path / "folders.json").write_text("{")
    assert folders(tmp_path) == []
