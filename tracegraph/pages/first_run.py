"""What is shown before any records are loaded, and the loading itself."""

from __future__ import annotations

from pathlib import Path

import streamlit as st

from tracegraph.domain.errors import IntakeError
from tracegraph.intake.load import load_folder
from tracegraph.pages import show
from tracegraph.pages.person import person
from tracegraph.report.numbers import count
from tracegraph.store import StoreDirectory

_SAMPLE = "folder of the sample"


def remember_sample(folder: Path) -> None:
    """Say where the sample records lie; the app's front door knows."""
    st.session_state[_SAMPLE] = folder


def offer_records(store: Path) -> None:
    """Offer the sample or a folder of one's own, and load it.

    Parameters
    ----------
    store : Path
        Folder of the store that is still empty.
    """
    show.headline("No records yet. Load the sample, or your own folder.")
    show.say(
        [
            "Records are read from a folder of CSV, Excel or Parquet files. Nothing in the folder "
            "is changed, and nothing leaves this machine.",
        ]
    )
    left, right = st.columns(2, gap="large")
    with left:
        st.header("The sample", anchor=False)
        show.say(
            [
                "Four years of an invented yard: 1,200 hulls, their build records with the usual "
                "dirt, and their warranty claims. No real boat, maker or person stands behind it."
            ]
        )
        if st.button("Load the sample", type="primary"):
            _load(st.session_state[_SAMPLE], store)
    with right:
        st.header("Your own folder", anchor=False)
        typed = st.text_input(
            "Folder on this machine",
            placeholder="/data/yard/records",
            help="Files named after the record tables need no mapping; describe any other file "
            "in an intake.toml beside it.",
        )
        if st.button("Load this folder", disabled=not typed.strip()):
            _load(Path(typed.strip()).expanduser(), store)
    show.aside([f"The store will be {store}."], "store")


def load_again(store: Path) -> None:
    """Offer to add another folder to records that are there."""
    typed = st.text_input(
        "Add a folder on this machine",
        placeholder="/data/yard/records",
        help="Files already loaded in the same way are recognised and not loaded twice.",
    )
    if st.button("Load this folder", disabled=not typed.strip()):
        _load(Path(typed.strip()).expanduser(), store)


class _Bar:
    """Shows a load's progress; leaving the page stops the load and changes nothing."""

    def __init__(self) -> None:
        self._bar = st.progress(0.0, "Starting")
        self._total = 1

    def start(self, total: int) -> None:
        self._total = max(1, total)

    def step(self, text: str, done: int) -> None:
        share = min(1.0, done / self._total)
        # Only our own words are a label here; a file's name may hold anything.
        self._bar.progress(share, f"Reading the records, {100 * share:.0f} % of the bytes")
        self._line.text(text)

    def end(self) -> None:
        self._bar.empty()
        self._line.empty()

    @property
    def _line(self) -> st.delta_generator.DeltaGenerator:
        if not hasattr(self, "_text"):
            self._text = st.empty()
        return self._text


def _load(folder: Path, store: Path) -> None:
    if not folder.is_dir():
        raise IntakeError(
            f"The records must be in a folder on this machine; there is none at {folder}. Type "
            "the whole path of a folder."
        )
    bar = _Bar()
    report = load_folder(folder, StoreDirectory(store), progress=bar, by=person())
    seen = sum(file.seen for file in report.files)
    st.toast(f"Loaded {count(seen)} rows.")
    st.rerun()
