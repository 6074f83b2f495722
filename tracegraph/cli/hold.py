"""``tracegraph hold``: what became of each hull, the days to keep in mind, and who decided."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tracegraph.cli.contain import contained
from tracegraph.cli.defining import Words
from tracegraph.cli.folding import folded
from tracegraph.cli.options import (
    DayArgument,
    Format,
    FormatOption,
    ReasonOption,
    StoreOption,
    WhoOption,
    day,
)
from tracegraph.cli.output import print_csv, print_display, print_json, remark
from tracegraph.domain.errors import DefinitionError
from tracegraph.domain.holding import (
    DECIDED,
    DISCOVERED,
    HOLD_STATES,
    NO_NOTICE,
    NOTIFY,
    REPORTED,
    STATE,
    HoldAct,
    checked_states,
    hold_name,
)
from tracegraph.domain.permission import OWNER

if TYPE_CHECKING:
    from tracegraph.analysis.containment import Containment
    from tracegraph.store import Store

group = typer.Typer(
    name="hold", help="Keep the state of each hull of a hold.", no_args_is_help=True
)
Family = Annotated[
    Words, typer.Option("--family", metavar="FAMILY", help="Family of the suspect held.")
]
Level = Annotated[Words, typer.Option("--level", metavar="LEVEL", help="Level of the suspect.")]
Window = Annotated[
    str | None, typer.Option("--window", metavar="FROM:TO", help="Days held instead of a suspect.")
]
Work = Annotated[
    str | None, typer.Option("--work", metavar="PART:STEP", help="Work that fell into the days.")
]
People = Annotated[
    str | None, typer.Option("--people", metavar="REASON", help="Reason for a family of people.")
]
On = Annotated[
    str | None, typer.Option("--on", metavar="DAY", help="Day it came about; today if left out.")
]


@dataclass(frozen=True)
class Which:
    """The hold that a command is about, as its options name it."""

    family: Words
    level: Words
    window: str | None
    work: str | None
    people: str | None
    store: Path | None

    @contextmanager
    def contained(self) -> Iterator[tuple[Store, Containment]]:
        """Open the store, and contain what the options name."""
        from tracegraph.store import open_store

        days = {"window": self.window, "work": self.work, "people": self.people}
        with open_store(self.store) as records:
            yield records, contained(records, self.family or [], self.level or [], **days)


def _which(
    family: Family = None,
    level: Level = None,
    window: Window = None,
    work: Work = None,
    people: People = None,
    store: StoreOption = None,
) -> Which:
    return Which(family, level, window, work, people, store)


def about_a_hold(name: str) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """Add a command about one hold; the options that name it are ``which``."""

    def added(command: Callable[..., None]) -> Callable[..., None]:
        run = folded(command, "which", _which)
        group.command(name=name)(run)
        return run

    return added


def add_to(cli: typer.Typer) -> None:
    """Add the command group."""
    cli.add_typer(group)


@group.command(name="list")
def list_holds(store: StoreOption = None, output: FormatOption = Format.table) -> None:
    """List the holds that anything was written about, with their next reminder.

    Example: tracegraph hold list
    """
    from tracegraph.report.holding import holds_table
    from tracegraph.store import default_store_path
    from tracegraph.store.acts import read_hold_acts

    acts = read_hold_acts(store if store is not None else default_store_path())
    table = holds_table(acts, date.today())
    if output is Format.json:
        plain = table.frame.astype(object).where(table.frame.notna(), None)
        print_json(plain.map(_plain).to_dict("records"))
    elif output is Format.csv:
        print_csv(table.frame)
    else:
        print_display(table)


@about_a_hold("show")
def show(
    which: Which,
    output: FormatOption = Format.table,
) -> None:
    """Show where a hold stands.

    Example: tracegraph hold show --family "hull: mold" --level S22-H2
    """
    from tracegraph.analysis.holding import hold
    from tracegraph.report.containment_tables import states_table
    from tracegraph.report.holding import (
        hold_acts_table,
        hold_json,
        hold_sentences,
        progress_table,
    )
    from tracegraph.store.acts import read_hold_acts

    with which.contained() as (records, found):
        held = hold(found, read_hold_acts(records.path.parent))
    today = date.today()
    if output is Format.json:
        print_json(hold_json(held, today))
    elif output is Format.csv:
        print_csv(held.found.hulls[["hull_serial", "hin", "model", "grade", "place", "state"]])
    else:
        for text in hold_sentences(held, today):
            print(text)
        print()
        print_display(states_table(held.found))
        print()
        if len(held.standing.states):
            print_display(progress_table(held))
            print()
        print_display(hold_acts_table(held))


@about_a_hold("mark")
def mark(
    which: Which,
    who: WhoOption,
    reason: ReasonOption,
    state: Annotated[
        str, typer.Option("--state", metavar="STATE", help=", ".join(HOLD_STATES) + ".")
    ],
    hulls: Annotated[
        list[str] | None, typer.Argument(metavar="[HULL]...", help="Hulls, as typed.")
    ] = None,
    place: Annotated[
        str | None,
        typer.Option("--place", metavar="PLACE", help="All listed hulls there, instead of names."),
    ] = None,
    on: On = None,
) -> None:
    """Write down the state of hulls; what was written before stays on record.

    Example: tracegraph hold mark BT-1004 BT-1009 --state notified --who QL-1
    --reason "letter of 9 March" --family "hull: mold" --level S22-H2
    """
    checked_states({(hulls or [place or "named"])[0]: state})
    with which.contained() as (records, found):
        serials = _named(records, found, hulls or [], place)
        _write(records, found, STATE, who, reason, on, value=state, hulls=serials)
    remark(f"Recorded: {len(serials)} {'hull' if len(serials) == 1 else 'hulls'} {state}.")


@about_a_hold("discovered")
def discovered(
    found_on: DayArgument,
    who: WhoOption,
    reason: ReasonOption,
    which: Which,
) -> None:
    """Write down the day of discovery; reminders of 30, 60 and 90 days run from it.

    Example: tracegraph hold discovered 2026-04-10 --who QL-1 --reason "second hose leak"
    --family "hull: fuel hose: lot" --level FH-00342
    """
    _dated(which, DISCOVERED, found_on, who, reason)


@about_a_hold("reported")
def reported(
    reported_on: DayArgument,
    who: WhoOption,
    reason: ReasonOption,
    which: Which,
) -> None:
    """Write down the day of the first report.

    Example: tracegraph hold reported 2026-04-20 --who QM-1 --reason "report sent"
    --family "hull: fuel hose: lot" --level FH-00342
    """
    _dated(which, REPORTED, reported_on, who, reason)


@about_a_hold("decide")
def decide(
    which: Which,
    who: WhoOption,
    reason: ReasonOption,
    notify: Annotated[
        bool,
        typer.Option(
            "--notify/--no-notice", help="Whether notice is to be given.", show_default=False
        ),
    ],
    on: On = None,
) -> None:
    """Write down what a person decided about the risk; the records never decide it.

    Example: tracegraph hold decide --notify --who QM-1 --reason "fuel vapour below deck"
    --family "hull: fuel hose: lot" --level FH-00342
    """  # fmt: skip
    with which.contained() as (records, found):
        _write(records, found, DECIDED, who, reason, on, value=NOTIFY if notify else NO_NOTICE)
    remark("Recorded.")


def _dated(which: Which, act: str, on: str, who: str, reason: str) -> None:
    with which.contained() as (records, found):
        _write(records, found, act, who, reason, on)
    remark("Recorded.")


def _named(records: Store, found: Containment, typed: list[str], place: str | None) -> list[str]:
    from tracegraph.analysis.comparison import hull_numbers

    if bool(typed) == bool(place):
        raise DefinitionError("Name hulls, or a --place for all listed there, and not both.")
    listed = found.hulls
    if place is not None:
        serials = [str(one) for one in listed.loc[listed["place"] == place, "hull_serial"]]
        if not serials:
            raise DefinitionError(f"No hull on this list is at the place {place!r}.")
        return serials
    with records.session() as session:
        serials = list(hull_numbers(session, typed).values())
    outside = sorted(set(serials) - set(listed["hull_serial"]))
    if outside:
        raise DefinitionError(
            f"Hull {outside[0]} is not on this list: it neither carries the suspect nor may. "
            "Mend the number, or name another hold."
        )
    return serials


def _write(
    records: Store,
    found: Containment,
    act: str,
    who: str,
    reason: str,
    on: str | None,
    *,
    value: str = "",
    hulls: list[str] | None = None,
) -> None:
    from tracegraph.store.acts import append_hold_acts

    now = datetime.now(UTC).isoformat(timespec="seconds")
    came = (day(on, "DAY") or date.today()).isoformat()
    acts = [
        HoldAct(now, who.strip(), hold_name(found.members), act, value, hull, came, reason.strip())
        for hull in hulls or [""]
    ]
    append_hold_acts(records.path.parent, acts, by=OWNER)


def _plain(value: object) -> object:
    return value.isoformat() if isinstance(value, date) else value
