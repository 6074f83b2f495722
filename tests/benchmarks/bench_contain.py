"""Measure containment where the truth is known: recall, precision, and whether chances come true.

Run: python -m tests.benchmarks.bench_contain [--seeds 8 --yard-hulls 1200]
Two plants are asked: the one of tests/support/stock_plant.py, and the sample yard's generator,
whose recorded lots are taken for the truth before some are blanked.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path

import numpy as np
import pandas as pd

from tests.analysis.containing.fleets import END, FAMILY, fleet
from tests.support.stock_plant import FAMILY as STOCK_FAMILY
from tests.support.stock_plant import Habits, stock_plant
from tracegraph.analysis.containing.grading import TO_ACT_ON, grade
from tracegraph.analysis.containment import contain
from tracegraph.analysis.naming import find_suspect
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.records import TABLES
from tracegraph.exposure import build_exposure
from tracegraph.intake import load_folder
from tracegraph.linkage import link_records
from tracegraph.store import Store, StoreDirectory, in_memory_build, open_store
from tracegraph.store.reader import as_store
from tracegraph.synthetic import make_builds

BINS = (0.01, 0.05, 0.2, 0.4, 0.6, 0.8, 0.95, 1.01)
YARD_FAMILIES = (
    "hull: gelcoat spray: gelcoat lot",
    "deck: gelcoat spray: gelcoat lot",
    "hull: skin coat: skin resin lot",
    "deck: laminate: core lot",
    "hull: laminate: laminating resin lot",
    "hull: gelcoat spray: gelcoat drum",
    "hull: fuel hose: lot",
)


@dataclass
class Tally:
    """What was listed, what was true, and what was foretold."""

    true: int = 0
    found: int = 0
    hidden: int = 0
    hidden_found: int = 0
    listed: int = 0
    wrongly_cleared: int = 0
    chance: list[float] = field(default_factory=list)
    came: list[bool] = field(default_factory=list)
    seconds: list[float] = field(default_factory=list)

    def add(self, frame: pd.DataFrame, true: pd.Series) -> None:
        held = frame["grade"].isin(TO_ACT_ON)
        self.true += int(true.sum())
        self.found += int((true & held).sum())
        hidden = true & frame["grade"].ne("recorded")
        self.hidden += int(hidden.sum())
        self.hidden_found += int((hidden & held).sum())
        self.listed += int(held.sum())
        self.wrongly_cleared += int((true & frame["grade"].eq("cleared")).sum())
        doubt = frame["grade"].isin(["probable", "possible"]) & frame["probability"].notna()
        self.chance += frame.loc[doubt, "probability"].tolist()
        self.came += true[doubt].tolist()

    def join(self, other: Tally) -> None:
        for name, value in vars(other).items():
            setattr(self, name, getattr(self, name) + value)

    def print(self, name: str) -> None:
        recall, precision = self.found / self.true, self.found / self.listed
        hidden = self.hidden_found / self.hidden if self.hidden else 1.0
        print(
            f"{name:<36} recall {recall:7.2%}  of unrecorded {hidden:7.2%}  precision "
            f"{precision:6.1%}  wrongly cleared {self.wrongly_cleared}  "
            f"{np.mean(self.seconds):.2f} s a lot, {len(self.seconds)} lots"
        )
        chance, came = np.array(self.chance), np.array(self.came)
        cells = []
        for low, high in pairwise(BINS):
            inside = (chance >= low) & (chance < high)
            if inside.sum() >= 20:
                cells.append(
                    f"{chance[inside].mean():.2f}→{came[inside].mean():.2f} ({inside.sum()})"
                )
        if cells:
            print(f"{'  foretold→came (hulls)':<36} {'  '.join(cells)}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=8)
    parser.add_argument("--hulls", type=int, default=600)
    parser.add_argument("--yard-hulls", type=int, default=1200)
    parser.add_argument("--worlds", type=int, default=100)
    given = parser.parse_args()
    every = Tally()
    print("A plant with mixed drums, old drums and lost sheets")
    for name, habits in (
        ("nothing lost", Habits(missing=0.0)),
        ("15 % lost", Habits(missing=0.15)),
        ("40 % lost", Habits(missing=0.40)),
        ("15 % lost in blocks", Habits(missing=0.15, in_blocks=True)),
        ("40 % lost, all of it whole sheets", Habits(missing=0.40, lost_sheets=1.0)),
        ("15 % lost, days without hours", Habits(missing=0.15, dates_only=True)),
        ("15 % lost, strict order", Habits(missing=0.15, mixing=0, second_drum=0, old_drum=0)),
    ):
        tally = stock(given.seeds, given.hulls, habits)
        tally.print(name)
        every.join(tally)
    print("\nThe yard of the generator")
    for name, tally in yard(given.yard_hulls):
        tally.print(name)
        every.join(tally)
    print()
    every.print("all of it together")
    print("\nFurther claims foreseen")
    coverage(given.worlds)


def stock(seeds: int, hulls: int, habits: Habits) -> Tally:
    tally = Tally()
    for seed in range(seeds):
        plant = stock_plant(seed, hulls, habits)
        with plant.store() as store:
            for part in ("hull", "deck"):
                truth = plant.truth[plant.truth["part"] == part]
                told = truth.loc[truth["recorded"], "lot_no"]
                carried = truth.groupby("lot_no")["hull_serial"].agg(set).to_dict()
                ask(store, STOCK_FAMILY.format(part=part), sorted(set(told)), carried, tally)
    return tally


def ask(
    store: Store,
    family: str,
    levels: list[str],
    carried: dict[str, set[str]],
    tally: Tally,
    untold: frozenset[str] = frozenset(),
) -> None:
    with store.session() as session:
        hulls = session.frame_of("SELECT hull_id, hull_serial FROM hull_index ORDER BY hull_id")
        serial = hulls.set_index("hull_id")["hull_serial"]
        for level in levels:
            suspect = find_suspect(session, family, level)
            begin = time.perf_counter()
            frame = grade(session, suspect, serial.index).hulls
            tally.seconds.append(time.perf_counter() - begin)
            judged = ~serial.isin(untold)
            tally.add(frame[judged], serial[judged].isin(carried[level]))


def yard(hulls: int) -> Iterator[tuple[str, Tally]]:
    with tempfile.TemporaryDirectory() as scratch:
        folder, place = Path(scratch) / "builds", Path(scratch) / "store"
        make_builds(folder, hulls=hulls, seed=5, scenario="one-lot")
        load_folder(folder, StoreDirectory(place))
        with open_store(place) as whole:
            records = {table.name: whole_table(whole, table.name) for table in TABLES}
            truth = {family: answers(whole, family) for family in YARD_FAMILIES}
            untold = {family: incomplete(whole, family) for family in YARD_FAMILIES}
    for missing in (0.15, 0.40):
        with blanked(records, missing) as store:
            for family in YARD_FAMILIES:
                tally = Tally()
                told = answers(store, family)
                levels = [level for level in told if len(truth[family][level]) >= 5]
                some = levels[:: max(1, len(levels) // 40)]
                ask(store, family, some, truth[family], tally, untold[family])
                yield f"{missing:.0%}: {family}", tally


def whole_table(store: Store, name: str) -> pd.DataFrame:
    with store.session() as session:
        return session.frame_of(f"SELECT * FROM {name}")


def incomplete(store: Store, family: str) -> frozenset[str]:
    """Hulls of which the yard itself lost a record: their truth is not known here."""
    rows = store.rows(
        "SELECT DISTINCT h.hull_serial FROM exposure AS e JOIN families AS f USING (family_id) "
        "JOIN hull_index AS h USING (hull_id) WHERE f.family = $family AND NOT e.complete",
        {"family": family},
    )
    return frozenset(str(serial) for (serial,) in rows)


def answers(store: Store, family: str) -> dict[str, set[str]]:
    rows = store.rows(
        "SELECT l.level, h.hull_serial FROM exposure AS e JOIN levels AS l USING (level_id) "
        "JOIN families AS f ON f.family_id = e.family_id JOIN hull_index AS h USING (hull_id) "
        "WHERE f.family = $family ORDER BY ALL",
        {"family": family},
    )
    found: dict[str, set[str]] = {}
    for level, serial in rows:
        found.setdefault(str(level), set()).add(str(serial))
    return found


def blanked(records: dict[str, pd.DataFrame], missing: float) -> Store:
    """The yard's records with some lots of every material and component blanked."""
    rng = np.random.default_rng(3)
    build = in_memory_build()
    for name, frame in records.items():
        given = frame
        if name in {"usages", "components"}:
            lost = rng.random(len(frame)) < missing
            given = frame.assign(lot_no=frame["lot_no"].mask(lost))
        build.register("given_rows", given)
        build.execute(f"INSERT INTO {name} BY NAME SELECT * FROM given_rows")
        build.unregister("given_rows")
    link_records(build)
    build_exposure(build)
    return as_store(build)


def coverage(worlds: int) -> None:
    """How often the claims that come lie within the interval foreseen for them."""
    inside = below = above = 0
    rng = np.random.default_rng(17)
    for _ in range(worlds):
        ratio, rate = float(rng.choice([2.0, 5.0, 12.0])), float(rng.choice([0.003, 0.006]))
        carriers, others, months = 60, 540, 24
        followed = rng.integers(4, months + 1, carriers + others)
        wait = rng.geometric(np.where(np.arange(600) < carriers, ratio, 1.0) * rate)
        claims = {n: int(wait[n]) for n in range(600) if wait[n] <= followed[n]}
        levels = ["A"] * carriers + ["B"] * others
        order = rng.permutation(600)
        place = {int(old): new for new, old in enumerate(order)}
        with fleet(
            [levels[n] for n in order],
            {place[n]: month for n, month in claims.items()},
            followed=[int(followed[n]) for n in order],
        ) as store:
            found = contain(
                store, FAMILY, "A",
                definition=CaseDefinition(symptoms=("blister",), reporting_days=0),
            ).forecast  # fmt: skip
        if found is None:
            continue
        came = sum(followed[n] < wait[n] <= found.until_month for n in range(carriers))
        low, high = found.claims.loc["total", ["low", "high"]]
        inside += low <= came <= high
        below += came < low
        above += came > high
    total = inside + below + above
    print(
        f"{total} fleets up to {END:%Y-%m-%d}: 80 % interval held {inside / total:.0%} "
        f"(below {below / total:.0%}, above {above / total:.0%})"
    )


if __name__ == "__main__":
    main()
