"""``tracegraph records``: numbers that lead nowhere, and what a person says they mean."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated, Literal

import pandas as pd
import typer

from tracegraph.cli.options import Format, FormatOption, StoreOption
from tracegraph.cli.output import print_csv, print_json, print_table, remark
from tracegraph.domain.acts import LINKS, Act
from tracegraph.domain.errors import DefinitionError, UnknownNameError
from tracegraph.domain.permission import OWNER

group = typer.Typer(
    name="records", help="Set right numbers that lead nowhere.", no_args_is_help=True
)
Link = Annotated[str, typer.Option("--link", metavar="LINK", help=", ".join(LINKS) + ".")]
Who = Annotated[str, typer.Option("--who", metavar="CODE", help="Code of the person.")]
Why = Annotated[str, typer.Option("--reason", metavar="TEXT", help="Why.")]
Written = Annotated[str, typer.Argument(help="Number as it stands in the records.")]
Meant = Annotated[str, typer.Argument(help="Number that it stands for.")]


def add_to(cli: typer.Typer) -> None:
    """Add the command group."""
    cli.add_typer(group)


@group.command(name="near")
def near(store: StoreOption = None, output: FormatOption = Format.table) -> None:
    """List numbers that lead nowhere, with what they may stand for.

    Example: tracegraph records near
    """
    from tracegraph.store import open_store

    with open_store(store) as records:
        found = records.frame("records/near_matches")
    _print(found, output)


@group.command(name="accept")
def accept(
    written: Written, meant: Meant, link: Link, who: Who, reason: Why, store: StoreOption = None
) -> None:
    """Say that a number stands for another; the record keeps what was written.

    Example: tracegraph records accept BT-1OO4 BT-1004 --link "claim to hull" --who QL-1
    --reason "photo of the plate"
    """
    _record("accept", written, meant, link, who, reason, store)


@group.command(name="undo")
def undo(
    written: Written, meant: Meant, link: Link, who: Who, reason: Why, store: StoreOption = None
) -> None:
    """Take such a meaning back; both acts stay on record.

    Example: tracegraph records undo BT-1OO4 BT-1004 --link "claim to hull" --who QL-1
    --reason "another boat"
    """
    _record("undo", written, meant, link, who, reason, store)


@group.command(name="set-aside")
def set_aside(
    folder: Annotated[Path, typer.Argument(help="Folder to write; made if it is not there.")],
    store: StoreOption = None,
) -> None:
    """Hand out the rows set aside, in the form they came in, to be mended and loaded again.

    Example: tracegraph records set-aside ./to-mend
    """
    from tracegraph.intake import export_set_aside
    from tracegraph.store import open_store

    with open_store(store) as records:
        written = export_set_aside(records, folder)
    for path in written:
        remark(f"Wrote {path}.")
    if written:
        remark(f"Mend the rows and load them again: tracegraph load {folder}.")
    else:
        remark("No row is set aside.")


@group.command(name="acts")
def acts(store: StoreOption = None, output: FormatOption = Format.table) -> None:
    """List all acts, oldest first.

    Example: tracegraph records acts
    """
    from tracegraph.store import default_store_path
    from tracegraph.store.acts import read_acts

    recorded = read_acts(store if store is not None else default_store_path())
    _print(pd.DataFrame(recorded, columns=list(Act.__dataclass_fields__)), output)


def _record(
    what: Literal["accept", "undo"],
    written: str,
    meant: str,
    link: str,
    who: str,
    reason: str,
    store: Path | None,
) -> None:
    from tracegraph.intake.acting import act_on_records
    from tracegraph.store import StoreDirectory, default_store_path

    if link not in LINKS:
        raise UnknownNameError("link", link, LINKS)
    for name, text in (("--who", who), ("--reason", reason)):
        if not text.strip():
            raise DefinitionError(f"{name} must say something; got a blank.")
    directory = StoreDirectory(store if store is not None else default_store_path())
    now = datetime.now(UTC).isoformat(timespec="seconds")
    act = Act(now, who.strip(), what, link, written, meant, reason.strip())
    version = act_on_records(directory, act, by=OWNER)
    remark(f"Recorded. The records were linked anew: data version {version}.")


def _print(frame: pd.DataFrame, output: Format) -> None:
    if output is Format.json:
        print_json(frame.to_dict("records"))
    elif output is Format.csv:
        print_csv(frame)
    elif frame.empty:
        print("None.")
    else:
        print_table(frame.astype("object"))
