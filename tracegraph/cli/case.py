"""``tracegraph case``: the group, and what each of its commands begins and ends with."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import pandas as pd
import typer

from tracegraph.cli.options import Format, FormatOption, StoreOption
from tracegraph.cli.output import print_csv, print_display, print_json
from tracegraph.domain.permission import OWNER

if TYPE_CHECKING:
    from tracegraph.cases import CaseStore, Entry
    from tracegraph.report.tables import DisplayTable

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
CaseArgument = Annotated[str, typer.Argument(metavar="CASE", help="Number of the case, as C-0001.")]


@dataclass(frozen=True)
class At:
    """Where a command works.

    Attributes
    ----------
    files : CaseStore
        The case files.
    case : str
        Number of the case; empty where a command concerns none or all.
    store : Path or None
        Directory of the build records.
    """

    files: CaseStore
    case: str
    store: Path | None

    @property
    def entries(self) -> list[Entry]:
        """All entries of the case."""
        return self.files.entries(self.case)


@dataclass(frozen=True)
class Said:
    """What a command prints, whatever the format.

    Attributes
    ----------
    json : dict or list of dict
        Plain values; each dict is one case, under ``case``.
    lines : tuple of str
        Words.
    table : DisplayTable or None
        Printed below them.
    frame : DataFrame or None
        For CSV; the table when left out.
    case : str
        The case concerned, where ``json`` is no list.
    removed : tuple of Entry
        Its entries, where it is no longer there.
    """

    json: dict[str, Any] | list[dict[str, Any]]
    lines: tuple[str, ...] = ()
    table: DisplayTable | None = None
    frame: pd.DataFrame | None = field(default=None, compare=False)
    case: str = ""
    removed: tuple[Entry, ...] = ()


def add_to(cli: typer.Typer) -> None:
    """Add the command group."""
    # Each adds its commands to the group.
    from tracegraph.cli import case_entries, case_evidence, case_keeping  # noqa: F401

    cli.add_typer(group)


def on_case(name: str) -> Callable[[Callable[..., Said]], Callable[..., None]]:
    """Add a command about one case: its number comes first, and its safety matter on top.

    Parameters
    ----------
    name : str
        Of the command, which is a function of :class:`At` and its own options.
    """
    return _command(name, one_case=True)


def on_cases(name: str) -> Callable[[Callable[..., Said]], Callable[..., None]]:
    """Add a command about all cases, or about one that is not there yet."""
    return _command(name, one_case=False)


def told(entry: Entry) -> Said:
    """Say what was written."""
    from tracegraph.report.casefile.tables import entries_table
    from tracegraph.report.casefile.words import entry_words

    words = (
        f"{entry.case_no}: entry {entry.seq} ({entry.kind}) by {entry.who}: {entry_words(entry)}."
    )
    frame = entries_table([entry]).frame
    return Said(entry.as_json(), (words,), frame=frame, case=entry.case_no)


def _command(name: str, *, one_case: bool) -> Callable[[Callable[..., Said]], Callable[..., None]]:
    def added(command: Callable[..., Said]) -> Callable[..., None]:
        own = [
            one.replace(kind=inspect.Parameter.KEYWORD_ONLY)
            for one in inspect.signature(command, eval_str=True).parameters.values()
            if one.name != "at"
        ]
        shared = inspect.signature(_shared, eval_str=True).parameters
        shown = [*([shared["case"]] if one_case else []), *own]
        shown += [one for one in shared.values() if one.name != "case"]
        shown = [one.replace(kind=inspect.Parameter.KEYWORD_ONLY) for one in shown]

        @wraps(command)
        def run(**given: Any) -> None:
            about = {what: given.pop(what, "") for what in ("case", "store", "cases", "output")}
            files = _opened(about["cases"], about["store"])
            said = command(at=At(files, about["case"], about["store"]), **given)
            _print(files, said, about["output"])

        run.__signature__ = inspect.Signature(shown)  # type: ignore[attr-defined]  # typer reads it
        run.__annotations__ = {one.name: one.annotation for one in shown}
        group.command(name=name)(run)
        return run

    return added


def _shared(
    case: CaseArgument,
    store: StoreOption = None,
    cases: CasesOption = None,
    output: FormatOption = Format.table,
) -> None:
    """What every command of the group takes."""


def _opened(cases: str | None, store: Path | None) -> CaseStore:
    """The case files that the options name."""
    from tracegraph.cases import CaseStore, default_cases_url
    from tracegraph.store import default_store_path

    folder = store or default_store_path()
    return CaseStore(cases or default_cases_url(folder), folder, OWNER)


def _print(files: CaseStore, said: Said, output: Format) -> None:
    """Print what was said, with every safety matter that it concerns above it."""
    from tracegraph.report.casefile.safety import safety_json, safety_lines, safety_notice

    known = set(files.numbers())
    rows = said.json if isinstance(said.json, list) else [said.json]
    numbers = [str(row.get("case", "")) for row in rows]
    concerned = {
        number: files.entries(number) for number in dict.fromkeys(numbers) if number in known
    }
    if said.removed:
        concerned[said.case] = list(said.removed)
    today = date.today()
    if output is Format.json:
        told_of = [
            {"safety": safety_json(concerned.get(number, []), today), **_without_safety(row)}
            for number, row in zip(numbers, rows, strict=True)
        ]
        print_json(told_of if isinstance(said.json, list) else told_of[0])
        return
    if output is Format.csv:
        frame = said.frame
        if frame is None:
            frame = pd.DataFrame(rows) if said.table is None else said.table.frame
        about = frame["case"] if "case" in frame else pd.Series(said.case, index=frame.index)
        notices = {number: safety_notice(entries) for number, entries in concerned.items()}
        frame = frame.drop(columns="safety", errors="ignore")
        frame.insert(0, "safety", [notices.get(str(number), "") for number in about])
        print_csv(frame)
        return
    for number, entries in concerned.items():
        for text in safety_lines(entries, today):
            print(text if len(concerned) == 1 else f"{number}: {text}")
    for text in said.lines:
        print(text)
    if said.table is not None:
        print()
        print_display(said.table)


def _without_safety(row: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in row.items() if name != "safety"}
