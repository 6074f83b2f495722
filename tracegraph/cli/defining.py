"""The options of a case definition, the same for every command that asks which claims count."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any, TypeVar

import typer

from tracegraph.cli.folding import folded
from tracegraph.cli.options import day, months
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import DefinitionError

Words = list[str] | None
_Said = TypeVar("_Said")


def defines_cases(command: Callable[..., _Said]) -> Callable[..., _Said]:
    """Give a command the options of a case definition.

    Parameters
    ----------
    command : callable
        With a parameter ``definition``, in whose place the options stand. It is handed a
        :class:`~tracegraph.domain.definition.CaseDefinition`, or None where no option was
        given and its parameter has None for a default.

    Returns
    -------
    callable
        The command as the command line sees it.
    """
    return folded(command, "definition", _definition)


def _definition(
    symptom: Annotated[
        Words,
        typer.Option(
            "--symptom", metavar="WORD", help="Symptom of the claims that count; may be repeated."
        ),
    ] = None,
    zone: Annotated[Words, typer.Option("--zone", metavar="WORD", help="Zone on the boat.")] = None,
    component: Annotated[
        Words, typer.Option("--component", metavar="WORD", help="Component concerned.")
    ] = None,
    model: Annotated[Words, typer.Option("--model", metavar="WORD", help="Model.")] = None,
    plant: Annotated[
        Words, typer.Option("--plant", metavar="WORD", help="Plant that built the hull.")
    ] = None,
    built_from: Annotated[
        str | None, typer.Option("--built-from", metavar="DAY", help="First day of building.")
    ] = None,
    built_to: Annotated[
        str | None, typer.Option("--built-to", metavar="DAY", help="Last day of building.")
    ] = None,
    service_months: Annotated[
        str | None,
        typer.Option("--service-months", metavar="A:B", help="Months in service, as 0:24."),
    ] = None,
    certainty: Annotated[
        Words, typer.Option("--certainty", metavar="WORD", help="confirmed, probable, possible.")
    ] = None,
    claim_type: Annotated[
        Words, typer.Option("--claim-type", metavar="WORD", help="in service, before delivery.")
    ] = None,
    cut_off: Annotated[
        str | None, typer.Option("--cut-off", metavar="DAY", help="Last day of the data.")
    ] = None,
    reporting_days: Annotated[
        int | None,
        typer.Option("--reporting-days", metavar="N", help="Days until a claim is known."),
    ] = None,
    landmark: Annotated[
        int | None,
        typer.Option("--landmark", metavar="N", help="Months in service of the plain table."),
    ] = None,
) -> CaseDefinition:
    if not symptom:
        raise DefinitionError(
            "A symptom is needed to say which claims count: --symptom WORD. The Overview page and "
            "tracegraph check list the symptoms on record."
        )
    lists: dict[str, Any] = {"certainty": certainty, "claim_types": claim_type}
    return CaseDefinition(
        symptoms=tuple(symptom),
        zones=tuple(zone or ()),
        components=tuple(component or ()),
        models=tuple(model or ()),
        plants=tuple(plant or ()),
        built_from=day(built_from, "--built-from"),
        built_to=day(built_to, "--built-to"),
        service_months=months(service_months, "--service-months"),
        cut_off=day(cut_off, "--cut-off"),
        reporting_days=reporting_days,
        landmark_months=landmark,
        **{name: tuple(words) for name, words in lists.items() if words},
    )
