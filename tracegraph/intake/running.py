"""A load in a thread of its own: any session of this process sees it, and may stop it."""

from __future__ import annotations

from pathlib import Path
from threading import Event, Lock, Thread

from tracegraph.domain.errors import StoreBusyError, TraceGraphError
from tracegraph.domain.permission import Deed, Person, require
from tracegraph.intake.ledger import LoadReport
from tracegraph.intake.load import load_folder
from tracegraph.intake.uploads import remove_uploads
from tracegraph.store import StoreDirectory
from tracegraph.store.audit import permit


class RunningLoad:
    """One load, from its beginning to what came of it.

    Parameters
    ----------
    what : str
        What is loaded, for a reader.
    by : Person
        Who began it.

    Attributes
    ----------
    text : str
        What is being done.
    share : float
        How much of it is done, 0 to 1.
    running : bool
        Whether it goes on.
    report : LoadReport or None
        What it did, once it ended well.
    problem : str or None
        Why it ended otherwise.
    """

    def __init__(self, what: str, by: Person) -> None:
        self.what = what
        self.by = by
        self.text = "beginning"
        self.share = 0.0
        self.running = True
        self.report: LoadReport | None = None
        self.problem: str | None = None
        self._total = 1
        self._stop = Event()
        self._over = Event()

    @property
    def stopping(self) -> bool:
        """Whether somebody asked for its end."""
        return self._stop.is_set()

    def stop(self, by: Person) -> None:
        """Give it up at its next step; the records before it stay in force.

        Raises
        ------
        NotAllowedError
            If the role does not cover it.
        """
        require(by, Deed.LOAD)
        self._stop.set()

    def wait(self, seconds: float) -> bool:
        """Wait for its end; whether it came."""
        return self._over.wait(seconds)

    def start(self, total: int) -> None:
        """See :class:`~tracegraph.intake.progress.Progress`."""
        self._total = max(1, total)

    def step(self, text: str, done: int) -> None:
        """See :class:`~tracegraph.intake.progress.Progress`."""
        self.text, self.share = text, min(1.0, done / self._total)

    def end(self) -> None:
        """See :class:`~tracegraph.intake.progress.Progress`."""

    def work(self, folder: Path, directory: StoreDirectory, *, remove: bool) -> None:
        """Load a folder; to be called in a thread.

        Parameters
        ----------
        folder : Path
            The records.
        directory : StoreDirectory
            The store.
        remove : bool
            Whether to remove the folder at the end.
        """
        try:
            self.report = load_folder(
                folder, directory, progress=self, stop=self._stop.is_set, by=self.by
            )
        except TraceGraphError as error:
            self.problem = str(error)
        except Exception as error:  # a thread has nobody above it who would tell
            self.problem = (
                f"The load failed ({type(error).__name__}); the records before it stay in force. "
                "Load the folder on the command line, and report what it prints."
            )
        finally:
            if remove:
                remove_uploads(folder)
            self.running = False
            self._over.set()


_loads: dict[Path, RunningLoad] = {}
_lock = Lock()


def begin_load(
    folder: Path, directory: StoreDirectory, by: Person, what: str, *, remove: bool = False
) -> RunningLoad:
    """Begin a load beside whoever asks for it.

    Parameters
    ----------
    folder : Path
        The records.
    directory : StoreDirectory
        The store.
    by : Person
        Who loads; needs the role for it.
    what : str
        What is loaded, for a reader.
    remove : bool, default False
        Whether to remove the folder at the end.

    Raises
    ------
    NotAllowedError
        If the role does not cover it.
    StoreBusyError
        If a load into this store runs already.
    """
    refuse_load(directory, by, what)
    key = directory.path.resolve()
    with _lock:
        before = _loads.get(key)
        if before is not None and before.running:
            raise StoreBusyError(
                f"A load is running already ({before.what}, begun by {before.by.code}). Wait until "
                "it ends, or stop it."
            )
        load = _loads[key] = RunningLoad(what, by)
    Thread(
        target=load.work, args=(folder, directory), kwargs={"remove": remove}, daemon=True
    ).start()
    return load


def refuse_load(directory: StoreDirectory, by: Person, what: str) -> None:
    """Refuse a load before it begins, with a line in the audit.

    A load that is allowed writes its own line.

    Raises
    ------
    NotAllowedError
        If the role does not cover it.
    """
    if not by.role.covers(Deed.LOAD.least):
        permit(directory.path, by, Deed.LOAD, what)


def load_of(directory: StoreDirectory) -> RunningLoad | None:
    """The load into a store that runs in this process, or ended last."""
    with _lock:
        return _loads.get(directory.path.resolve())


def forget_load(directory: StoreDirectory) -> None:
    """Let go of a load that has ended."""
    key = directory.path.resolve()
    with _lock:
        if key in _loads and not _loads[key].running:
            del _loads[key]
