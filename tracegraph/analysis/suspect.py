"""One suspect under one definition from all sides, and beside another suspect."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from tracegraph.analysis.cohort import draw_cohort
from tracegraph.analysis.confounding.cells import CELLS
from tracegraph.analysis.confounding.controls import Control, neighbour_control
from tracegraph.analysis.confounding.folding import scored
from tracegraph.analysis.confounding.missing import MissingRecords, missing_records
from tracegraph.analysis.confounding.pairwise import Pairwise, side_by_side
from tracegraph.analysis.confounding.stages import Place
from tracegraph.analysis.confounding.strata import Crude, Forest, crude_and_matched, forest
from tracegraph.analysis.counting import level_names
from tracegraph.analysis.matched.groups import PLANT
from tracegraph.analysis.matched.loading import (
    family_days,
    stored_exposure,
    stored_population,
)
from tracegraph.analysis.matched.population import ExposureMatrix, Population
from tracegraph.analysis.matched.search import MARGINS, search
from tracegraph.analysis.naming import Suspect, find_suspect
from tracegraph.analysis.other_complaints import other_complaints
from tracegraph.analysis.timing.changes import Changes, changes_near
from tracegraph.analysis.timing.curves import ServiceCurves, service_curves
from tracegraph.analysis.timing.onset import Onset, onset
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import DefinitionError
from tracegraph.stats.arrays import Ints
from tracegraph.store import Store


@dataclass(frozen=True, eq=False)
class Beside:
    """Another suspect beside the first.

    Attributes
    ----------
    other : Suspect
        Which.
    cells : DataFrame
        ``cell`` (both, first only, second only, neither), ``hulls``, ``observed``,
        ``expected`` (cases, differences between models and periods allowed for).
    apart : DataFrame
        Hulls that carry one of the two only, most telling first: ``hull_serial``,
        ``carries`` (first, second), ``months``, ``affected``, ``expected_if_first``,
        ``expected_if_second``.
    found : Pairwise
        What each explains given the other, and the plain table in strata.
    """

    other: Suspect
    cells: pd.DataFrame
    apart: pd.DataFrame
    found: Pairwise


@dataclass(frozen=True, eq=False)
class Examined:
    """What is known about one suspect.

    Attributes
    ----------
    suspect : Suspect
        Which.
    models : DataFrame
        Each case against hulls of its own model: ``model``, ``observed``, ``expected``,
        ``rate_ratio``, ``rate_ratio_low``, ``rate_ratio_high``.
    periods : DataFrame
        The same against hulls built in the same half-year: ``period`` in place of
        ``model``.
    plants : DataFrame
        The same against hulls of its own plant, with ``carrying`` and ``at_risk`` hulls of
        every plant; empty where one plant built all hulls at risk.
    crude : Crude
        The plain table beside the matched ratio, and over models and build periods.
    curves : ServiceCurves
        Claims over months in service.
    onset : Onset
        Claims along the order of building.
    changes : Changes
        What else changed where claims began or ended.
    missing : MissingRecords or None
        What missing records could do; None where every record is there.
    neighbours : Control or None
        Hulls built beside its own without it, a negative control; None where its hulls are
        strewn over time.
    complaints : DataFrame
        Other complaints on its hulls, from
        :func:`~tracegraph.analysis.other_complaints.other_complaints`.
    beside : Beside or None
        Another suspect, where one was asked for.
    definition : CaseDefinition
        As settled on the data.
    data_version : str
        Version of the records.
    """

    suspect: Suspect
    models: pd.DataFrame
    periods: pd.DataFrame
    plants: pd.DataFrame
    crude: Crude
    curves: ServiceCurves
    onset: Onset
    changes: Changes
    missing: MissingRecords | None
    neighbours: Control | None
    complaints: pd.DataFrame
    beside: Beside | None
    definition: CaseDefinition
    data_version: str


def examine_suspect(
    store: Store,
    definition: CaseDefinition,
    family: str,
    level: str,
    *,
    beside: tuple[str, str] | None = None,
    people_reason: str | None = None,
) -> Examined:
    """Look at one suspect from all sides.

    Parameters
    ----------
    store : Store
        The records.
    definition : CaseDefinition
        Which claims count.
    family, level : str
        The suspect, as typed.
    beside : tuple of str, optional
        Family and level of a suspect to tell it from.
    people_reason : str, optional
        Why a family of people is asked for.

    Returns
    -------
    Examined
        The same for the same records and definition.

    Raises
    ------
    UnknownNameError
        If no family or level has that name.
    DefinitionError
        If the two suspects are one, or people are asked for without a reason.
    """
    matrix = stored_exposure(store).matrix
    names = level_names(store)
    with store.session() as session:
        suspect = find_suspect(session, family, level, people_reason=people_reason)
        other = None
        if beside is not None:
            other = find_suspect(session, *beside, people_reason=people_reason)
            if other == suspect:
                raise DefinitionError(
                    f"Two suspects are set beside each other; {suspect.family} {suspect.level} "
                    "was given twice. Name another one."
                )
        cohort = draw_cohort(session, definition)
        population = stored_population(session)
        rows = session.arrays("matched/population")
        model_of, half_year = (np.ma.getdata(rows[name]) for name in ("model", "half_year"))
        hulls = session.frame("suspect/serials")
    first = _place(matrix.level_id, suspect)
    landmark = cohort.definition.landmark_months or 0
    within = {name: forest(population, matrix, first, name) for name in ("model", "build period")}
    ratio = scored(population, matrix, MARGINS, np.array([first])).effects.ratios.ratio
    along = onset(store, definition, family, level, people_reason=people_reason)
    days = family_days(store, suspect.family_id, population)
    told = None
    if other is not None:
        second = _place(matrix.level_id, other)
        found = side_by_side(
            search(population, matrix, resamples=1),
            MARGINS,
            first,
            second,
            landmark,
            (_stage(names, suspect), _stage(names, other)),
        )
        told = _beside(other, found, hulls["hull_serial"])
    return Examined(
        suspect=suspect,
        models=_strata("model", [str(n) for n in np.unique(model_of)], within["model"]),
        periods=_strata(
            "period", [_half_year(int(n)) for n in np.unique(half_year)], within["build period"]
        ),
        plants=_by_plant(population, matrix, first, np.unique(np.ma.getdata(rows["plant"]))),
        crude=crude_and_matched(population, matrix, first, MARGINS, float(ratio[0]), landmark),
        curves=service_curves(store, definition, family, level, people_reason=people_reason),
        onset=along,
        changes=changes_near(store, along, people_reason=people_reason),
        missing=missing_records(population, matrix, MARGINS, first),
        neighbours=neighbour_control(population, matrix, MARGINS, first, days[0]),
        complaints=other_complaints(store, cohort.definition, matrix.carries(first), MARGINS),
        beside=told,
        definition=cohort.definition,
        data_version=store.version,
    )


def _strata(what: str, names: list[str], found: Forest) -> pd.DataFrame:
    return pd.DataFrame(
        {
            what: pd.Series([names[code] for code in found.code], dtype="str"),
            "observed": found.observed,
            "expected": found.expected,
            "rate_ratio": found.ratio,
            "rate_ratio_low": found.low,
            "rate_ratio_high": found.high,
        }
    )


def _by_plant(
    population: Population, exposure: ExposureMatrix, level: int, names: npt.NDArray[Any]
) -> pd.DataFrame:
    if PLANT not in population.margins:
        return pd.DataFrame()
    code, at_risk = population.margins[PLANT], population.at_risk
    hulls = pd.DataFrame(
        {
            "plant": pd.Series([str(name) or "not recorded" for name in names], dtype="str"),
            "carrying": np.bincount(code[exposure.carries(level) & at_risk], minlength=len(names)),
            "at_risk": np.bincount(code[at_risk], minlength=len(names)),
        }
    )
    within = forest(population, exposure, level, PLANT)
    return (
        hulls[hulls["at_risk"] > 0]
        .merge(_strata("plant", hulls["plant"].tolist(), within), on="plant", how="left")
        .astype({"observed": "Int64"})
    )


def _half_year(number: int) -> str:
    """A half-year by its number, twice the year and 1 more from July on."""
    return f"{number // 2}, {'July' if number % 2 else 'January'} on" if number else "not dated"


def _place(level_id: Ints, suspect: Suspect) -> int:
    return int(np.flatnonzero(level_id == suspect.level_id)[0])


def _stage(names: pd.DataFrame, suspect: Suspect) -> Place:
    return Place(suspect.family, int(names["stage"].loc[suspect.level_id]), suspect.kind)


def _beside(other: Suspect, found: Pairwise, serials: pd.Series) -> Beside:
    cells, apart = found.cells, found.apart
    return Beside(
        other,
        pd.DataFrame(
            {
                "cell": list(CELLS),
                "hulls": cells.hulls,
                "observed": cells.observed,
                "expected": cells.expected,
            }
        ),
        pd.DataFrame(
            {
                "hull_serial": serials.to_numpy()[apart.hull],
                "carries": np.where(apart.carries_first, "first", "second"),
                "months": apart.months,
                "affected": apart.case,
                "expected_if_first": apart.expected_if_first,
                "expected_if_second": apart.expected_if_second,
            }
        ),
        found,
    )
