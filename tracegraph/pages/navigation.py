"""The list of pages and the way between them."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import streamlit as st
from streamlit.navigation.page import StreamlitPage

from tracegraph.pages.asked import Address
from tracegraph.pages.first_run import remember_sample
from tracegraph.pages.sign_in import came_in, who_is_in
from tracegraph.pages.state import address_so_far, came_to

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
    chosen = st.navigation(pages, position="hidden")
    with st.container(key="menu"):
        menu = st.empty()
    asked = address_so_far()
    with menu:
        _menu(pages, asked)
    came_to(chosen.url_path)
    chosen.run()
    if address_so_far() != asked:
        with menu:
            _menu(pages, address_so_far())
    who_is_in()


def _menu(pages: Sequence[StreamlitPage], asked: Address) -> None:
    """Links that carry what is asked, so that going to a page is one step of the browser's history.

    Streamlit's own menu leads to the bare address of a page. Completing it there is a second step,
    and the way back leads from the one to the other only.
    """
    with st.container(horizontal=True, gap="small"):
        for page in pages:
            st.page_link(page, query_params=asked)
