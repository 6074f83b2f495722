"""Population and exposure from a store."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from tracegraph.analysis.counting import level_names
from tracegraph.analysis.matched.differences import differences
from tracegraph.analysis.matched.population import (
    COMPLETE,
    DOES_NOT_APPLY,
    INCOMPLETE,
    ExposureMatrix,
    Population,
)
from tracegraph.domain.kinds import PEOPLE
from tracegraph.stats.arrays import Bools, Floats, Ints
from tracegraph.store import Connection, Store

_ENOUGH_DATED = 0.5


@dataclass(frozen=True, eq=False)
class StoredExposure:
    """Exposure of all hulls of a build.

    Parameters
    ----------
    matrix : ExposureMatrix
        Over the hulls in order of number.
    hull_id : array of int, shape (h,)
        Their numbers, ascending.
    of_people : array of bool, shape (f,)
        Families that name people.
    """

    matrix: ExposureMatrix
    hull_id: Ints
    of_people: Bools


def stored_exposure(store: Store) -> StoredExposure:
    """Exposure of all hulls, read once for each store and kept.

    Parameters
    ----------
    store : Store
        Where the records are.

    Returns
    -------
    StoredExposure
        Shared by all callers, who must not change it.
    """
    kept = store.kept("matched exposure", _read)
    assert isinstance(kept, StoredExposure)
    return kept


def _read(store: Store) -> StoredExposure:
    with store.session() as session:
        names = session.arrays("matched/families", {"people_kind": PEOPLE})
        hull_id = session.whole_numbers("matched/hulls")["hull_id"].astype(np.int64)
        level_family, level_id = _plain(names["family_id"]), _plain(names["level_id"])
        family_id, first = np.unique(level_family, return_index=True)
        numbers = _Numbers(
            family_id=family_id.astype(np.int64),
            level_id=level_id.astype(np.int64),
            level_family=_positions(family_id)[level_family].astype(np.int64),
            hull_id=hull_id,
        )
        matrix = (_in_order if session.answers_itself else _in_any_order)(session, numbers)
    return StoredExposure(matrix, hull_id, _plain(names["of_people"])[first])


@dataclass(frozen=True, eq=False)
class _Numbers:
    """Numbers in order, and the place of the family of each level."""

    family_id: Ints
    level_id: Ints
    level_family: Ints
    hull_id: Ints


def _in_order(session: Connection, numbers: _Numbers) -> ExposureMatrix:
    """Exposure as the store keeps it: by family, level and hull, so that nothing is sorted."""
    cells = session.whole_numbers("matched/cells")
    rows = session.whole_numbers("matched/exposure")["hull_id"]
    gaps = session.whole_numbers("matched/incomplete")
    size, start = cells["hulls"], cells["first_row"]
    if (start != np.cumsum(size) - size).any():
        raise ValueError("Exposure must be kept in the order of families, levels and hulls.")
    to_family, to_hull = _positions(numbers.family_id), _positions(numbers.hull_id)
    hull = to_hull[rows]
    record = np.full((len(numbers.family_id), len(numbers.hull_id)), DOES_NOT_APPLY, np.int8)
    answered, place = np.unique(cells["family_id"], return_index=True)
    bounds = np.append(start[place], len(hull))
    for family, begin, end in zip(to_family[answered], bounds, bounds[1:], strict=False):
        record[family, hull[begin:end]] = COMPLETE
    record[to_family[gaps["family_id"]], to_hull[gaps["hull_id"]]] = INCOMPLETE
    real = cells["level_id"] > 0
    if not real.all():
        hull = hull[np.repeat(real, size)]
    carried = np.zeros(len(numbers.level_id), np.int64)
    carried[_positions(numbers.level_id)[cells["level_id"][real]]] = size[real]
    return ExposureMatrix(
        level_start=np.concatenate([[0], np.cumsum(carried)]),
        level_hulls=hull,
        level_family=numbers.level_family,
        record=record,
        level_id=numbers.level_id,
        family_id=numbers.family_id,
    )


def _in_any_order(session: Connection, numbers: _Numbers) -> ExposureMatrix:
    """Exposure as another engine hands it over."""
    rows = session.shared_arrays("exposure_rows")
    family = _positions(numbers.family_id)[_plain(rows["family_id"])]
    hull = _positions(numbers.hull_id)[_plain(rows["hull_id"])]
    record = np.full((len(numbers.family_id), len(numbers.hull_id)), DOES_NOT_APPLY, np.int8)
    record[family, hull] = np.where(_plain(rows["complete"]), COMPLETE, INCOMPLETE)
    level = _plain(rows["level_id"])
    carried = level > 0
    return ExposureMatrix.from_rows(
        _positions(numbers.level_id)[level[carried]],
        hull[carried],
        numbers.level_family,
        record,
        level_id=numbers.level_id,
        family_id=numbers.family_id,
    )


def stored_population(session: Connection) -> Population:
    """Population of a session in which a cohort has been drawn.

    Parameters
    ----------
    session : Connection
        Holds the temporary table ``at_risk``.

    Returns
    -------
    Population
        Over all hulls of the build in order of number, with the margins of
        :func:`~tracegraph.analysis.matched.differences.differences`.
    """
    rows = session.arrays("matched/population")
    day = np.ma.filled(rows["built_day"].astype(np.float64), np.nan)
    return Population.from_follow_up(
        _plain(rows["follow_months"]),
        _plain(rows["case_month"]),
        differences(rows),
        day,
    )


def _positions(numbers: Ints) -> npt.NDArray[np.int32]:
    """Table from a number to its position among ``numbers``."""
    table = np.zeros(int(numbers.max(initial=0)) + 1, np.int32)
    table[numbers] = np.arange(len(numbers), dtype=np.int32)
    return table


def _plain(column: npt.NDArray[Any]) -> npt.NDArray[Any]:
    return np.ma.getdata(column)


def family_days(store: Store, family_id: int, population: Population) -> tuple[Floats, ...]:
    """Days of a family's work on each hull, read once and kept.

    Parameters
    ----------
    store : Store
        Where the records are.
    family_id : int
        Number of the family.
    population : Population
        Of the same build.

    Returns
    -------
    tuple of array of float, shape (h,)
        Days of its own step, of fitting or of pulling, where at least half of the hulls
        have one; then days of completion.
    """
    kept = store.kept(f"days of family {family_id}", lambda s: _read_days(s, family_id))
    assert isinstance(kept, np.ndarray)
    dated = np.isfinite(kept)[population.at_risk]
    own = (kept,) if dated.size and dated.mean() >= _ENOUGH_DATED else ()
    return (*own, population.built_day)


def _read_days(store: Store, family_id: int) -> Floats:
    names = level_names(store)
    asked = names.loc[names["family_id"] == family_id].iloc[0]
    with store.session() as session:
        rows = session.arrays(
            "matched/days", {"part": str(asked["part"]), "step": str(asked["step"])}
        )
    return np.ma.filled(rows["day"].astype(np.float64), np.nan)
