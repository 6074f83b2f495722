"""``tracegraph contain``: every hull that carries a suspect, or may carry it."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from tracegraph.cli.defining import Words, defines_cases
from tracegraph.cli.engine import (
    EngineName,
    EngineOption,
    PublishedOption,
    RemoteOption,
    use_engine,
)
from tracegraph.cli.options import Format, FormatOption, StoreOption, audited_reason, day
from tracegraph.cli.output import (
    print_csv,
    print_display,
    print_json,
    remark,
    write_bytes,
)
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import DefinitionError

if TYPE_CHECKING:
    from tracegraph.analysis.containment import Containment
    from tracegraph.store import Store

SHOWN = 25


def add_to(cli: typer.Typer) -> None:
    """Add the command."""
    cli.command(name="contain")(contain)


@defines_cases
def contain(
    family: Annotated[
        Words,
        typer.Option(
            "--family",
            metavar="FAMILY",
            help="Family of the suspect; repeat with --level to hold several together.",
        ),
    ] = None,
    level: Annotated[
        Words, typer.Option("--level", metavar="LEVEL", help="Level of the suspect.")
    ] = None,
    window: Annotated[
        str | None,
        typer.Option(
            "--window", metavar="FROM:TO", help="Days instead of a suspect, both included."
        ),
    ] = None,
    work: Annotated[
        str | None,
        typer.Option(
            "--work",
            metavar="PART:STEP",
            help="Work that fell into the days; the building of the hull when left out.",
        ),
    ] = None,
    definition: CaseDefinition | None = None,
    as_of: Annotated[
        str | None,
        typer.Option("--as-of", metavar="DAY", help="Day up to which service is counted."),
    ] = None,
    until_month: Annotated[
        int | None,
        typer.Option(
            "--until-month",
            metavar="N",
            help="Month in service up to which further claims are foreseen.",
            min=1,
        ),
    ] = None,
    widen: Annotated[
        bool, typer.Option("--widen", help="List the neighbours not shown clean too, as possible.")
    ] = False,
    people: Annotated[
        str | None,
        typer.Option(
            "--people", metavar="REASON", help="Reason for asking about a family of people."
        ),
    ] = None,
    hold_list: Annotated[
        Path | None,
        typer.Option(
            "--hold-list", metavar="FILE", help="Write the hold list to a .csv or .xlsx file too."
        ),
    ] = None,
    engine: EngineOption = EngineName.duckdb,
    published: PublishedOption = None,
    spark_remote: RemoteOption = None,
    store: StoreOption = None,
    output: FormatOption = Format.table,
) -> None:
    """List the hulls that carry a suspect.

    Example: tracegraph contain --family "hull: mold" --level S22-H2 --hold-list hold.xlsx

    Which hulls are affected, and what is to come, follows from --symptom and what narrows it.

    Example: tracegraph contain --window 2024-03-01:2024-03-15 --work "hull: laminate"
    """
    from tracegraph.analysis.holding import hold
    from tracegraph.report.genealogy_json import contain_json
    from tracegraph.store import open_store
    from tracegraph.store.acts import read_hold_acts

    with open_store(store) as records:
        use_engine(records, engine, published, spark_remote)
        found = contained(
            records,
            family or [],
            level or [],
            window=window,
            work=work,
            people=people,
            definition=definition,
            as_of=day(as_of, "--as-of"),
            widen=widen,
            until_month=until_month,
        )
        found = hold(found, read_hold_acts(records.path.parent)).found
    if output is Format.json:
        print_json(contain_json(found))
    elif output is Format.csv:
        print_csv(found.hulls)
    else:
        _print(found)
    if hold_list is not None:
        _write(hold_list, found)


def contained(
    records: Store,
    families: list[str],
    levels: list[str],
    *,
    window: str | None = None,
    work: str | None = None,
    people: str | None = None,
    **more: Any,
) -> Containment:
    """Contain what the options name: one suspect, several together, or some days.

    Raises
    ------
    DefinitionError
        If neither or both of suspect and days are named, or family and level do not pair.
    """
    from tracegraph.analysis.containment import contain as contain_records
    from tracegraph.analysis.containment import contain_window

    if window is not None:
        if families or levels:
            raise DefinitionError("Name a suspect or a --window, not both.")
        first, last = _days(window)
        return contain_window(records, first, last, work=_work(work), **more)
    if work is not None:
        raise DefinitionError("--work goes with --window FROM:TO; no window was given.")
    if not families or len(families) != len(levels):
        raise DefinitionError(
            "Each suspect is a --family FAMILY with its --level LEVEL; got "
            f"{len(families)} and {len(levels)}. Or name a --window FROM:TO."
        )
    first_one, *also = zip(families, levels, strict=True)
    why = audited_reason(records, people)
    return contain_records(records, *first_one, also=also, people_reason=why, **more)


def _days(text: str) -> tuple[date, date]:
    first, colon, last = text.partition(":")
    days = day(first, "--window"), day(last if colon else first, "--window")
    if days[0] is None or days[1] is None:
        raise DefinitionError(f"--window must be two days as 2024-03-01:2024-03-15; got {text!r}.")
    return days[0], days[1]


def _work(text: str | None) -> tuple[str, str] | None:
    if text is None:
        return None
    part, colon, step = text.partition(":")
    if not colon:
        raise DefinitionError(
            f'--work must be a part and a step as "hull: laminate"; got {text!r}.'
        )
    return part.strip(), step.strip()


def _print(found: Containment) -> None:
    from tracegraph.report.containment import containment_sentences, counts_table, held_table
    from tracegraph.report.containment_checks import check_sentences
    from tracegraph.report.containment_tables import (
        alternatives_table,
        bracket_table,
        outlook_table,
        telling_table,
    )
    from tracegraph.report.holdlist import CAUTIONS, range_sentence
    from tracegraph.report.tables import DisplayTable

    for text in (*containment_sentences(found), *check_sentences(found)):
        print(text)
    print()
    print_display(counts_table(found))
    if found.bracket is not None and len(found.bracket.rows):
        print("\nBeside it:")
        print_display(bracket_table(found))
    if found.forecast is not None:
        print()
        print_display(outlook_table(found))
    if len(found.members) > 1:
        print("\nUntil decided, all are held:")
        print_display(alternatives_table(found))
        if len(found.telling):
            print("\nInspect these to tell them apart:")
            telling = telling_table(found)
            print_display(
                DisplayTable(telling.frame.head(SHOWN), telling.styles, caption=telling.caption)
            )
    print("\nThe hulls, most urgent first:")
    held = held_table(found)
    shown = held.frame[
        [
            "hull", "hull identification no.", "model", "grade", "chance", "place", "state",
            "affected", "months in service", "further claims expected",
        ]
    ]  # fmt: skip
    print_display(DisplayTable(shown.head(SHOWN), held.styles, caption=held.caption))
    if len(shown) > SHOWN:
        print(f"The first {SHOWN} are shown; --hold-list FILE writes them all.")
    print()
    for row in found.ranges.to_dict("records"):
        print(range_sentence(row))
    for text in CAUTIONS:
        remark(text)


def _write(path: Path, found: Containment) -> None:
    from tracegraph.domain.errors import TraceGraphError
    from tracegraph.report.holdlist import hold_list_csv, hold_list_xlsx

    makers = {".csv": hold_list_csv, ".xlsx": hold_list_xlsx}
    if path.suffix.lower() not in makers:
        raise TraceGraphError(
            f"A hold list is written as .csv or .xlsx; got {path.name!r}. Choose one of the two."
        )
    write_bytes(path, makers[path.suffix.lower()](found))
