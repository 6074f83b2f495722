from __future__ import annotations

from collections.abc import Iterator
from datetime import date

import pytest

from tests.analysis.containing.fleets import fleet
from tests.exposure.test_exposure import deck_plant, derived
from tracegraph.analysis.containment import contain_window
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import DefinitionError, UnknownNameError
from tracegraph.store import Store
from tracegraph.store.reader import as_store

SPRAY = ("deck", "gelcoat spray")


@pytest.fixture(scope="module")
def store() -> Iterator[Store]:
    """Decks sprayed on 1 to 8 January at 07:00 UTC; the sheet of H4 is lost."""
    tables = deck_plant(8, ["A"] * 8)
    tables["operations"] = [row for row in tables["operations"] if row["operation_id"] != "G-H4"]
    for n in range(1, 9):
        tables["operations"].append(
            {"operation_id": f"L-H{n}", "step": "laminate", "part_serial": f"P-H{n}",
             "started_at": f"2025-01-{n + 1:02d} 03:00"}
        )  # fmt: skip
    tables["hulls"] = [row | {"completed_on": "2025-02-01"} for row in tables["hulls"]]
    tables["hulls"] += [{"hull_serial": f"X{n}", "model": "S26"} for n in range(2)]
    with as_store(derived(**tables)) as opened:
        yield opened


def test_work_within_the_days_is_recorded_and_lost_work_is_placed(store: Store) -> None:
    found = contain_window(store, date(2025, 1, 3), date(2025, 1, 5), work=SPRAY)
    grades = dict(zip(found.hulls["hull_serial"], found.hulls["grade"], strict=True))
    assert grades == {"H3": "recorded", "H4": "probable", "H5": "recorded"}
    assert (found.family, found.level) == ("deck: gelcoat spray", "2025-01-03 to 2025-01-05")
    assert found.kind == "window"
    # The other model has no deck that is sprayed.
    assert found.counts["total"].to_dict() == {
        "recorded": 2, "probable": 1, "possible": 0, "remote": 0, "cleared": 5,
        "not applicable": 2,
    }  # fmt: skip


def test_days_are_those_of_the_sites_own_clock() -> None:
    tables = deck_plant(3, ["A"] * 3)
    build = derived(**tables)
    build.execute("INSERT INTO meta VALUES ('time_zone', 'Pacific/Honolulu')")
    with as_store(build) as store:
        # 07:00 UTC is 21:00 of the day before on Hawaii.
        found = contain_window(store, date(2025, 1, 1), date(2025, 1, 1), work=SPRAY)
    assert found.hulls["hull_serial"].tolist() == ["H2"]


def test_without_a_step_the_day_of_building_counts(store: Store) -> None:
    found = contain_window(store, date(2025, 2, 1), date(2025, 2, 1))
    assert found.family == "built"
    assert found.counts["total"]["recorded"] == 8
    # No day of building is known of the other two.
    assert found.counts["total"]["possible"] == 2
    assert found.hulls["reason"].notna().sum() == 2


def test_neighbouring_days_are_walked_until_shown_clean() -> None:
    claims = dict.fromkeys(range(100, 120), 4) | dict.fromkeys(range(0, 90, 12), 5)
    with fleet(["A"] * 220, claims) as store:
        found = contain_window(
            store, date(2023, 8, 20), date(2023, 8, 29),
            definition=CaseDefinition(symptoms=("blister",), reporting_days=0),
        )  # fmt: skip
    assert found.bracket is not None
    assert found.bracket.unit == "days"
    rows = found.bracket.rows
    assert rows.loc[rows["side"] == "suspect", "name"].tolist() == ["2023-08-20 to 2023-08-29"]
    # Nothing was claimed of what was built after it.
    assert found.bracket.closed_after
    after = rows[rows["side"] == "after"]
    assert after["observed"].tolist() == [0]
    assert after["expected"].iloc[0] >= 3


def test_a_window_backwards_or_an_unknown_step_is_refused(store: Store) -> None:
    with pytest.raises(DefinitionError, match="Exchange them"):
        contain_window(store, date(2025, 2, 1), date(2025, 1, 1))
    with pytest.raises(UnknownNameError, match="gelcoat spray"):
        contain_window(store, date(2025, 1, 1), date(2025, 2, 1), work=("deck", "gelcoat spry"))
