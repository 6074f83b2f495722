"""Take titles, blank lines, repeated headers and totals off a staged page."""

from __future__ import annotations

from tracegraph.intake.compose import compose
from tracegraph.intake.ledger import Remark
from tracegraph.intake.staging import Page
from tracegraph.store import Build
from tracegraph.store.queries import sql_text

_TOTAL = (
    "'(grand |sub[- ]?|over ?all |zwischen)?"
    "(total|sum|count|average|avg|mean|gesamt|gesamtsumme|summe|anzahl)s?([ :=(].*)?'"
)
_NAMED_ROWS = 5


def drop_furniture(build: Build, page: Page) -> int:
    """Take rows that are no records off the page.

    Parameters
    ----------
    build : Build
        Holds the page.
    page : Page
        The page; those rows that hold a text are named in its remarks.

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
        compose("intake/find_furniture", texts=texts, row=page.row_sql, total=_TOTAL),
        {"header": names, "width": len(names)},
    )
    found = build.rows(sql_text("intake/furniture_rows"))
    if found:
        page.remarks.append(Remark("furniture", len(found), _sentence(found)))
    build.run("intake/drop_furniture")
    return int(before - build.scalar(sql_text("intake/page_rows")))


def _sentence(found: list[tuple[int, str]]) -> str:
    rows = ", ".join(f"{row} ({text[:30]})" for row, text in found[:_NAMED_ROWS])
    more = f" and {len(found) - _NAMED_ROWS} more" if len(found) > _NAMED_ROWS else ""
    return f"rows that are totals, headers once more or end lines are no records: {rows}{more}"
