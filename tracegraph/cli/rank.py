"""``tracegraph rank``: suspects of a cluster, or of one flat sheet, best first."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import pandas as pd
import typer

from tracegraph.cli.defining import Words, defines_cases
from tracegraph.cli.engine import (
    EngineName,
    EngineOption,
    PublishedOption,
    RemoteOption,
    use_engine,
)
from tracegraph.cli.options import Format, FormatOption, StoreOption, audited_reason
from tracegraph.cli.output import print_csv, print_display, print_json, remark
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import DefinitionError

if TYPE_CHECKING:
    from tracegraph.report.words import Answer


class OrderName(StrEnum):
    """What suspects are sorted by."""

    evidence = "evidence"
    fisher = "fisher"


TOP = 20
RESAMPLES = 199


def add_to(cli: typer.Typer) -> None:
    """Add the command."""
    cli.command(name="rank")(rank)


@defines_cases
def rank(
    definition: CaseDefinition | None = None,
    people: Annotated[
        str | None,
        typer.Option(
            "--people", metavar="REASON", help="Show families of people too; give the reason."
        ),
    ] = None,
    order: Annotated[
        OrderName,
        typer.Option("--order", help="Sort by time-matched evidence or by Fisher's test."),
    ] = OrderName.evidence,
    allow_for: Annotated[
        Words,
        typer.Option(
            "--allow-for",
            metavar="WHAT",
            help="Difference in claim rate that accuses nothing: model, build period, dealer; "
            "may be repeated. [default: model and build period]",
        ),
    ] = None,
    resamples: Annotated[
        int,
        typer.Option("--resamples", metavar="N", help="Resamples for the chance anywhere.", min=1),
    ] = RESAMPLES,
    pairs: Annotated[
        bool,
        typer.Option(
            "--pairs/--no-pairs", help="Rank pairs of levels that say more than their halves."
        ),
    ] = True,
    control: Annotated[
        Words,
        typer.Option(
            "--control",
            metavar="WORD",
            help="Symptom that cannot share the cause; raised on the hulls of a suspect it holds "
            "that at level 1. May be repeated.",
        ),
    ] = None,
    families: Annotated[
        bool, typer.Option("--families", help="Test each family as a whole too.")
    ] = False,
    top: Annotated[
        int, typer.Option("--top", metavar="N", help="Rows to print; 0: all.", min=0)
    ] = TOP,
    table: Annotated[
        Path | None,
        typer.Option("--table", metavar="FILE", help="A flat sheet to rank instead of the store."),
    ] = None,
    unit: Annotated[
        str | None, typer.Option("--unit", metavar="COLUMN", help="Its column that names the unit.")
    ] = None,
    affected: Annotated[
        str | None,
        typer.Option("--affected", metavar="COLUMN", help="Its yes/no column with the outcome."),
    ] = None,
    yes: Annotated[
        str | None, typer.Option("--yes", metavar="VALUE", help="The value that means affected.")
    ] = None,
    stratify: Annotated[
        Words,
        typer.Option("--stratify", metavar="COLUMN", help="A column of it to hold constant."),
    ] = None,
    leave_out: Annotated[
        Words, typer.Option("--leave-out", metavar="COLUMN", help="A column that is no factor.")
    ] = None,
    engine: EngineOption = EngineName.duckdb,
    published: PublishedOption = None,
    spark_remote: RemoteOption = None,
    store: StoreOption = None,
    output: FormatOption = Format.table,
) -> None:
    """Rank what the affected hulls share.

    Example: tracegraph rank --symptom blister --built-from 2023-01-01

    Example: tracegraph rank --table supper.csv --unit person --affected ill
    """
    if table is not None:
        if definition is not None:
            raise DefinitionError(
                "--symptom and the other options that say which claims count go with a store; "
                "with --table FILE its column --affected says it."
            )
        _rank_table(table, unit, affected, yes, leave_out or [], stratify or [], top, output)
        return
    for option, value in (("--unit", unit), ("--affected", affected), ("--yes", yes)):
        if value is not None:
            raise DefinitionError(f"{option} goes with --table FILE; no table was given.")
    if definition is None:
        raise DefinitionError(
            "A symptom is needed to say which claims count: tracegraph rank --symptom WORD. "
            "The Overview page and tracegraph check list the symptoms on record."
        )
    how: dict[str, Any] = {
        "order": order.value, "people_reason": people, "resamples": resamples, "pairs": pairs
    }  # fmt: skip
    if control:
        how["controls"] = tuple(control)
    if allow_for:
        how["allow_for"] = tuple(allow_for)
    counting = (engine, published, spark_remote)
    _rank_store(store, definition, top, output, how, counting, families=families)


def _rank_store(
    store: Path | None,
    definition: CaseDefinition,
    top: int,
    output: Format,
    how: dict[str, Any],
    counting: tuple[EngineName, str | None, str | None],
    *,
    families: bool,
) -> None:
    from tracegraph.analysis.factors import assess_families
    from tracegraph.analysis.ranking import rank as rank_records
    from tracegraph.cases import kept_case_files
    from tracegraph.report.casefile.on_file import on_file
    from tracegraph.report.evidence import definitions_words, evidence_answer, evidence_table
    from tracegraph.report.families import families_as_json, families_table
    from tracegraph.report.tables import ranking_as_json, suspects_table
    from tracegraph.report.words import answer, full_sentence, ladder, left_out
    from tracegraph.store import open_store
    from tracegraph.store.tried import count_tried

    with open_store(store) as records:
        how["people_reason"] = audited_reason(records, how["people_reason"])
        use_engine(records, *counting)
        ranking = rank_records(records, definition, **how)
        tried = count_tried(records.path.parent, definition.symptoms, definition.fingerprint())
        filed = on_file(kept_case_files(records.path.parent), ranking)
        whole = None
        if families:
            whole = assess_families(records, definition, people=how["people_reason"] is not None)
    if output is Format.json:
        value = {
            **ranking_as_json(ranking, top=top or None),
            "definitions_tried": tried,
            "on_file": list(filed),
        }
        if whole is not None:
            value["whole_families"] = families_as_json(whole)
        print_json(value)
    elif output is Format.csv:
        print_csv(_first(ranking.frame, top))
    else:
        print(ranking.definition.sentence())
        print(ladder(ranking.cohort.ladder))
        print()
        safety_class = ranking.cohort.safety_class
        if ranking.verdict is not None:
            _print_answer(evidence_answer(ranking, safety_class=safety_class))
            print_display(evidence_table(ranking.frame, top=top or None))
        else:
            _print_answer(answer(ranking, safety_class=safety_class))
            print_display(suspects_table(ranking.frame, top=top or None))
        if filed:
            print("", *filed, sep="\n")
        if whole is not None:
            print("\nEach family as a whole:")
            print_display(families_table(whole, top=top or None))
        findings = () if ranking.verdict is None else ranking.verdict.findings
        remark(definitions_words(tried, findings[0].p_family if findings else float("nan")))
        remark(left_out(ranking.cohort.left_out))
        for text in (*ranking.cohort.remarks, *ranking.remarks):
            remark(full_sentence(text))


def _rank_table(
    path: Path,
    unit: str | None,
    affected: str | None,
    yes: str | None,
    leave_out: list[str],
    stratify: list[str],
    top: int,
    output: Format,
) -> None:
    from tracegraph.analysis.flat import rank_table
    from tracegraph.intake import read_sheet
    from tracegraph.report.strata import stratified_table
    from tracegraph.report.tables import sheet_ranking_as_json, suspects_table
    from tracegraph.report.words import answer

    if unit is None or affected is None:
        raise DefinitionError(
            "--table needs --unit COLUMN (what names the unit) and --affected COLUMN (yes or no)."
        )
    ranked = rank_table(
        read_sheet(path), unit, affected, yes=yes, leave_out=leave_out, stratify=stratify
    )
    if output is Format.json:
        print_json(sheet_ranking_as_json(ranked, top=top or None))
    elif output is Format.csv:
        print_csv(_first(ranked.frame, top))
    else:
        _print_answer(answer(ranked, units="units"))
        if stratify:
            print_display(stratified_table(ranked.frame, top=top or None))
        else:
            print_display(suspects_table(ranked.frame, top=top or None))


def _print_answer(found: Answer) -> None:
    print(found.headline)
    for text in found.sentences:
        print(text)
    print()
    for text in found.cautions:
        remark(text)


def _first(frame: pd.DataFrame, top: int) -> pd.DataFrame:
    return frame if top == 0 else frame.head(top)
