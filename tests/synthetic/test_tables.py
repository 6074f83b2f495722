from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from tests.synthetic.conftest import Yard
from tracegraph.domain.records import MOLD_EVENTS, PLACES, TABLE_BY_NAME
from tracegraph.synthetic import tables
from tracegraph.synthetic.yard import GELCOAT_SPRAY, LOGGED_STATIONS, PARTS


@pytest.fixture(scope="module")
def made(yard: Yard) -> dict[str, pd.DataFrame]:
    numbers = tables.number_operations(yard.built)
    return {
        "hulls": tables.hulls_table(yard.built),
        "parts": tables.parts_table(yard.built),
        "operations": tables.operations_table(yard.built, numbers),
        "usages": tables.usages_table(yard.built, numbers),
        "readings": tables.readings_table(yard.built, numbers),
        "lots": tables.lots_table(yard.built),
        "blends": tables.blends_table(yard.built),
        "mold_events": tables.mold_events_table(yard.built),
        "components": tables.components_table(yard.built),
        "ambient": tables.ambient_table(yard.built),
    }


def test_identities_are_unique(made: dict[str, pd.DataFrame]) -> None:
    for name, table in made.items():
        identity = list(TABLE_BY_NAME[name].identity)
        if identity:
            assert not table.duplicated(identity).any(), name


def test_every_part_has_a_job_and_every_job_four_parts(made: dict[str, pd.DataFrame]) -> None:
    parts = made["parts"]
    assert set(parts["job_no"]) == set(made["hulls"]["job_no"])
    assert (parts.groupby("job_no")["part"].agg(set) == set(PARTS)).all()


def test_operation_numbers_rise_with_the_start(made: dict[str, pd.DataFrame]) -> None:
    operations = made["operations"]
    assert operations["operation_id"].is_monotonic_increasing
    assert operations["started_at"].is_monotonic_increasing
    assert GELCOAT_SPRAY not in set(operations["step"])


def test_usages_and_readings_belong_to_operations(
    yard: Yard, made: dict[str, pd.DataFrame]
) -> None:
    numbers = tables.number_operations(yard.built)
    known = {number for array in numbers.values() for number in array}
    assert set(made["usages"]["operation_id"]) <= known
    assert set(made["readings"]["operation_id"]) <= set(made["operations"]["operation_id"])


def test_every_lot_used_was_received_or_mixed(made: dict[str, pd.DataFrame]) -> None:
    known = set(zip(made["lots"]["material"], made["lots"]["lot_no"], strict=True))
    known |= set(zip(made["blends"]["material"], made["blends"]["lot_no"], strict=True))
    used = set(zip(made["usages"]["material"], made["usages"]["lot_no"], strict=True))
    assert used <= known


def test_one_mold_is_renamed_and_goes_on_counting(made: dict[str, pd.DataFrame]) -> None:
    old, new = tables.RENAMED_MOLD
    events = made["mold_events"]
    assert set(events["event"]) <= set(MOLD_EVENTS)
    renaming = events[events["event"] == "renamed"]
    assert renaming[["mold_no", "note"]].to_numpy().tolist() == [[old, new]]
    parts = made["parts"].sort_values("pulled_at")
    before, after = parts[parts["mold_no"] == old], parts[parts["mold_no"] == new]
    assert before["pulled_at"].max() < after["pulled_at"].min()
    assert after["pull_no"].min() == before["pull_no"].max() + 1
    assert events.loc[events["mold_no"] == new, "at"].min() >= tables.RENAMED_ON


def test_every_mold_is_commissioned_before_its_first_pull(made: dict[str, pd.DataFrame]) -> None:
    new = made["mold_events"].query("event == 'commissioned'").set_index("mold_no")["at"]
    first = made["parts"].groupby("mold_no")["pulled_at"].min()
    for mold, pulled in first.items():
        if mold != tables.RENAMED_MOLD[1]:
            assert new[mold] < pulled


def test_the_loggers_write_every_hour(made: dict[str, pd.DataFrame]) -> None:
    ambient = made["ambient"]
    assert set(ambient["station"]) == set(LOGGED_STATIONS)
    series = ambient[(ambient["station"] == "Booth 1") & (ambient["unit"] == "degC")]
    gaps = np.diff(pd.to_datetime(series["at"]).to_numpy()) / np.timedelta64(1, "h")
    assert (gaps == 1).all()


def test_places_are_the_known_ones(made: dict[str, pd.DataFrame]) -> None:
    assert set(made["hulls"]["place"]) <= set(PLACES)
