"""``tracegraph case``: open a case file, add to it, prove, export and remove it."""

from __future__ import annotations

import hashlib
import json
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import pandas as pd
import typer

from tracegraph.cli.options import Format, FormatOption, StoreOption, day
from tracegraph.cli.output import print_csv, print_json, print_table, remark, write_bytes
from tracegraph.domain.errors import CaseFileError

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
    from tracegraph.cli import case_evidence  # noqa: F401 - adds its commands to the group

    cli.add_typer(group)


def opened(cases: str | None, store: Path | None) -> CaseStore:
    """The case files that the options name."""
    from tracegraph.cases import CaseStore, default_cases_url
    from tracegraph.store import default_store_path

    return CaseStore(cases or default_cases_url(store or default_store_path()))


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


@group.command(name="discovered")
def discovered(
    case: Case,
    on: Annotated[str, typer.Argument(metavar="DAY", help="Day of discovery, as 2026-03-09.")],
    who: Who,
    reason: Why,
    store: StoreOption = None,
    cases: CasesOption = None,
    output: FormatOption = Format.table,
) -> None:
    """Write down the day of discovery; the clock of a safety matter runs from it.

    Example: tracegraph case discovered C-0001 2026-04-10 --who QL-1 --reason "second leak"
    """
    found = day(on, "DAY")
    content = {"on": str(found), "reason": reason}
    told(opened(cases, store).append(case, who, "discovered", content), output)


@group.command(name="inspect")
def inspect(
    case: Case,
    who: Who,
    hull: Annotated[str, typer.Option("--hull", metavar="HULL", help="Hull looked at.")],
    what: Annotated[str, typer.Option("--what", metavar="TEXT", help="What was looked for.")],
    result: Annotated[str, typer.Option("--result", metavar="TEXT", help="What was found.")],
    store: StoreOption = None,
    cases: CasesOption = None,
    output: FormatOption = Format.table,
) -> None:
    """Write down an inspection that tells suspects apart.

    Example: tracegraph case inspect C-0001 --hull BT-1004 --what "voids at the deck edge"
    --result "none" --who QE-1
    """
    content = {"hull": hull, "what": what, "result": result}
    told(opened(cases, store).append(case, who, "inspected", content), output)


@group.command(name="decide")
def decide(
    case: Case,
    who: Who,
    reason: Why,
    what: Annotated[str, typer.Option("--what", metavar="TEXT", help="What was decided.")],
    about: Annotated[
        str, typer.Option("--about", metavar="WORD", help="cause, containment, risk or other.")
    ] = "cause",
    store: StoreOption = None,
    cases: CasesOption = None,
    output: FormatOption = Format.table,
) -> None:
    """Write down a decision; a person decides about risk, never the records.

    Example: tracegraph case decide C-0001 --what "mold S22-H2 is the cause" --who QM-1
    --reason "7 of 9 affected hulls"
    """
    if about not in ("cause", "containment", "risk", "other"):
        raise CaseFileError(
            f"--about is one of cause, containment, risk, other; got {about!r}. Choose one."
        )
    content = {"what": what, "about": about, "reason": reason}
    told(opened(cases, store).append(case, who, "decided", content), output)


@group.command(name="act")
def act(
    case: Case,
    who: Who,
    what: Annotated[str, typer.Option("--what", metavar="TEXT", help="The action.")],
    owner: Annotated[str, typer.Option("--owner", metavar="CODE", help="Who does it.")],
    due: Annotated[str, typer.Option("--due", metavar="DAY", help="By when.")],
    store: StoreOption = None,
    cases: CasesOption = None,
    output: FormatOption = Format.table,
) -> None:
    """Set an action with its owner and due date.

    Example: tracegraph case act C-0001 --what "mend mold S22-H2" --owner PE-1 --due 2026-05-01
    --who QM-1
    """
    from tracegraph.cases.steps import of_kind

    files = opened(cases, store)
    number = len(of_kind(files.entries(case), "acted")) + 1
    content = {"number": number, "what": what, "owner": owner, "due": str(day(due, "--due"))}
    told(files.append(case, who, "acted", content), output)


@group.command(name="done")
def done(
    case: Case,
    action: Annotated[int, typer.Argument(metavar="ACTION", help="Number of the action, from 1.")],
    who: Who,
    on: Annotated[str, typer.Option("--on", metavar="DAY", help="Day it took effect.")],
    first_built: Annotated[
        str | None,
        typer.Option("--first-built", metavar="DAY", help="Day the first hull was built under it."),
    ] = None,
    store: StoreOption = None,
    cases: CasesOption = None,
    output: FormatOption = Format.table,
) -> None:
    """Write down that an action took effect, and the first hull truly built under it.

    Example: tracegraph case done C-0001 1 --on 2026-05-01 --first-built 2026-05-04 --who PE-1
    """
    from tracegraph.cases.steps import of_kind, standing

    files = opened(cases, store)
    numbers = [one.content["number"] for one in of_kind(standing(files.entries(case)), "acted")]
    if action not in numbers:
        raise CaseFileError(
            f"There is no action {action} in {case}; it has {len(numbers)}. Set it first: "
            "tracegraph case act."
        )
    first = day(first_built, "--first-built")
    content = {
        "action": action, "on": str(day(on, "--on")), "first_built": str(first) if first else None,
    }  # fmt: skip
    told(files.append(case, who, "done", content), output)


@group.command(name="note")
def note(
    case: Case,
    who: Who,
    lines: Annotated[list[str], typer.Argument(metavar="LINE...", help="The lines, in order.")],
    form: Annotated[
        str,
        typer.Option(
            "--form",
            metavar="WORD",
            help="note, five whys, cause and effect, team, prevention or thanks.",
        ),
    ] = "note",
    evidence: Annotated[
        list[int] | None,
        typer.Option("--evidence", metavar="ENTRY", help="Entry it rests on; may be repeated."),
    ] = None,
    store: StoreOption = None,
    cases: CasesOption = None,
    output: FormatOption = Format.table,
) -> None:
    """Write a note, five whys or a cause-and-effect sketch, tied to evidence.

    Example: tracegraph case note C-0001 "why blisters" "why damp" --form "five whys"
    --evidence 2 --who QE-1
    """  # fmt: skip
    from tracegraph.cases.steps import NOTE_FORMS

    if form not in NOTE_FORMS:
        raise CaseFileError(f"--form is one of {', '.join(NOTE_FORMS)}; got {form!r}. Choose one.")
    files = opened(cases, store)
    last = len(files.entries(case))
    wrong = [one for one in evidence or [] if not 1 <= one <= last]
    if wrong:
        raise CaseFileError(f"--evidence is one of the entries 1 to {last}; got {wrong[0]}.")
    content = {"form": form, "lines": lines, "evidence": evidence or []}
    told(files.append(case, who, "noted", content), output)


@group.command(name="attach")
def attach(
    case: Case,
    file: Annotated[Path, typer.Argument(metavar="FILE", help="File to keep with the case.")],
    who: Who,
    store: StoreOption = None,
    cases: CasesOption = None,
    output: FormatOption = Format.table,
) -> None:
    """Attach a file; it is kept with the case and held to its hash.

    Example: tracegraph case attach C-0001 photo.jpg --who QE-1
    """
    try:
        content = file.read_bytes()
    except OSError as error:
        raise CaseFileError(f"{file} cannot be read: {error.strerror}. Name a file.") from error
    sha = hashlib.sha256(content).hexdigest()
    body = {"name": file.name, "sha256": sha, "bytes": len(content)}
    told(opened(cases, store).append(case, who, "attached", body, file=content), output)


@group.command(name="correct")
def correct(
    case: Case,
    entry: Annotated[int, typer.Argument(metavar="ENTRY", help="Entry to put right.")],
    who: Who,
    reason: Why,
    change: Annotated[
        list[str],
        typer.Option("--set", metavar="FIELD=TEXT", help="Field and its right value; repeat."),
    ],
    store: StoreOption = None,
    cases: CasesOption = None,
    output: FormatOption = Format.table,
) -> None:
    """Put an earlier entry right with a new one that points at it; the old one stays.

    Example: tracegraph case correct C-0001 3 --set result="two voids" --who QE-1
    --reason "typing error"
    """
    files = opened(cases, store)
    found = [one for one in files.entries(case) if one.seq == entry]
    content: dict[str, Any] = dict(found[0].content) if found else {}
    for text in change:
        field, equals, value = text.partition("=")
        if not equals or (found and not isinstance(content.get(field), str)):
            words = [name for name, value in content.items() if isinstance(value, str)]
            raise CaseFileError(
                f"--set is FIELD=TEXT with one of {', '.join(words) or 'no fields'}; got {text!r}."
            )
        content[field] = value
    content["correction_reason"] = reason
    told(files.append(case, who, "corrected", content, corrects=entry), output)


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
