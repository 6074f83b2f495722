"""The list of pages and the way between them."""

from __future__ import annotations

from pathlib import Path

import streamlit as st

from tracegraph.pages.first_run import remember_sample
from tracegraph.pages.sign_in import came_in, who_is_in
from tracegraph.pages.state import came_to

HERE = Path(__file__).parent
_LOOK = HERE / "look.css"

PAGES: dict[str, str] = {
    "overview": "Overview",
    "cluster": "Cluster",
    "history": "Build history",
    "containment": "Containment",
    "cases": "Case files",
    "records": "Records",
    "methods": "How the numbers are made",
}
"""Files of this folder, in the order of the menu, with their titles; each is its own address."""


def run(sample: Path) -> None:
    """Show the page that the address names.

    Parameters
    ----------
    sample : Path
        Folder of the sample records.
    """
    st.set_page_config(page_title="tracegraph", layout="wide")
    st.html(_LOOK)
    if not came_in():
        return
    remember_sample(sample)
    pages = [
        st.Page(HERE / f"{name}.py", title=title, url_path=name, default=place == 0)
        for place, (name, title) in enumerate(PAGES.items())
    ]
    chosen = st.navigation(pages, position="top")
    came_to(chosen.url_path)
    chosen.run()
    who_is_in()
