"""One plant alone, joined, or asked for among several: the same answers."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from tracegraph.analysis.containment import contain
from tracegraph.analysis.ranking import Ranking, rank
from tracegraph.analysis.suspect import examine_suspect
from tracegraph.domain.definition import CaseDefinition
from tracegraph.store import open_store

POROSITY = CaseDefinition(
    symptoms=("porosity",), landmark_months=10, cut_off=date(2026, 6, 28), reporting_days=49
)
LOT = ("hull: gelcoat spray: gelcoat lot", "GN-2129")
IDENTITY = ["family", "level"]


def ranked(where: Path, definition: CaseDefinition = POROSITY) -> Ranking:
    with open_store(where) as store:
        return rank(store, definition, resamples=19)


def without_plant(frame: pd.DataFrame) -> pd.DataFrame:
    """Rows by family and level, the plant's name taken off; ties have no order of their own."""
    plain = frame.drop(columns=["rank", "level_id", "aliases"], errors="ignore")
    plain["level"] = plain["level"].str.replace("north:", "")
    return plain.sort_values(IDENTITY, ignore_index=True)


def test_a_plant_alone_ranks_as_in_its_own_store(two_plants: Path) -> None:
    own, alone = (ranked(two_plants / name) for name in ("north", "alone"))
    assert own.data_version == alone.data_version
    assert own.cohort == alone.cohort
    pd.testing.assert_frame_equal(
        without_plant(own.frame), without_plant(alone.frame), check_exact=True
    )
    # The order too, but for ties.
    assert own.frame["score"].fillna(0).tolist() == alone.frame["score"].fillna(0).tolist()
    assert own.verdict is not None
    assert own.verdict.margins == ("model", "build period")


def test_a_plant_asked_for_among_several_has_its_own_counts(two_plants: Path) -> None:
    own = ranked(two_plants / "north")
    among = ranked(two_plants / "joined", POROSITY.resolved(plants=("north",)))
    assert among.cohort.left_out.pop("hulls of other plants") == 220
    assert among.cohort.ladder.pop("built") == own.cohort.ladder.pop("built") + 220
    assert among.cohort.ladder == own.cohort.ladder
    assert (among.cohort.affected, among.cohort.at_risk) == (
        own.cohort.affected,
        own.cohort.at_risk,
    )
    columns = ["affected_exposed", "exposed", "unexposed", "unknown", "p_fisher"]
    # Bands are cut over the records of both plants; named answers are the plant's own.
    named = ["material lot", "drum", "supplier", "mold", "equipment", "component lot"]
    mine, theirs = (
        without_plant(each.frame[each.frame["kind"].isin(named)]).set_index(IDENTITY)[columns]
        for each in (own, among)
    )
    assert len(mine) > 300
    pd.testing.assert_frame_equal(mine, theirs.reindex(mine.index), check_exact=True)
    first, second = (
        each.frame.set_index(IDENTITY).loc[LOT, ["expected", "rate_ratio", "score"]]
        for each in (own, among)
    )
    assert first.tolist() == second.tolist()


def test_a_lot_that_two_plants_bought_is_one_suspect_over_both(two_plants: Path) -> None:
    found = ranked(two_plants / "joined")
    assert tuple(found.frame.loc[0, IDENTITY]) == LOT
    assert found.verdict is not None
    assert found.verdict.margins == ("model", "build period", "plant")
    parts = [
        ranked(two_plants / "joined", POROSITY.resolved(plants=(plant,))).frame
        for plant in ("north", "south")
    ]
    for column in ("affected_exposed", "exposed"):
        each = [int(part.set_index(IDENTITY).loc[LOT, column]) for part in parts]
        assert min(each) > 0
        assert found.frame.loc[0, column] == sum(each)


def test_a_suspect_is_shown_within_each_plant(two_plants: Path) -> None:
    with open_store(two_plants / "joined") as store:
        plants = examine_suspect(store, POROSITY, *LOT).plants
        held = contain(store, *LOT, definition=POROSITY)
    assert plants["plant"].tolist() == ["north", "south"]
    assert (plants["carrying"] > 0).all()
    assert (plants["observed"] > plants["expected"]).all()
    listed = held.hulls.loc[held.hulls["grade"] == "recorded", "hull_serial"]
    assert set(listed.str.split(":").str[0]) == {"north", "south"}
    with open_store(two_plants / "north") as store:
        assert examine_suspect(store, POROSITY, *LOT).plants.empty
        alone = contain(store, *LOT, definition=POROSITY).hulls
    mine = listed[listed.str.startswith("north:")].str.removeprefix("north:")
    assert set(mine) == set(alone.loc[alone["grade"] == "recorded", "hull_serial"])


@pytest.mark.parametrize("name", ["north", "joined"])
def test_no_hull_is_exposed_to_anything_of_another_plant(two_plants: Path, name: str) -> None:
    with open_store(two_plants / name) as store:
        strange = store.rows(
            "SELECT count(*) FROM exposure AS e JOIN hull_index AS h USING (hull_id) "
            "JOIN levels AS l USING (level_id) "
            "WHERE contains(l.level, ':') AND NOT contains(l.level, concat(h.plant, ':'))"
        )
        plants = store.rows("SELECT DISTINCT plant FROM hull_index ORDER BY 1")
    assert strange == [(0,)]
    assert np.ravel(plants).tolist() == (["north"] if name == "north" else ["north", "south"])
