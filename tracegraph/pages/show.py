"""Put words, figures and tables on the screen, all of them literally.

Record texts come from suppliers' files. They are shown by elements that read no Markdown and
no HTML; only headings and labels of our own go through others.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable
from typing import Any, Literal

import streamlit as st

from tracegraph.report.charts import Chart
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
    """Draw a figure; points answer clicks when a callback is given."""
    st.plotly_chart(
        chart.figure,
        key=key,
        theme=None,
        config=_CONFIG | {"toImageButtonOptions": {"format": "svg", "filename": key}},
        alt=chart.alt,
        on_select=on_select or "ignore",
        selection_mode="points",
    )


def same_as_table(chart: Chart, name: str) -> None:
    """The figure's content as a table, folded away, with its download."""
    folded("The same as a table", name, lambda: table(chart.table, name))


def folded(label: str, name: str, draw: Callable[[], object]) -> None:
    """Something folded away; it is drawn, and sent to the browser, only when opened.

    Parameters
    ----------
    label : str
        Our own words.
    name : str
        Unique on a page.
    draw : callable
        Draws it.
    """
    box = st.expander(label, key=f"folded {name}", on_change="rerun")
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
        shown.frame,
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
    return key


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
    columns: dict[str, Any] = {}
    for name in shown.frame.columns:
        if name in shown.styles:
            columns[name] = st.column_config.NumberColumn(format=shown.styles[name].pattern)
        elif str(shown.frame[name].dtype).startswith("datetime"):
            moments = shown.frame[name].dropna()
            whole_days = bool((moments == moments.dt.normalize()).all())
            columns[name] = st.column_config.DatetimeColumn(
                format="YYYY-MM-DD" if whole_days else "YYYY-MM-DD HH:mm"
            )
    return columns


def _fingerprint(shown: DisplayTable) -> str:
    rows = shown.frame.iloc[:, :3].astype("str").to_csv(index=False)
    return hashlib.sha256(rows.encode("utf-8", "replace")).hexdigest()[:10]
