"""Take titles, blank lines, repeated headers and totals off a staged page."""

from __future__ import annotations

from tracegraph.intake.compose import compose
from tracegraph.intake.staging import Page
from tracegraph.store import Build
from tracegraph.store.queries import sql_text


def drop_furniture(build: Build, page: Page) -> int:
    """Take rows that are no records off the page.

    Parameters
    ----------
    build : Build
        Holds the page.
    page : Page
        The page.

    Returns
    -------
    int
        How many rows went.
    """
    texts = ", ".join(page.columns)
    names = [name.strip().lower() for name in page.headers.names]
    suspects = build.scalar(compose("intake/suspect_furniture", texts=texts), {"first": names[0]})
    if not suspects:
        return 0
    before = build.scalar(sql_text("intake/page_rows"))
    build.execute(
        compose("intake/drop_furniture", texts=texts), {"header": names, "width": len(names)}
    )
    return int(before - build.scalar(sql_text("intake/page_rows")))
