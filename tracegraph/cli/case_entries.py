"""``tracegraph case``: what people find, decide and do, written down entry by entry."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from tracegraph.cli.case import At, Said, on_case, told
from tracegraph.cli.options import DayArgument, ReasonOption, WhoOption, day
from tracegraph.domain.errors import CaseFileError


@on_case("discovered")
def discovered(at: At, on: DayArgument, who: WhoOption, reason: ReasonOption) -> Said:
    """Write down the day of discovery; the clock of a safety matter runs from it.

    Example: tracegraph case discovered C-0001 2026-04-10 --who QL-1 --reason "second leak"
    """
    from tracegraph.cases import acts

    return told(acts.discover(at.files, who, at.case, _day(on, "DAY"), reason))


@on_case("reported")
def reported(at: At, on: DayArgument, who: WhoOption, reason: ReasonOption) -> Said:
    """Write down the day of the first report; later reminders run from it.

    Example: tracegraph case reported C-0001 2026-04-20 --who QM-1 --reason "report sent"
    """
    from tracegraph.cases import acts

    return told(acts.report_made(at.files, who, at.case, _day(on, "DAY"), reason))


@on_case("inspect")
def inspect(
    at: At,
    who: WhoOption,
    hull: Annotated[str, typer.Option("--hull", metavar="HULL", help="Hull looked at.")],
    what: Annotated[str, typer.Option("--what", metavar="TEXT", help="What was looked for.")],
    result: Annotated[str, typer.Option("--result", metavar="TEXT", help="What was seen.")],
    found: Annotated[
        bool,
        typer.Option("--found/--not-found", help="Whether it was there.", show_default=False),
    ],
) -> Said:
    """Write down an inspection that tells suspects apart.

    Example: tracegraph case inspect C-0001 --hull BT-1004 --what "voids at the deck edge"
    --not-found --result "clean" --who QE-1
    """
    from tracegraph.cases import acts
    from tracegraph.store import open_store

    with open_store(at.store) as records:
        return told(acts.inspect(at.files, records, who, at.case, hull, what, result, found=found))


@on_case("decide")
def decide(
    at: At,
    who: WhoOption,
    reason: ReasonOption,
    what: Annotated[str, typer.Option("--what", metavar="TEXT", help="What was decided.")],
    about: Annotated[
        str, typer.Option("--about", metavar="WORD", help="cause, containment, risk or other.")
    ] = "cause",
    notify: Annotated[
        bool | None,
        typer.Option(
            "--notify/--no-notice",
            help="About risk: whether notice is to be given.",
            show_default=False,
        ),
    ] = None,
) -> Said:
    """Write down a decision; a person decides about risk, never the records.

    Example: tracegraph case decide C-0001 --what "mold S22-H2 is the cause" --who QM-1
    --reason "7 of 9 affected hulls"
    """  # fmt: skip
    from tracegraph.cases import acts

    return told(acts.decide(at.files, who, at.case, what, reason, about=about, notify=notify))


@on_case("act")
def act(
    at: At,
    who: WhoOption,
    what: Annotated[str, typer.Option("--what", metavar="TEXT", help="The action.")],
    owner: Annotated[str, typer.Option("--owner", metavar="CODE", help="Who does it.")],
    due: Annotated[str, typer.Option("--due", metavar="DAY", help="By when.")],
) -> Said:
    """Set an action with its owner and due date.

    Example: tracegraph case act C-0001 --what "mend mold S22-H2" --owner PE-1 --due 2026-05-01
    --who QM-1
    """
    from tracegraph.cases import acts

    return told(acts.act(at.files, who, at.case, what, owner, _day(due, "--due")))


@on_case("done")
def done(
    at: At,
    action: Annotated[int, typer.Argument(metavar="ACTION", help="Number of the action, from 1.")],
    who: WhoOption,
    on: Annotated[str, typer.Option("--on", metavar="DAY", help="Day it took effect.")],
    first_built: Annotated[
        str | None,
        typer.Option("--first-built", metavar="DAY", help="Day the first hull was built under it."),
    ] = None,
) -> Said:
    """Write down that an action took effect, and the first hull truly built under it.

    Example: tracegraph case done C-0001 1 --on 2026-05-01 --first-built 2026-05-04 --who PE-1
    """
    from tracegraph.cases import acts

    first = day(first_built, "--first-built")
    return told(acts.done(at.files, who, at.case, action, _day(on, "--on"), first))


@on_case("note")
def note(
    at: At,
    who: WhoOption,
    lines: Annotated[
        list[str],
        typer.Argument(
            metavar="LINE...", help='The lines, in order; "text [4, 7]" rests on those entries.'
        ),
    ],
    form: Annotated[
        str,
        typer.Option(
            "--form",
            metavar="WORD",
            help="note, five whys, cause and effect, team, prevention or thanks.",
        ),
    ] = "note",
) -> Said:
    """Write a note, five whys or a cause-and-effect sketch, tied to evidence.

    Example: tracegraph case note C-0001 "voids at the chine [4]" "worn mold [3]"
    --form "five whys" --who QE-1

    Example: tracegraph case note C-0001 "mold: worn chine [3]" "material: none known"
    --form "cause and effect" --who QE-1
    """
    from tracegraph.cases import acts

    return told(acts.note(at.files, who, at.case, form, lines))


@on_case("attach")
def attach(
    at: At,
    file: Annotated[Path, typer.Argument(metavar="FILE", help="File to keep with the case.")],
    who: WhoOption,
) -> Said:
    """Attach a file; it is kept with the case and held to its hash.

    Example: tracegraph case attach C-0001 photo.jpg --who QE-1
    """
    from tracegraph.cases import acts

    try:
        content = file.read_bytes()
    except OSError as error:
        raise CaseFileError(f"{file} cannot be read: {error.strerror}. Name a file.") from error
    return told(acts.attach(at.files, who, at.case, file.name, content))


@on_case("correct")
def correct(
    at: At,
    entry: Annotated[int, typer.Argument(metavar="ENTRY", help="Entry to put right.")],
    who: WhoOption,
    reason: ReasonOption,
    change: Annotated[
        list[str],
        typer.Option("--set", metavar="FIELD=TEXT", help="Field and its right value; repeat."),
    ],
) -> Said:
    """Put an earlier entry right with a new one that points at it; the old one stays.

    Example: tracegraph case correct C-0001 3 --set result="two voids" --who QE-1
    --reason "typing error"
    """
    from tracegraph.cases import acts

    changes = {}
    for text in change:
        field, equals, value = text.partition("=")
        if not equals:
            raise CaseFileError(f"--set is FIELD=TEXT; got {text!r}.")
        changes[field] = value
    return told(acts.correct(at.files, who, at.case, entry, reason, changes))


def _day(text: str, option: str) -> date:
    found = day(text, option)
    assert found is not None  # only None reads as None
    return found
