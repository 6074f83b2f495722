"""What is shown before any records are loaded."""

from __future__ import annotations

from pathlib import Path

import streamlit as st

from tracegraph.pages import loading, show
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
    show.headline("No records yet. Load the sample, or your own.")
    show.say(
        [
            "Records are read from CSV, Excel or Parquet files. Nothing in a folder is changed, "
            "and nothing leaves the machine that the app runs on.",
        ]
    )
    if loading.watch(store):
        return
    if StoreDirectory(store).current() is not None:
        st.rerun()  # a load ended since this run looked for its records
    left, right = st.columns(2, gap="large")
    with left:
        st.header("The sample", anchor=False)
        show.say(
            [
                "Four years of an invented yard: 1,200 hulls, their build records with the usual "
                "gaps and slips, and their warranty claims. No real boat, maker or person stands "
                "behind it."
            ]
        )
        st.button(
            "Load the sample",
            type="primary",
            on_click=loading.begin,
            args=(str(st.session_state[_SAMPLE]), store),
        )
    with right:
        st.header("Your own records", anchor=False)
        loading.offer(store)
    show.aside([f"The store will be {store}."], "store")
