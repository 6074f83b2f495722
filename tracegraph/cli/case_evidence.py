"""``tracegraph case``: what the records say goes into the case as it stands today."""

from __future__ import annotations

from typing import Annotated

import typer

from tracegraph.cli.case import At, Said, on_case, on_cases, told
from tracegraph.cli.defining import defines_cases
from tracegraph.cli.options import WhoOption
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import DefinitionError

Family = Annotated[str, typer.Option("--family", metavar="FAMILY", help="Family of the suspect.")]
Level = Annotated[str, typer.Option("--level", metavar="LEVEL", help="Level of the suspect.")]


@on_cases("open")
@defines_cases
def open_case(
    at: At,
    title: Annotated[str, typer.Argument(metavar="TITLE", help="What it is about.")],
    who: WhoOption,
    definition: CaseDefinition,
    people: Annotated[
        str | None,
        typer.Option("--people", metavar="REASON", help="Switch families of people on; why."),
    ] = None,
) -> Said:
    """Open a case: its definition is frozen with the version of the records.

    Example: tracegraph case open "Blisters on decks" --symptom blister --who QL-1
    """
    from tracegraph.report.casefile import written
    from tracegraph.store import open_store

    with open_store(at.store) as records:
        return told(
            written.open_case(at.files, records, who, title, definition, people_reason=people)
        )


@on_case("rank")
def rank(at: At, who: WhoOption) -> Said:
    """Rank the suspects of a case and keep the numbers as they stand.

    Example: tracegraph case rank C-0001 --who QL-1
    """
    from tracegraph.report.casefile import written
    from tracegraph.store import open_store

    with open_store(at.store) as records:
        return told(written.rank_case(at.files, records, who, at.case))


@on_case("contain")
def contain(at: At, who: WhoOption, family: Family, level: Level) -> Said:
    """List the hulls that carry a suspect and keep the list with the state of each.

    Example: tracegraph case contain C-0001 --family "hull: mold" --level S22-H2 --who QL-1
    """
    from tracegraph.report.casefile import written
    from tracegraph.store import open_store

    with open_store(at.store) as records:
        return told(written.contain_case(at.files, records, who, at.case, family, level))


@on_case("cost")
def cost(
    at: At,
    who: WhoOption,
    rate: Annotated[
        list[str] | None,
        typer.Option(
            "--rate",
            metavar="PLACE=COST",
            help="Cost of dealing with one hull in the plant, transit, dealer or owner place; may "
            "be repeated. [default: those given last]",
        ),
    ] = None,
    until_month: Annotated[
        int | None,
        typer.Option(
            "--until-month",
            metavar="N",
            help="Month in service up to which claims are foreseen.",
            min=1,
        ),
    ] = None,
) -> Said:
    """Write down what the claims cost so far and to come, and what containment costs by place.

    Example: tracegraph case cost C-0001 --rate plant=40 --rate dealer=300 --rate owner=650
    --rate transit=90 --who QM-1
    """  # fmt: skip
    from tracegraph.report.casefile import written
    from tracegraph.report.casefile.costs import cost_sentences, cost_table
    from tracegraph.store import open_store

    rates = dict(_rate(text) for text in rate or [])
    with open_store(at.store) as records:
        entry = written.cost_case(at.files, records, who, at.case, rates, until_month=until_month)
    content = entry.content
    found = {"case": at.case, **content, "entry": entry.seq}
    lines = tuple(cost_sentences(content))
    return Said(found, lines, table=cost_table(content), case=at.case)


@on_case("effect")
def effect(
    at: At,
    who: WhoOption,
    family: Family,
    level: Level,
    action: Annotated[
        int | None, typer.Option("--action", metavar="N", help="Action; the latest when left out.")
    ] = None,
    looks: Annotated[
        int, typer.Option("--looks", metavar="N", help="Looks planned in advance.", min=1)
    ] = 1,
) -> Said:
    """Hold the claims after an action against those before, at the same months in service.

    Example: tracegraph case effect C-0001 --family "hull: mold" --level S22-H2 --who QL-1
    """
    import pandas as pd

    from tracegraph.report.casefile import written
    from tracegraph.report.casefile.effect import effect_sentences
    from tracegraph.store import open_store

    with open_store(at.store) as records:
        entry = written.check_case_effect(
            at.files, records, who, at.case, family, level, action=action, looks=looks
        )
    content = entry.content
    frame = pd.DataFrame([content]).drop(columns="definition")
    found = {"case": at.case, **content, "entry": entry.seq}
    return Said(found, tuple(effect_sentences(content)), frame=frame, case=at.case)


@on_case("rerun")
def rerun(at: At, who: WhoOption) -> Said:
    """Ask the question of a case of today's records: numbers then and now, side by side.

    Example: tracegraph case rerun C-0001 --who QL-1
    """
    from tracegraph.report.casefile import written
    from tracegraph.report.casefile.tables import suspects_then_now
    from tracegraph.report.casefile.words import changes_sentences
    from tracegraph.store import open_store

    with open_store(at.store) as records:
        entry = written.rerun_case(at.files, records, who, at.case)
    content = entry.content
    table = suspects_then_now(content["suspects"])
    found = {"case": at.case, **content, "entry": entry.seq}
    return Said(found, tuple(changes_sentences(content)), table=table, case=at.case)


def _rate(text: str) -> tuple[str, float]:
    place, equals, cost = text.partition("=")
    try:
        if not equals:
            raise ValueError(text)
        return place.strip(), float(cost)
    except ValueError:
        raise DefinitionError(
            f"--rate is a place and a cost per hull as dealer=300; got {text!r}."
        ) from None
