"""``tracegraph case``: open a case file, add to it, prove, export and remove it."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import pandas as pd
import typer

from tracegraph.cli.options import Format, FormatOption, StoreOption
from tracegraph.cli.output import print_csv, print_json, print_table, remark, write_bytes
from tracegraph.domain.errors import CaseFileError
from tracegraph.domain.permission import OWNER

if TYPE_CHECKING:
    from tracegraph.cases import CaseStore, Entry

group = typer.Typer(
    name="case", help="Keep what was decided, on what evidence, and whether it worked.",
    no_args_is_help=True,
)  # fmt: skip
CasesOption = Annotated[
    str | None,
    typer.Option(
        "--cases", metavar="URL", envvar="TRACEGRAPH_CASES", show_default=False,
        help="Database of case files; cases.sqlite beside the store when left out.",
    ),
]  # fmt: skip
Case = Annotated[str, typer.Argument(metavar="CASE", help="Number of the case, as C-0001.")]
Who = Annotated[str, typer.Option("--who", metavar="CODE", help="Code of the person.")]
Why = Annotated[str, typer.Option("--reason", metavar="TEXT", help="Why.")]


def add_to(cli: typer.Typer) -> None:
    """Add the command group."""
    # Each adds its commands to the group.
    from tracegraph.cli import case_entries, case_evidence  # noqa: F401

    cli.add_typer(group)


def opened(cases: str | None, store: Path | None) -> CaseStore:
    """The case files that the options name."""
    from tracegraph.cases import CaseStore, default_cases_url
    from tracegraph.store import default_store_path

    folder = store or default_store_path()
    return CaseStore(cases or default_cases_url(folder), folder, OWNER)


def told(entry: Entry, output: Format) -> None:
    """Print what was written."""
    if output is Format.json:
        print_json(entry.as_json())
    elif output is Format.csv:
        print_csv(_frame([entry]))
    else:
        print(f"{entry.case_no}: entry {entry.seq} ({entry.kind}) written by {entry.who}.")


def _frame(entries: list[Entry]) -> pd.DataFrame:
    from tracegraph.report.casefile import entry_words

    return pd.DataFrame(
        [
            {
                "entry": entry.seq, "at": entry.at, "who": entry.who, "kind": entry.kind,
                "what": entry_words(entry), "corrects": entry.corrects,
            }
            for entry in entries
        ]
    ).astype({"corrects": "Int64"})  # fmt: skip


@group.command(name="list")
def list_cases(
    store: StoreOption = None, cases: CasesOption = None, output: FormatOption = Format.table
) -> None:
    """List the cases with the next step of each.

    Example: tracegraph case list
    """
    from tracegraph.report.casefile import cases_frame

    files = opened(cases, store)
    frame = cases_frame([files.entries(number) for number in files.numbers()])
    if output is Format.json:
        print_json(frame.to_dict("records"))
    elif output is Format.csv:
        print_csv(frame)
    else:
        print_table(frame)


@group.command(name="show")
def show(
    case: Case,
    store: StoreOption = None,
    cases: CasesOption = None,
    output: FormatOption = Format.table,
) -> None:
    """Show the steps of a case, what each lacks, and its entries.

    Example: tracegraph case show C-0001
    """
    from tracegraph.cases.steps import steps
    from tracegraph.report.casefile import headline, step_words

    entries = opened(cases, store).entries(case)
    if output is Format.json:
        print_json(
            {
                "case": case,
                "steps": [{"step": one.name, "lacks": list(one.lacks)} for one in steps(entries)],
                "entries": [entry.as_json() for entry in entries],
            }
        )
    elif output is Format.csv:
        print_csv(_frame(entries))
    else:
        for text in (*headline(entries), *(step_words(one) for one in steps(entries))):
            print(text)
        print()
        print_table(_frame(entries), right=frozenset({"entry"}))


@group.command(name="close")
def close(
    case: Case,
    who: Who,
    reason: Why,
    store: StoreOption = None,
    cases: CasesOption = None,
    output: FormatOption = Format.table,
) -> None:
    """Close a case; what it still lacks is written down with it.

    Example: tracegraph case close C-0001 --who QM-1 --reason "effect shown"
    """
    from tracegraph.cases.steps import steps

    files = opened(cases, store)
    lacks = [what for one in steps(files.entries(case))[:-1] for what in one.lacks]
    told(files.append(case, who, "closed", {"reason": reason, "lacks": lacks}), output)


@group.command(name="verify")
def verify(
    case: Annotated[
        str | None, typer.Argument(metavar="[CASE]", help="One case; all when left out.")
    ] = None,
    store: StoreOption = None,
    cases: CasesOption = None,
    output: FormatOption = Format.table,
) -> None:
    """Prove that cases are as they were written, or name the first entry that is not.

    Example: tracegraph case verify C-0001
    """
    files = opened(cases, store)
    states = [files.verify(number) for number in ([case] if case else files.numbers())]
    rows = [
        {
            "case": one.case_no, "entries": one.entries, "whole": one.whole,
            "broken_at": one.broken_at, "reason": one.reason, "head": one.head,
        }
        for one in states
    ]  # fmt: skip
    if output is Format.json:
        print_json(rows)
    elif output is Format.csv:
        print_csv(pd.DataFrame(rows))
    else:
        for one in states:
            if one.whole:
                print(f"{one.case_no}: {one.entries} entries, as written; the last is {one.head}.")
    damage = files.integrity()
    broken = next((one for one in states if not one.whole), None)
    if broken is not None:
        raise CaseFileError(
            f"{broken.case_no} is broken at entry {broken.broken_at}: {broken.reason}. "
            "Compare it with an export or a backup."
        )
    if damage:
        raise CaseFileError(f"The file of the cases is damaged: {damage}. Fetch a backup.")


@group.command(name="export")
def export(
    case: Case,
    out: Annotated[Path, typer.Argument(metavar="FILE", help="JSON file to write.")],
    store: StoreOption = None,
    cases: CasesOption = None,
) -> None:
    """Write all entries of a case, with their hashes, to one JSON file.

    Example: tracegraph case export C-0001 C-0001.json
    """
    entries = [entry.as_json() for entry in opened(cases, store).entries(case)]
    text = json.dumps(entries, ensure_ascii=False, indent=2, sort_keys=True)
    write_bytes(out, text.encode())


@group.command(name="delete")
def delete(
    case: Case,
    who: Who,
    reason: Why,
    store: StoreOption = None,
    cases: CasesOption = None,
) -> None:
    """Remove a closed case that has been kept for long enough; who and why stay on record.

    Example: tracegraph case delete C-0001 --who QM-1 --reason "ten years are over"
    """
    from tracegraph.cases.retention import check_removal

    files = opened(cases, store)
    check_removal(files.entries(case), date.today())
    files.remove(case, who, reason)
    remark(f"Removed {case}.")
