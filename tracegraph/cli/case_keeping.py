"""``tracegraph case``: list, show, close, prove, print, export and remove."""

from __future__ import annotations

import json
from base64 import b64encode
from datetime import date
from pathlib import Path
from typing import Annotated

import pandas as pd
import typer

from tracegraph.cli.case import At, Said, on_case, on_cases, told
from tracegraph.cli.options import ReasonOption, WhoOption
from tracegraph.cli.output import remark, write_bytes
from tracegraph.domain.errors import CaseFileError


@on_cases("list")
def list_cases(at: At) -> Said:
    """List the cases with age, next step and what is overdue.

    Example: tracegraph case list
    """
    from tracegraph.report.casefile import case_list
    from tracegraph.report.tables import DisplayTable

    found = case_list([at.files.entries(number) for number in at.files.numbers()], date.today())
    plain = found.frame.astype(object).where(found.frame.notna(), None)
    rows = json.loads(plain.to_json(orient="records", date_format="iso"))
    rows = [{**row, "opened": str(day)} for row, day in zip(rows, plain["opened"], strict=True)]
    # The notices stand above the list already.
    shown = DisplayTable(found.frame.drop(columns="safety"), found.styles, caption=found.caption)
    return Said([{str(k): v for k, v in row.items()} for row in rows], table=shown)


@on_case("show")
def show(at: At) -> Said:
    """Show where a case stands: steps, suspects then and now, actions, entries.

    Example: tracegraph case show C-0001
    """
    from tracegraph.cases.corroboration import corroboration
    from tracegraph.cases.steps import steps
    from tracegraph.report.casefile import case_view
    from tracegraph.report.casefile.evidence import seen_as_json
    from tracegraph.report.casefile.words import step_words

    entries = at.entries
    view = case_view(entries, date.today())
    lines = (f"{view.case_no}: {view.title}", view.sentence, *view.summary, "")
    lines += tuple(step_words(one) for one in steps(entries))
    lines += ("", *view.evidence_words) if view.evidence_words else ()
    found = {
        "case": at.case,
        "title": view.title,
        "summary": list(view.summary),
        "steps": [{"step": one.name, "lacks": list(one.lacks)} for one in steps(entries)],
        "evidence": seen_as_json(corroboration(entries)),
        "to_inspect": view.to_inspect.frame.to_dict("records"),
        "overdue": view.overdue,
        "entries": [entry.as_json() for entry in entries],
    }
    return Said(found, lines, table=view.entries, case=at.case)


@on_case("close")
def close_case(at: At, who: WhoOption, reason: ReasonOption) -> Said:
    """Close a case; what it still lacks is written down with it.

    Example: tracegraph case close C-0001 --who QM-1 --reason "effect shown"
    """
    from tracegraph.cases.acts import close

    return told(close(at.files, who, at.case, reason))


@on_cases("verify")
def verify(
    at: At,
    case: Annotated[
        str | None, typer.Argument(metavar="[CASE]", help="One case; all when left out.")
    ] = None,
) -> Said:
    """Prove that cases are as they were written, or name the first entry that is not.

    Example: tracegraph case verify C-0001
    """
    files = at.files
    states = [files.verify(number) for number in ([case] if case else files.numbers())]
    broken = next((one for one in states if not one.whole), None)
    if broken is not None:
        raise CaseFileError(
            f"{broken.case_no} is broken at entry {broken.broken_at}: {broken.reason}. "
            "Compare it with an export or a backup."
        )
    damage = files.integrity()
    if damage:
        raise CaseFileError(f"The file of the cases is damaged: {damage}. Fetch a backup.")
    rows = [
        {"case": one.case_no, "entries": one.entries, "whole": one.whole, "head": one.head}
        for one in states
    ]
    lines = [
        f"{one.case_no}: {one.entries} entries, as written; the last is {one.head}."
        for one in states
    ]
    columns = ["case", "entries", "whole", "head"]
    return Said(rows, tuple(lines), frame=pd.DataFrame(rows, columns=columns))


@on_case("report")
def report(
    at: At,
    out: Annotated[Path, typer.Argument(metavar="FILE", help="A .html or .pdf file to write.")],
    summary: Annotated[
        bool, typer.Option("--summary", help="One page for the manager instead.")
    ] = False,
    eight: Annotated[
        bool, typer.Option("--8d", help="The same content in the order of eight disciplines.")
    ] = False,
) -> Said:
    """Write the report of a case.

    Example: tracegraph case report C-0001 C-0001.pdf
    """
    from tracegraph.report.casefile import case_html, case_pdf

    makers = {".html": case_html, ".pdf": case_pdf}
    if out.suffix.lower() not in makers:
        raise CaseFileError(f"A report is written as .html or .pdf; got {out.name!r}. Choose one.")
    if summary and eight:
        raise CaseFileError("--summary and --8d are two forms of a report; choose one.")
    form = "summary" if summary else "8d" if eight else "steps"
    write_bytes(out, makers[out.suffix.lower()](at.entries, date.today(), form=form))
    return Said({"case": at.case, "file": str(out), "form": form}, case=at.case)


@on_case("export")
def export(
    at: At, out: Annotated[Path, typer.Argument(metavar="FILE", help="JSON file to write.")]
) -> Said:
    """Write all entries of a case, with their hashes and attached files, to one JSON file.

    Example: tracegraph case export C-0001 C-0001.json
    """
    from tracegraph.cases.steps import attached
    from tracegraph.report.casefile.safety import safety_notice

    entries = at.entries
    whole = {
        "safety": safety_notice(entries),
        "case": at.case,
        "entries": [entry.as_json() for entry in entries],
        "files": {
            one: b64encode(at.files.file(at.case, one)).decode() for one in attached(entries)
        },
    }
    write_bytes(out, json.dumps(whole, ensure_ascii=False, indent=2).encode())
    return Said({"case": at.case, "file": str(out), "entries": len(entries)}, case=at.case)


@on_case("delete")
def delete(at: At, who: WhoOption, reason: ReasonOption) -> Said:
    """Remove a closed case that has been kept for long enough; who and why stay on record.

    Example: tracegraph case delete C-0001 --who QM-1 --reason "ten years are over"
    """
    from tracegraph.cases.retention import check_removal

    entries = at.entries
    check_removal(entries, date.today())
    at.files.remove(at.case, who, reason)
    remark(f"Removed {at.case}.")
    gone = {"case": at.case, "removed": True}
    return Said(gone, case=at.case, removed=tuple(entries))
