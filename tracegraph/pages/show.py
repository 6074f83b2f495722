"""Put words, figures and tables on the screen, all of them literally.

Record texts come from suppliers' files. They are shown by elements that read no Markdown and
no HTML; only headings and labels of our own go through others.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any, Literal

import pandas as pd
import streamlit as st
from pandas.io.formats.style import Styler

from tracegraph.pages import state
from tracegraph.report.charts import Chart
from tracegraph.report.explained import HEADINGS
from tracegraph.report.formats import reader
from tracegraph.report.numbers import NONE
from tracegraph.report.safe_csv import to_csv
from tracegraph.report.safe_xlsx import to_xlsx
from tracegraph.report.tables import DisplayTable

_CONFIG = {
    "displayModeBar": "hover",
    "displaylogo": False,
    "modeBarButtons": [["toImage"]],
    "scrollZoom": False,
}


def headline(text: str) -> None:
    """The one sentence that answers the page's question."""
    with st.container(key="headline"):
        st.text(text)


def first_word(text: str) -> None:
    """What stands in the headline's place until it is known."""
    with st.container(key="first-word"):
        st.text(text)


def say(texts: Iterable[str]) -> None:
    """Plain sentences under one another."""
    with st.container(gap="xsmall"):
        for text in texts:
            st.text(text)


def aside(texts: Iterable[str], key: str) -> None:
    """Sentences in small grey letters."""
    with st.container(key=f"aside-{key}", gap=None):
        for text in texts:
            st.text(text)


def alarm(text: str, key: str = "alarm") -> None:
    """A sentence that must not be overlooked."""
    with st.container(key=key):
        st.text(text)


def figure(chart: Chart, key: str, *, on_select: Callable[[], None] | None = None) -> None:
    """Draw a figure that can be saved; points answer clicks when a callback is given."""
    if chart.table.frame.empty:
        aside(["There is nothing to draw: no such record."], f"none-{key}")
        return
    st.plotly_chart(
        chart.figure,
        key=key,
        theme=None,
        config=_CONFIG
        | {"toImageButtonOptions": {"format": reader().figures, "filename": key, "scale": 2}},
        alt=chart.alt,
        on_select=on_select or "ignore",
        selection_mode="points",
    )


def same_as_table(chart: Chart, name: str, section: str | None = None) -> None:
    """The figure's content as a table, folded away, with its download.

    Parameters
    ----------
    chart : Chart
        The figure.
    name : str
        Name of the files that are downloaded; unique on a page.
    section : str, optional
        Anchor in the methods of how its numbers are made.
    """
    folded("The same as a table", name, lambda: table(chart.table, name))
    if section is not None:
        how_made(section)


def folded(label: str, name: str, draw: Callable[[], object]) -> None:
    """Something folded away; it is drawn, and sent to the browser, only when opened.

    Whether it is open stands in the address, so that a pasted link opens the same view.

    Parameters
    ----------
    label : str
        Our own words.
    name : str
        Unique on a page.
    draw : callable
        Draws it.
    """
    box = st.expander(label, **state.opened(name))
    if box.open:
        with box:
            draw()


def table(
    shown: DisplayTable,
    name: str,
    *,
    row_chosen: Callable[[], None] | None = None,
    chosen: int | None = None,
    height: int | None = None,
    caption: bool = True,
    section: str | None = None,
) -> str:
    """Show a table with its caption and its downloads, as safe CSV and as a workbook.

    Parameters
    ----------
    shown : DisplayTable
        What to show; numbers stay numbers, so that columns sort.
    name : str
        Name of the file that is downloaded, without its ending; unique on a page.
    row_chosen : callable, optional
        Called when a row is chosen.
    chosen : int, optional
        Row that is chosen at first.
    height : int, optional
        Pixels; as high as the rows need when left out.
    caption : bool, default True
        Whether caption and download stand below.
    section : str, optional
        Anchor in the methods of how its numbers are made; see
        :mod:`tracegraph.report.explained`.

    Returns
    -------
    str
        Key under which the session holds the rows chosen. It changes with the rows shown,
        so that a choice never slips to another row.
    """
    key = f"{name}-{_fingerprint(shown)}"
    more: dict[str, Any] = {}
    if row_chosen is not None:
        more = {"on_select": row_chosen, "selection_mode": "single-row"}
        if chosen is not None:
            more["selection_default"] = {"selection": {"rows": [chosen]}}
    st.dataframe(
        _written(shown) if reader().decimal == "comma" else shown.frame,
        key=key,
        hide_index=True,
        column_config=_columns(shown),
        height=height or "auto",
        placeholder=NONE,
        alt=shown.caption or name,
        **more,
    )
    if caption:
        with st.container(
            horizontal=True, vertical_alignment="center", horizontal_alignment="distribute"
        ):
            with st.container(key=f"aside-{key}", width="content"):
                st.text(shown.caption)
            with st.container(horizontal=True, width="content", gap="small"):
                download(
                    lambda: to_csv(shown.frame).encode("utf-8-sig"),
                    f"{name}.csv",
                    "Download CSV",
                    key,
                )
                download(lambda: to_xlsx(shown.frame), f"{name}.xlsx", "Excel", key)
                if section is not None:
                    how_made(section)
    return key


def how_made(section: str) -> None:
    """The way to how the numbers beside it are made.

    Parameters
    ----------
    section : str
        Anchor in the methods; see :mod:`tracegraph.report.explained`.
    """
    st.page_link(
        str(Path(__file__).with_name("methods.py")),
        label="How it is made",
        query_params=replace(state.asked_now(), section=section).address(),
        icon=":material/help:",
    )


def download(
    data: Callable[[], bytes],
    file_name: str,
    label: str,
    key: str,
    kind: Literal["primary", "secondary", "tertiary"] = "tertiary",
) -> None:
    """A button that hands a file over without running the page again.

    Parameters
    ----------
    data : callable
        Makes the file; called when the button is pressed.
    file_name : str
        With its ending: csv, html, pdf, xlsx or zip.
    label : str
        Our own words.
    key : str
        Unique for the same file name on a page.
    kind : {"primary", "secondary", "tertiary"}
        How much the button stands out.
    """
    kinds = {
        "csv": "text/csv",
        "html": "text/html",
        "pdf": "application/pdf",
        "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
        "zip": "application/zip",
    }
    st.download_button(
        label,
        data,
        file_name,
        kinds[file_name.rsplit(".", 1)[-1]],
        key=f"download-{file_name}-{key}",
        on_click="ignore",
        type=kind,
    )


def _columns(shown: DisplayTable) -> dict[str, Any]:
    """How each column is written, with a word about headings that are not plain."""
    columns: dict[str, Any] = {}
    pattern = reader().day_pattern
    for name in shown.frame.columns:
        cells, help_text = shown.frame[name], HEADINGS.get(name)
        if name in shown.styles and reader().decimal == "point":
            columns[name] = st.column_config.NumberColumn(
                format=shown.styles[name].pattern, help=help_text
            )
        elif str(cells.dtype).startswith("datetime"):
            moments = cells.dropna()
            whole_days = bool((moments == moments.dt.normalize()).all())
            columns[name] = st.column_config.DatetimeColumn(
                format=pattern if whole_days else f"{pattern} HH:mm", help=help_text
            )
        elif _are_days(cells):
            columns[name] = st.column_config.DateColumn(format=pattern, help=help_text)
        elif help_text is not None:
            columns[name] = st.column_config.Column(help=help_text)
    return columns


def _written(shown: DisplayTable) -> Styler:
    """The table with its numbers written as the reader wants them; they still sort as numbers."""
    writers: dict[Any, Any] = {
        name: style.write for name, style in shown.styles.items() if name in shown.frame
    }
    return shown.frame.style.format(writers, na_rep=NONE)


def _are_days(cells: pd.Series[Any]) -> bool:
    known = cells.dropna()
    return len(known) > 0 and isinstance(known.iloc[0], date)


def _fingerprint(shown: DisplayTable) -> str:
    rows = shown.frame.iloc[:, :3].astype("str").to_csv(index=False)
    return hashlib.sha256(rows.encode("utf-8", "replace")).hexdigest()[:10]
