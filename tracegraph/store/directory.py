"""The store as a directory: finished builds, and a small file that names the one in force.

A load writes a new file beside the old ones and publishes it by replacing ``current`` in
one step. Readers never see half a load, and a killed load leaves the earlier build in
force. A build's file name is never used twice, since an open reader keeps its file.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from filelock import FileLock, Timeout
from platformdirs import user_data_path

from tracegraph.domain.errors import StoreBusyError, StoreError
from tracegraph.store.findings import findings_path

_BUILD = re.compile(r"^builds-(\d+)\.duckdb$")
_POINTER = "current"
_UNFINISHED = ".unfinished"


def default_store_path() -> Path:
    """Folder of the user's own store when none is named."""
    return user_data_path("tracegraph", appauthor=False) / "store"


class StoreDirectory:
    """A directory that holds builds.

    Parameters
    ----------
    path : Path
        The directory; it is made by the first load.
    """

    def __init__(self, path: Path) -> None:
        self.path = path

    def current(self) -> Path | None:
        """File of the build in force, or None before the first load."""
        pointer = self.path / _POINTER
        if not pointer.is_file():
            return None
        name = pointer.read_text(encoding="utf-8").strip()
        if not _BUILD.match(name) or not (self.path / name).is_file():
            raise StoreError(
                f"{pointer} names {name!r}, which is not a build in {self.path}. "
                "Load the records again."
            )
        return self.path / name

    def require_current(self) -> Path:
        """File of the build in force.

        Raises
        ------
        StoreError
            If nothing has been loaded yet.
        """
        build = self.current()
        if build is None:
            raise StoreError(
                f"No records in {self.path} yet. Load a folder first: tracegraph load FOLDER, "
                "or tracegraph demo for the sample."
            )
        return build

    @contextmanager
    def loading(self) -> Iterator[None]:
        """Hold the store for one load.

        Raises
        ------
        StoreBusyError
            If another load holds it.
        StoreError
            If the directory cannot be made.
        """
        try:
            self.path.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise StoreError(
                f"The store folder {self.path} cannot be made: {error.strerror}. "
                "Choose another with --store."
            ) from error
        lock = FileLock(self.path / "loading.lock")
        try:
            lock.acquire(timeout=0)
        except Timeout:
            raise StoreBusyError(
                f"Another load is writing to {self.path}. Wait until it ends, or choose "
                "another store with --store."
            ) from None
        try:
            self._sweep()
            yield
        finally:
            lock.release()

    def unfinished_path(self) -> Path:
        """Where the next build is written; call while loading."""
        return self.path / f"builds-{self._newest() + 1}.duckdb{_UNFINISHED}"

    def publish(self, unfinished: Path) -> Path:
        """Put a finished, closed build in force in one step.

        Parameters
        ----------
        unfinished : Path
            The file that :meth:`unfinished_path` named.

        Returns
        -------
        Path
            The build's final name. The build before it stays until the next load, for
            readers that still hold it.
        """
        final = unfinished.with_name(unfinished.name.removesuffix(_UNFINISHED))
        before = self.current()
        unfinished.replace(final)
        pointer = self.path / f"{_POINTER}{_UNFINISHED}"
        with pointer.open("w", encoding="utf-8") as file:
            file.write(final.name + "\n")
            file.flush()
            os.fsync(file.fileno())
        pointer.replace(self.path / _POINTER)
        for build in self._builds():
            if build not in (final, before):
                # On systems where an open file cannot be removed it goes with a later load.
                with suppress(OSError):
                    build.unlink()
                    findings_path(build).unlink(missing_ok=True)
        return final

    def before(self) -> Path | None:
        """File of the build that was in force before the present one, or None."""
        now = self.current()
        earlier = [] if now is None else [b for b in self._builds() if _number(b) < _number(now)]
        return max(earlier, key=_number, default=None)

    def _builds(self) -> list[Path]:
        return [path for path in self.path.iterdir() if _BUILD.match(path.name)]

    def _newest(self) -> int:
        return max(map(_number, self._builds()), default=0)

    def _sweep(self) -> None:
        for path in self.path.iterdir():
            if _UNFINISHED in path.name:
                path.unlink()


def _number(build: Path) -> int:
    return int(build.name.split("-")[1].split(".")[0])
