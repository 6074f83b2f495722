"""Pictures that lie in a folder of records: found by name, never outside, shown without metadata.

The pictures are not copied into the store. The store directory remembers which folders were
loaded; a picture is read from there when it is asked for, made small and written anew, so that
nothing that a camera adds (place, time, owner) is shown or handed out.
"""

from __future__ import annotations

import io
import json
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from PIL import Image, ImageOps, UnidentifiedImageError

FOLDERS = "folders.json"
KINDS = frozenset({".jpg", ".jpeg", ".png", ".webp", ".gif", ".bmp", ".tif", ".tiff"})
MOST_BYTES = 25_000_000
MOST_PIXELS = 60_000_000
SHOWN_PIXELS = 1_280
_KEPT = 20


@dataclass(frozen=True)
class Photo:
    """One picture, or why it cannot be shown.

    Parameters
    ----------
    name : str
        As written in the records.
    jpeg : bytes or None
        The picture, at most 1,280 pixels on its longer side, without metadata.
    reason : str
        Why there is none; empty when there is one.
    """

    name: str
    jpeg: bytes | None
    reason: str = ""


def remember_folder(store: Path, folder: Path) -> None:
    """Keep which folder of records was loaded, the latest first.

    Parameters
    ----------
    store : Path
        The store directory.
    folder : Path
        The folder of records.
    """
    kept = [str(folder.resolve()), *map(str, folders(store))]
    fresh = store / f"{FOLDERS}.unfinished"
    fresh.write_text(json.dumps(list(dict.fromkeys(kept))[:_KEPT]), encoding="utf-8")
    fresh.replace(store / FOLDERS)


def folders(store: Path) -> list[Path]:
    """Folders of records that were loaded into a store, the latest first."""
    try:
        kept = json.loads((store / FOLDERS).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return []
    return [Path(one) for one in kept if isinstance(one, str)] if isinstance(kept, list) else []


def photo(store: Path, name: str) -> Photo:
    """Read one picture that the records name.

    Parameters
    ----------
    store : Path
        The store directory.
    name : str
        Path inside a folder of records, as written.

    Returns
    -------
    Photo
        The picture from the folder loaded last that holds it.
    """
    inner = PurePosixPath(name.replace("\\", "/").strip())
    if inner.is_absolute() or ".." in inner.parts or ":" in name or "\0" in name:
        return Photo(name, None, "its name leads out of the folder of records")
    if inner.suffix.lower() not in KINDS:
        return Photo(name, None, "its name is not that of a picture")
    for folder in folders(store):
        try:
            base = folder.resolve()
            path = (base / inner).resolve()
            if not path.is_relative_to(base):
                return Photo(name, None, "it lies outside the folder of records")
            if path.is_file():
                return _read(name, path)
        except (OSError, ValueError):
            continue
    return Photo(name, None, "it does not lie in a folder of records that was loaded")


def _read(name: str, path: Path) -> Photo:
    if path.stat().st_size > MOST_BYTES:
        return Photo(name, None, f"it is larger than {MOST_BYTES // 1_000_000} MB")
    try:
        with Image.open(path) as opened:
            if opened.width * opened.height > MOST_PIXELS:
                return Photo(name, None, f"it has more than {MOST_PIXELS // 1_000_000} megapixels")
            upright = ImageOps.exif_transpose(opened).convert("RGB")
        upright.thumbnail((SHOWN_PIXELS, SHOWN_PIXELS))
        # Only the pixels go on: a new picture carries nothing that the file said besides.
        bare = Image.new("RGB", upright.size)
        bare.paste(upright)
        written = io.BytesIO()
        bare.save(written, "JPEG", quality=85)
    except (OSError, ValueError, SyntaxError, UnidentifiedImageError, Image.DecompressionBombError):
        return Photo(name, None, "it cannot be read as a picture")
    return Photo(name, written.getvalue())
