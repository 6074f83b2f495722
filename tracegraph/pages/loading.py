"""Load records from the browser: a folder, or files that are sent; watch it, stop it."""

from __future__ import annotations

from pathlib import Path

import streamlit as st

from tracegraph.domain.errors import IntakeError, TraceGraphError
from tracegraph.intake.running import (
    RunningLoad,
    begin_load,
    forget_load,
    load_of,
    refuse_load,
)
from tracegraph.intake.uploads import keep_uploads, limits_sentence, remove_uploads
from tracegraph.pages import show, state
from tracegraph.pages.person import person
from tracegraph.report.load import load_sentences, load_table
from tracegraph.report.numbers import plural
from tracegraph.store import StoreDirectory

_LOOK_AGAIN = 0.7  # seconds
_TOLD = "told of a load"
_SENT = "uploads sent"


def watch(store: Path) -> bool:
    """Show the load into a store that is running, or what came of the last one.

    Parameters
    ----------
    store : Path
        Folder of the store.

    Returns
    -------
    bool
        Whether one is running, so that none is to be offered.
    """
    told = st.session_state.pop(_TOLD, None)
    if told:
        show.alarm(told, "alarm-load")
    load = load_of(StoreDirectory(store))
    if load is None:
        return False
    if load.running:
        _progress(store)
        return True
    _result(load, store)
    return False


def offer(store: Path) -> None:
    """Offer to load a folder, or files that are sent.

    Parameters
    ----------
    store : Path
        Folder of the store.
    """
    typed = st.text_input(
        "Folder on the app's machine",
        key=state.field("load folder", ""),
        placeholder="/data/yard/records",
        help="Files named after the record tables need no mapping; describe any other file "
        "in an intake.toml beside it. Files already loaded in the same way are recognised.",
    )
    st.button(
        "Load this folder",
        disabled=not typed.strip(),
        on_click=begin,
        args=(typed.strip(), store),
    )
    sent = st.session_state.setdefault(_SENT, 0)
    files = st.file_uploader(
        "Or files that you send",
        accept_multiple_files=True,
        key=f"uploads {sent}",
        help="CSV, TSV, TXT, XLSX or Parquet, named after the record tables, or an intake.toml "
        "that describes them.",
    )
    show.aside([limits_sentence()], "limits")
    if st.button("Load these files", disabled=not files):
        _upload(list(files or []), store)


def begin(folder: str, store: Path) -> None:
    """Begin to load a folder; a callback, so what is wrong is told on the next run."""
    path = Path(folder).expanduser()
    try:
        if not path.is_dir():
            raise IntakeError(
                f"The records must be in a folder on the app's machine; there is none at {path}. "
                "Type the whole path of a folder."
            )
        begin_load(path, StoreDirectory(store), person(), f"the folder {path.name}")
    except TraceGraphError as error:
        st.session_state[_TOLD] = str(error)


def _upload(files: list[st.runtime.uploaded_file_manager.UploadedFile], store: Path) -> None:
    by, what = person(), plural(len(files), "uploaded file")
    refuse_load(StoreDirectory(store), by, what)
    folder = keep_uploads(files)
    try:
        begin_load(folder, StoreDirectory(store), by, what, remove=True)
    except TraceGraphError:
        remove_uploads(folder)
        raise
    st.session_state[_SENT] += 1  # a new, empty box
    st.rerun()


@st.fragment(run_every=_LOOK_AGAIN)
def _progress(store: Path) -> None:
    load = load_of(StoreDirectory(store))
    if load is None or not load.running:
        st.rerun()
    # Only our own words are a label here; a file's name may hold anything.
    st.progress(load.share, f"Loading, {100 * load.share:.0f} %")
    show.aside([f"{load.what}, begun by {load.by.code}: {load.text}"], "load-step")
    st.button(
        "Stopping at the next step" if load.stopping else "Stop the load",
        key="stop load",
        disabled=load.stopping,
        on_click=_stop,
        args=(load,),
    )
    show.aside(
        ["It goes on when this page is left or opened anew. Stopped, it changes nothing."], "stop"
    )


def _stop(load: RunningLoad) -> None:
    try:
        load.stop(person())
    except TraceGraphError as error:
        st.session_state[_TOLD] = str(error)


def _result(load: RunningLoad, store: Path) -> None:
    st.header("The last load", anchor=False)
    if load.report is None:
        show.alarm(load.problem or "The load ended.", "alarm-load-problem")
    else:
        show.say(load_sentences(load.report)[:1])
        show.folded("What became of each file", "load-files", lambda: _files(load))
    st.button("Put this away", on_click=forget_load, args=(StoreDirectory(store),))


def _files(load: RunningLoad) -> None:
    if load.report is not None:
        show.table(load_table(load.report), "load")
        show.say(load_sentences(load.report)[1:])
