"""Lay out what questions cost at several sizes as tables of a page."""

from __future__ import annotations

from collections.abc import Callable, Mapping

Found = Mapping[str, float]

BEGINS, ENDS = "<!-- measured: begins -->", "<!-- measured: ends -->"

SECONDS = {
    "load": "load",
    "open": "open",
    "Fisher, first": "rank by Fisher, first of a process",
    "Fisher, warm": "rank by Fisher, warm",
    "another definition": "another definition on the same hulls",
    "exposure read": "exposure read, once a process",
    "time-matched, 199": "rank time-matched, 199 resamples",
    "999 resamples": "time-matched part, 999 resamples",
    "trace a claim": "trace a claim",
    "trace a lot": "trace a lot",
    "contain": "contain",
    "page data": "page data",
}
PEAKS = ("load", "fisher", "matched", "trace", "contain", "page", "floor", "loop")
RATIOS: dict[str, tuple[str, str]] = {
    "pandas and scipy loop / Fisher, warm": ("loop in all", "rank by Fisher, warm"),
    "Fisher, warm / floor with the affected joined": ("rank by Fisher, warm", "floor"),
    "Fisher, warm / floor of the rows alone": ("rank by Fisher, warm", "floor, rows alone"),
}


def tables(machine: str, by_size: Mapping[int, Found]) -> str:
    """Seconds on the clock, seconds of computing, peak memory and ratios, by size.

    Parameters
    ----------
    machine : str
        What it was measured on.
    by_size : mapping of int to mapping
        What was found, by the number of exposures.

    Returns
    -------
    str
        Markdown. What was not measured is a dash.
    """
    parts = [f"Measured on {machine}."]
    for title, names, cell in (
        ("Seconds on the clock", list(SECONDS), _clock),
        ("Seconds of computing, all threads together", list(SECONDS), _computing),
        ("Largest resident memory of the process, GiB", list(PEAKS), _peak),
        ("Ratios of seconds on the clock", list(RATIOS), _ratio),
    ):
        parts += [f"**{title}**", _table(names, cell, by_size)]
    return "\n\n".join(parts)


def written_into(page: str, text: str) -> str:
    """A page with the part between its two marks replaced."""
    before, _, rest = page.partition(BEGINS)
    _, found, after = rest.partition(ENDS)
    if not found:
        raise SystemExit(f"The page lacks the marks {BEGINS} and {ENDS}. Put them back.")
    return f"{before}{BEGINS}\n{text}\n{ENDS}{after}"


def _table(
    names: list[str], cell: Callable[[Found, str], float | None], by_size: Mapping[int, Found]
) -> str:
    lines = ["| exposures | " + " | ".join(names) + " |", "|---" * (len(names) + 1) + "|"]
    for rows, found in by_size.items():
        cells = [_figure(cell(found, name)) for name in names]
        lines.append(f"| {rows:,} | " + " | ".join(cells) + " |")
    return "\n".join(lines)


def _figure(value: float | None) -> str:
    if value is None:
        return "–"
    return f"{value:.3g}" if value < 1000 else f"{value:,.0f}"


def _clock(found: Found, name: str) -> float | None:
    return found.get(SECONDS[name])


def _computing(found: Found, name: str) -> float | None:
    return found.get(f"{SECONDS[name]} (computing)")


def _peak(found: Found, name: str) -> float | None:
    return found.get(f"{name}: peak")


def _ratio(found: Found, name: str) -> float | None:
    upper, lower = (found.get(part) for part in RATIOS[name])
    return None if upper is None or lower is None else upper / lower
