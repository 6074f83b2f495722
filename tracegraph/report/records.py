"""The state of the records as tables, sentences and JSON."""

from __future__ import annotations

from typing import Any

import pandas as pd

from tracegraph.analysis.completeness import Completeness
from tracegraph.analysis.overview import Totals
from tracegraph.analysis.records_state import RecordsState
from tracegraph.report.numbers import count, of, percent, plural
from tracegraph.report.tables import COUNT, TENTHS, DisplayTable


def months_table(found: Completeness) -> DisplayTable:
    """Share of the expected records that is there, by build month."""
    months = found.by_month
    table = pd.DataFrame(
        {
            "built in": months["built_month"].dt.strftime("%Y-%m").fillna("not dated"),
            "records expected": months["expected"],
            "there": months["recorded"],
            "share, %": 100 * months["score"],
        }
    )
    return DisplayTable(
        table,
        {"records expected": COUNT, "there": COUNT, "share, %": TENTHS},
        caption=f"{plural(len(table), 'month')} of building.",
    )


def poorest_hulls_table(found: Completeness, top: int = 100) -> DisplayTable:
    """Hulls with the smallest share of the expected records, poorest first."""
    hulls = found.by_hull.head(top)
    table = pd.DataFrame(
        {
            "hull": hulls["hull_serial"],
            "model": hulls["model"],
            "built": hulls["built_on"],
            "records expected": hulls["expected"],
            "there": hulls["recorded"],
            "share, %": 100 * hulls["score"],
        }
    ).reset_index(drop=True)
    return DisplayTable(
        table,
        {"records expected": COUNT, "there": COUNT, "share, %": TENTHS},
        caption=f"The {count(len(table))} poorest of {plural(len(found.by_hull), 'hull')}.",
    )


def amount_sentence(found: Totals) -> str:
    """How much there is, known before anything else about the records is."""
    hulls, lines = plural(found.hulls, "hull"), plural(found.claims, "claim line")
    return f"{hulls} and {lines} are in the records."


def score_sentence(found: Completeness) -> str:
    """How much of what should have been written down was, in one sentence."""
    expected = int(found.by_month["expected"].sum())
    recorded = int(found.by_month["recorded"].sum())
    if not expected:
        return "No record was expected of any hull."
    return f"{percent(recorded, expected)} of the records expected of hulls are there."


def cost_sentence(state: RecordsState) -> str:
    """What missing records cost the ranking: answers that count neither way.

    Parameters
    ----------
    state : RecordsState
        From :func:`~tracegraph.analysis.records_state.records_state`.
    """
    lost = state.questions[state.questions["not_recorded"] > 0]
    if lost.empty:
        return "Every question is answered for every hull that it applies to."
    share = lost["not_recorded"] / lost["hulls"]
    worst = lost.loc[share.sort_values(ascending=False, kind="stable").index[0]]
    missing, asked = int(lost["not_recorded"].sum()), int(state.questions["hulls"].sum())
    return (
        f"What that costs the ranking: {percent(missing, asked)} of the answers are unknown, over "
        f"{plural(len(lost), 'question')}; such a hull counts neither as exposed nor as not "
        f"exposed there. Most is lost at {worst['family']}: "
        f"{percent(int(worst['not_recorded']), int(worst['hulls']))} of the hulls."
    )


def check_as_json(state: RecordsState, score: Completeness) -> dict[str, Any]:
    """The state of the records as plain values.

    Parameters
    ----------
    state : RecordsState
        From :func:`~tracegraph.analysis.records_state.records_state`.
    score : Completeness
        From :func:`~tracegraph.analysis.completeness.completeness`.

    Returns
    -------
    dict
        ``data_version``, ``loaded_at``; ``files`` (the ledger); ``links`` (list of
        ``link``, ``records``, ``linked``, ``not_linked``, ``examples``);
        ``completeness`` (``families``: list of ``family``, ``kind``, ``part``, ``step``,
        ``hulls``, ``recorded``, ``not_recorded``; ``fields``: list of ``table``,
        ``field``, ``required``, ``rows``, ``filled``; ``months``: list of
        ``built_month``, ``expected``, ``recorded``, ``score``; ``poorest_hulls``: list of
        ``hull_serial``, ``model``, ``built_on``, ``expected``, ``recorded``, ``score``, at
        most 100); ``set_aside`` (``rows``, ``reasons``); ``cleaned``; ``remarks``.
    """
    return {
        "data_version": state.data_version,
        "loaded_at": state.loaded_at,
        "files": _plain(state.files.drop(columns="source_id")),
        "links": _plain(state.links),
        "completeness": {
            "families": _plain(state.questions),
            "fields": _plain(state.fields),
            "months": _plain(score.by_month),
            "poorest_hulls": _plain(score.by_hull.head(100)),
        },
        "set_aside": {
            "rows": int(state.files["set_aside"].sum()),
            "reasons": _plain(state.reasons),
        },
        "cleaned": _plain(state.cleaned),
        "remarks": _plain(state.remarks),
    }


def records_sentences(state: RecordsState) -> tuple[str, ...]:
    """What came in and what it is worth, in words.

    Parameters
    ----------
    state : RecordsState
        From :func:`~tracegraph.analysis.records_state.records_state`.

    Returns
    -------
    tuple of str
        The ledger's sum first, then what is set aside, then what does not link.
    """
    files = state.files
    seen, loaded, aside, repeats, furniture = (
        int(files[name].sum()) for name in ("seen", "loaded", "set_aside", "repeats", "furniture")
    )
    said = [
        f"{count(seen)} rows seen in {plural(len(files), 'file or sheet', 'files and sheets')}: "
        f"{count(loaded)} became records, {count(aside)} set aside, {count(repeats)} repeats, "
        f"{count(furniture)} titles and blank lines."
    ]
    if aside:
        said.append(
            f"{plural(aside, 'row')} could not be read and {'is' if aside == 1 else 'are'} "
            "kept with the reason below; mend the file and load it again."
        )
    return (*said, *_not_linked(state))


def ledger_table(state: RecordsState) -> DisplayTable:
    """Where each row of each file went; the last four columns add up to the rows seen."""
    files = state.files
    table = pd.DataFrame(
        {
            "file": files["name"],
            "sheet": files["sheet"],
            "rows seen": files["seen"],
            "loaded": files["loaded"],
            "set aside": files["set_aside"],
            "repeats": files["repeats"],
            "titles, blanks": files["furniture"],
            "load": files["load_no"],
            "read as": files["encoding"],
        }
    )
    return DisplayTable(
        table,
        _counts("rows seen", "loaded", "set aside", "repeats", "titles, blanks", "load"),
        caption=f"{plural(len(table), 'file or sheet', 'files and sheets')}.",
    )


def reasons_table(state: RecordsState) -> DisplayTable:
    """Rows set aside, gathered by reason."""
    reasons = state.reasons
    table = pd.DataFrame(
        {
            "rows": reasons["rows"],
            "file": reasons["file"],
            "sheet": reasons["sheet"],
            "first line": reasons["first_row"],
            "what stood there": reasons["first_value"],
            "reason": reasons["reason"],
        }
    )
    return DisplayTable(
        table,
        _counts("rows", "first line"),
        caption=f"{plural(int(reasons['rows'].sum()), 'entry', 'entries')} in "
        f"{plural(len(table), 'reason')}.",
    )


def set_aside_table(rows: pd.DataFrame) -> DisplayTable:
    """Rows that could not be read, whole; from ``set_aside_rows``."""
    table = pd.DataFrame(
        {
            "file": rows["file"],
            "sheet": rows["sheet"],
            "line": rows["line"],
            "column": rows["column_name"],
            "what stood there": rows["value"],
            "reason": rows["reason"],
            "whole row": rows["raw"],
        }
    )
    return DisplayTable(table, _counts("line"), caption=f"{plural(len(table), 'row')} shown.")


def links_table(state: RecordsState) -> DisplayTable:
    """How many records reach what they speak of."""
    links = state.links
    table = pd.DataFrame(
        {
            "link": links["link"],
            "records": links["records"],
            "linked": links["linked"],
            "not linked": links["not_linked"],
            "such as": pd.Series(
                [", ".join(map(str, names[:5])) for names in links["examples"]],
                index=links.index,
                dtype="str",
            ),
        }
    )
    return DisplayTable(
        table, _counts("records", "linked", "not linked"), caption=f"{plural(len(table), 'link')}."
    )


def questions_table(state: RecordsState, top: int | None = None) -> DisplayTable:
    """Questions that can be asked of a hull, those with the most missing records first.

    Parameters
    ----------
    state : RecordsState
        From :func:`~tracegraph.analysis.records_state.records_state`.
    top : int, optional
        How many rows; all when left out.
    """
    questions = state.questions.sort_values("not_recorded", ascending=False, kind="stable")
    shown = questions if top is None else questions.head(top)
    table = pd.DataFrame(
        {
            "question": shown["family"],
            "kind": shown["kind"],
            "hulls it applies to": shown["hulls"],
            "recorded": shown["recorded"],
            "not recorded": shown["not_recorded"],
            "not recorded, %": (100 * shown["not_recorded"] / shown["hulls"]).round(1),
        }
    ).reset_index(drop=True)
    return DisplayTable(
        table,
        {**_counts("hulls it applies to", "recorded", "not recorded"), "not recorded, %": TENTHS},
        caption=f"The first {count(len(table))} of {plural(len(questions), 'question')}."
        if len(table) < len(questions)
        else f"{plural(len(questions), 'question')}.",
    )


def fields_table(state: RecordsState) -> DisplayTable:
    """Columns of the record tables and how many rows fill them."""
    fields = state.fields
    table = pd.DataFrame(
        {
            "table": fields["table"],
            "column": fields["field"],
            "required": fields["required"].map({True: "yes", False: ""}),
            "rows": fields["rows"],
            "filled": fields["filled"],
            "filled, %": (100 * fields["filled"] / fields["rows"]).round(1),
        }
    )
    return DisplayTable(
        table,
        {**_counts("rows", "filled"), "filled, %": TENTHS},
        caption=f"{plural(len(table), 'column')}.",
    )


def cleaned_table(state: RecordsState) -> DisplayTable:
    """Values that were stored otherwise than written, gathered by column and rule."""
    cleaned = state.cleaned
    table = pd.DataFrame(
        {
            "rows": cleaned["rows"],
            "table": cleaned["table_name"],
            "column": cleaned["column_name"],
            "rule": cleaned["rule"],
            "written": cleaned["example"],
            "stored": cleaned["became"].where(cleaned["became"] != "", "(missing)"),
        }
    )
    return DisplayTable(
        table,
        _counts("rows"),
        caption=f"{plural(len(table), 'kind of change', 'kinds of change')}.",
    )


def _not_linked(state: RecordsState) -> list[str]:
    words = {
        "claim lines to hulls": "claim lines name a hull that is not in the records; no ranking "
        "counts them.",
        "uses with their lot written down": "uses of a material have no lot written down; those "
        "hulls count as not recorded, never as not exposed.",
    }
    return [
        f"{of(row['not_linked'], row['records'])} {words[row['link']]}"
        for row in state.links[state.links["not_linked"] > 0].to_dict("records")
        if row["link"] in words
    ]


def _counts(*names: str) -> dict[str, Any]:
    return dict.fromkeys(names, COUNT)


def _plain(frame: pd.DataFrame) -> list[dict[str, Any]]:
    return [
        {str(key): _plain_value(value) for key, value in row.items()}
        for row in frame.to_dict("records")
    ]


def _plain_value(value: Any) -> Any:
    if hasattr(value, "tolist"):
        value = value.tolist()
    if isinstance(value, list):
        return [str(item) for item in value]
    if value is None or value is pd.NaT or value != value:
        return None
    return f"{value:%Y-%m-%d}" if hasattr(value, "strftime") else value
