"""``tracegraph case``: what the records say goes into the case as it stands today."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated, Any

import typer

from tracegraph.cli.case import Case, CasesOption, Who, group, opened, told
from tracegraph.cli.options import Format, FormatOption, StoreOption, audited_reason, day
from tracegraph.cli.output import print_csv, print_json, write_bytes
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import CaseFileError

SUSPECTS = 20
Family = Annotated[str, typer.Option("--family", metavar="FAMILY", help="Family of the suspect.")]
Level = Annotated[str, typer.Option("--level", metavar="LEVEL", help="Level of the suspect.")]


@group.command(name="open")
def open_case(
    title: Annotated[str, typer.Argument(metavar="TITLE", help="What it is about.")],
    who: Who,
    symptom: Annotated[
        list[str], typer.Option("--symptom", metavar="WORD", help="Symptom; may be repeated.")
    ],
    model: Annotated[
        list[str] | None, typer.Option("--model", metavar="WORD", help="Model.")
    ] = None,
    built_from: Annotated[
        str | None, typer.Option("--built-from", metavar="DAY", help="First day of building.")
    ] = None,
    built_to: Annotated[
        str | None, typer.Option("--built-to", metavar="DAY", help="Last day of building.")
    ] = None,
    people: Annotated[
        str | None,
        typer.Option("--people", metavar="REASON", help="Switch families of people on; why."),
    ] = None,
    store: StoreOption = None,
    cases: CasesOption = None,
    output: FormatOption = Format.table,
) -> None:
    """Open a case: its definition is frozen with the version of the records.

    Example: tracegraph case open "Blisters on decks" --symptom blister --who QL-1
    """
    from tracegraph.analysis.cluster import cluster_cases
    from tracegraph.report.casefile import cluster_as_json
    from tracegraph.store import open_store

    definition = CaseDefinition(
        symptoms=tuple(symptom),
        models=tuple(model or ()),
        built_from=day(built_from, "--built-from"),
        built_to=day(built_to, "--built-to"),
    )
    with open_store(store) as records:
        found = cluster_cases(records, definition)
        why = audited_reason(records, people)
    content = {**cluster_as_json(found), "title": title, "people_reason": why}
    told(opened(cases, store).open_case(who, content), output)


@group.command(name="rank")
def rank(
    case: Case,
    who: Who,
    store: StoreOption = None,
    cases: CasesOption = None,
    output: FormatOption = Format.table,
) -> None:
    """Rank the suspects of a case and keep the numbers as they stand.

    Example: tracegraph case rank C-0001 --who QL-1
    """
    from tracegraph.analysis.ranking import rank as rank_records
    from tracegraph.report.tables import ranking_as_json
    from tracegraph.store import open_store

    files = opened(cases, store)
    definition, people = _asked(files.entries(case))
    with open_store(store) as records:
        found = rank_records(records, definition, people_reason=audited_reason(records, people))
    content = ranking_as_json(found, top=SUSPECTS)
    told(files.append(case, who, "ranked", content), output)


@group.command(name="contain")
def contain(
    case: Case,
    who: Who,
    family: Family,
    level: Level,
    store: StoreOption = None,
    cases: CasesOption = None,
    output: FormatOption = Format.table,
) -> None:
    """List the hulls that carry a suspect and keep the list with the state of each.

    Example: tracegraph case contain C-0001 --family "hull: mold" --level S22-H2 --who QL-1
    """
    from tracegraph.analysis.containment import contain as contain_records
    from tracegraph.analysis.holding import hold
    from tracegraph.report.genealogy_json import contain_json
    from tracegraph.store import open_store
    from tracegraph.store.acts import read_hold_acts

    files = opened(cases, store)
    definition, people = _asked(files.entries(case))
    with open_store(store) as records:
        found = contain_records(
            records,
            family,
            level,
            definition=definition,
            people_reason=audited_reason(records, people),
        )
        found = hold(found, read_hold_acts(records.path.parent)).found
    whole = contain_json(found)
    kept = ("family", "level", "kind", "as_of", "counts", "states", "data_version")
    content: dict[str, Any] = {name: whole[name] for name in kept}
    columns = ("hull_serial", "grade", "place", "state", "affected")
    content["hulls"] = [{name: row.get(name) for name in columns} for row in whole["hulls"]]
    told(files.append(case, who, "contained", content), output)


@group.command(name="effect")
def effect(
    case: Case,
    who: Who,
    family: Family,
    level: Level,
    action: Annotated[
        int | None, typer.Option("--action", metavar="N", help="Action; the latest when left out.")
    ] = None,
    looks: Annotated[
        int, typer.Option("--looks", metavar="N", help="Looks planned in advance.", min=1)
    ] = 1,
    store: StoreOption = None,
    cases: CasesOption = None,
    output: FormatOption = Format.table,
) -> None:
    """Hold the claims after an action against those before, at the same months in service.

    Example: tracegraph case effect C-0001 --family "hull: mold" --level S22-H2 --who QL-1
    """
    from tracegraph.analysis.effect import check_effect
    from tracegraph.cases.steps import of_kind, standing
    from tracegraph.report.effect import effect_as_json, effect_sentences
    from tracegraph.store import open_store

    files = opened(cases, store)
    entries = files.entries(case)
    done = [
        entry.content
        for entry in of_kind(standing(entries), "done")
        if action is None or entry.content["action"] == action
    ]
    if not done:
        raise CaseFileError(
            "No action has taken effect yet. Write it down first: tracegraph case done."
        )
    definition, people = _asked(entries)
    first = done[-1]["first_built"]
    with open_store(store) as records:
        found = check_effect(
            records, definition, family, level, date.fromisoformat(done[-1]["on"]),
            first_built=date.fromisoformat(first) if first else None,
            looks=looks, people_reason=audited_reason(records, people),
        )  # fmt: skip
    content = effect_as_json(found)
    entry = files.append(case, who, "effect", content)
    if output is Format.json:
        print_json({**content, "entry": entry.seq})
    elif output is Format.csv:
        import pandas as pd

        print_csv(pd.DataFrame([content]).drop(columns="definition"))
    else:
        for text in effect_sentences(found):
            print(text)


@group.command(name="rerun")
def rerun(
    case: Case,
    who: Who,
    store: StoreOption = None,
    cases: CasesOption = None,
    output: FormatOption = Format.table,
) -> None:
    """Ask the question of a case of today's records: numbers then and now.

    Example: tracegraph case rerun C-0001 --who QL-1
    """
    from tracegraph.analysis.cluster import cluster_cases
    from tracegraph.report.casefile import changes_since, cluster_as_json
    from tracegraph.store import open_store

    files = opened(cases, store)
    entries = files.entries(case)
    with open_store(store) as records:
        now = cluster_as_json(cluster_cases(records, _asked(entries)[0]))
    content = changes_since(entries[0].content, now)
    entry = files.append(case, who, "reran", content)
    if output is Format.json:
        print_json({**content, "entry": entry.seq})
    else:
        told(entry, output)


@group.command(name="report")
def report(
    case: Case,
    out: Annotated[Path, typer.Argument(metavar="FILE", help="A .html or .pdf file to write.")],
    summary: Annotated[
        bool, typer.Option("--summary", help="One page for the manager instead.")
    ] = False,
    eight: Annotated[
        bool, typer.Option("--8d", help="The same content in the order of eight disciplines.")
    ] = False,
    store: StoreOption = None,
    cases: CasesOption = None,
) -> None:
    """Write the report of a case.

    Example: tracegraph case report C-0001 C-0001.pdf
    """
    from tracegraph.report.casefile_pages import case_html, case_pdf

    makers = {".html": case_html, ".pdf": case_pdf}
    if out.suffix.lower() not in makers:
        raise CaseFileError(f"A report is written as .html or .pdf; got {out.name!r}. Choose one.")
    if summary and eight:
        raise CaseFileError("--summary and --8d are two forms of a report; choose one.")
    form = "summary" if summary else "8d" if eight else "steps"
    entries = opened(cases, store).entries(case)
    write_bytes(out, makers[out.suffix.lower()](entries, date.today(), form=form))


def _asked(entries: list[Any]) -> tuple[CaseDefinition, str | None]:
    """The definition of a case, and why people are switched on.

    What the records settled at opening (cut-off, allowance, landmark) is settled anew.
    """
    from tracegraph.cases.steps import people_reason, standing

    values = dict(entries[0].content["definition"])
    for name in ("built_from", "built_to", "cut_off"):
        values[name] = date.fromisoformat(values[name]) if values[name] else None
    values = {name: tuple(v) if isinstance(v, list) else v for name, v in values.items()}
    values |= {"landmark_months": None, "reporting_days": None, "cut_off": None}
    return CaseDefinition(**values), people_reason(standing(entries))
