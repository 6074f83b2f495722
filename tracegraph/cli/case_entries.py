"""``tracegraph case``: what people find, decide and do, written down entry by entry."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Annotated, Any

import typer

from tracegraph.cli.case import Case, CasesOption, Who, Why, group, opened, told
from tracegraph.cli.options import Format, FormatOption, StoreOption, day
from tracegraph.domain.errors import CaseFileError


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
