"""``tracegraph load``: a folder of records into the store, with its ledger."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import pandas as pd
import typer
from rich.console import Console
from rich.progress import BarColumn, TaskID, TaskProgressColumn, TextColumn, TimeElapsedColumn
from rich.progress import Progress as Bar

from tracegraph.cli.options import Format, FormatOption, StoreOption
from tracegraph.cli.output import print_csv, print_json, print_table, remark, write_bytes
from tracegraph.domain.permission import OWNER

if TYPE_CHECKING:
    from tracegraph.intake import LoadReport

PROPOSAL = "intake.proposed.toml"


def add_to(cli: typer.Typer) -> None:
    """Add the command."""
    cli.command(name="load")(load)


def load(
    folder: Annotated[Path, typer.Argument(help="Folder of records.")],
    store: StoreOption = None,
    fresh: Annotated[bool, typer.Option("--fresh", help="Begin an empty store.")] = False,
    proposal: Annotated[
        bool,
        typer.Option("--propose", help="Load nothing; propose an intake.toml for unknown files."),
    ] = False,
    output: FormatOption = Format.table,
) -> None:
    """Load a folder of records into the store.

    Example: tracegraph load ./records --store ./store

    Example: tracegraph load --propose ./records
    """
    if proposal:
        _propose(folder)
        return
    report = load_with_progress(folder, store, fresh=fresh)
    print_report(report, output)


def _propose(folder: Path) -> None:
    """Print a proposal and write it beside the files under a name that no load reads."""
    from tracegraph.intake import propose

    text = propose(folder)
    print(text, end="" if text.endswith("\n") else "\n")
    write_bytes(folder / PROPOSAL, text.encode())
    questions = sum(line.startswith("# ?") for line in text.splitlines())
    remark(
        f"{questions} open questions, marked with '# ?'. Answer them, then save the file as "
        "intake.toml and load the folder."
    )


def load_with_progress(folder: Path, store: Path | None, *, fresh: bool) -> LoadReport:
    """Load a folder with a progress bar on stderr."""
    from tracegraph.intake import load_folder
    from tracegraph.store import StoreDirectory, default_store_path

    directory = StoreDirectory(store if store is not None else default_store_path())
    return load_folder(folder, directory, progress=ProgressBar(), fresh=fresh, by=OWNER)


def print_report(report: LoadReport, output: Format) -> None:
    """Print the ledger of a load."""
    columns = ["name", "seen", "loaded", "set_aside", "repeats", "furniture"]
    files = pd.DataFrame(
        [{c: getattr(f, c) for c in columns} for f in report.files], columns=columns
    )
    if output is Format.json:
        print_json(report.as_dict())
        return
    if output is Format.csv:
        print_csv(files)
        return
    shown = files.rename(columns={"name": "file", "set_aside": "set aside"})
    total = shown.drop(columns="file").sum()
    shown.loc[len(shown)] = ["all files", *total]
    numbers = frozenset(shown.columns) - {"file"}
    for column in numbers:
        shown[column] = shown[column].map("{:,}".format)
    print_table(shown, right=numbers)
    for left in report.left_out:
        if not left.litter:
            remark(f"{left.name}: {left.reason}.")
    for said in report.remarks:
        remark(f"{said.name}: {said.text}" if said.name else said.text)
    set_aside = int(files["set_aside"].sum())
    if set_aside:
        remark(f"{set_aside:,} rows were set aside; see why: tracegraph check.")
    if not report.changed:
        remark("Nothing new: the records in force stay as they are.")
    remark(f"Store {report.store}, data version {report.version}.")


class ProgressBar:
    """Progress of a load on stderr; silent where stderr is no terminal."""

    def __init__(self) -> None:
        self._bar = Bar(
            TextColumn("{task.description}"),
            BarColumn(),
            TaskProgressColumn(),
            TimeElapsedColumn(),
            console=Console(file=sys.stderr),
            transient=True,
            disable=not sys.stderr.isatty(),
        )
        self._task: TaskID | None = None

    def start(self, total: int) -> None:
        """Begin a load of that many bytes."""
        self._bar.start()
        self._task = self._bar.add_task("loading", total=total)

    def step(self, text: str, done: int) -> None:
        """Say what is being done and how many bytes lie behind."""
        if self._task is not None:
            self._bar.update(self._task, description=text[:40], completed=done)

    def end(self) -> None:
        """Take the bar away."""
        self._bar.stop()
