"""Each case against the hulls that could have made the same claim at the same age.

Under no effect a case is exposed to a level with the weighted share of its risk set that
carries it: all hulls still followed and still free of the claim at that month in service.
For each family only hulls whose record is known take part.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tracegraph.analysis.matched.groups import RiskGroups, after
from tracegraph.analysis.matched.population import (
    COMPLETE,
    INCOMPLETE,
    ExposureMatrix,
    Ints32,
    Population,
)
from tracegraph.stats.arrays import Bools, Floats, Ints


@dataclass(frozen=True, eq=False)
class Screen:
    """Counts of every level; every array has one entry per level.

    Parameters
    ----------
    observed : array of int, shape (l,)
        Cases that carry the level.
    exposed : array of int, shape (l,)
        Hulls at risk that carry it.
    expected : array of float, shape (l,)
        Cases expected to carry it under no effect.
    second : array of float, shape (l,)
        Sum over the cases of the squared chance to carry it.
    """

    observed: Ints
    exposed: Ints
    expected: Floats
    second: Floats


@dataclass(frozen=True, eq=False)
class LevelTables:
    """Some levels, counted by group and risk set.

    Parameters
    ----------
    levels : array of int, shape (n,)
        Positions of the levels.
    observed : array of int, shape (n,)
        Cases that carry each.
    exposed : array of float, shape (n, g, m)
        Hulls that carry it, by group, in the risk set of each case month.
    known : array of float, shape (n, g, m)
        Hulls of which it is known that they carry it or not.
    cases_of_stratum : array of float, shape (n, s, m)
        Cases of which that is known, by stratum and month.
    cases_of_group : array of float, shape (n, g)
        The same by group.
    stratum : array of int, shape (g,)
        Stratum of each group: hulls that differ in what was set aside are not compared
        when rate ratios are estimated.
    """

    levels: Ints
    observed: Ints
    exposed: Floats
    known: Floats
    cases_of_stratum: Floats
    cases_of_group: Floats
    stratum: Ints

    @cached_property
    def cases(self) -> Floats:
        """Cases by month of which it is known whether they carry the level, shape (n, m)."""
        result: Floats = self.cases_of_stratum.sum(axis=1)
        return result

    def chance_within(self, weight: Floats) -> Floats:
        """Chance of a case to be exposed among its stratum, shape (n, s, m).

        At weights (g,) or (n, g); the columns are those of ``cases_of_stratum``.
        """
        parts = np.arange(self.cases_of_stratum.shape[1])
        within = [np.where(self.stratum == part, weight, 0.0) for part in parts]
        return np.stack([self.chance(each) for each in within], axis=1)

    def chance(self, weight: Floats) -> Floats:
        """Chance of a case to be exposed, shape (n, m), at weights (g,) or (n, g)."""
        if weight.ndim == 1:
            above, below = (np.einsum("g,ngm->nm", weight, t) for t in (self.exposed, self.known))
        else:
            above, below = (np.einsum("ng,ngm->nm", weight, t) for t in (self.exposed, self.known))
        with np.errstate(invalid="ignore", divide="ignore"):
            share = np.where(below > 0.0, above / below, 0.0)
        return np.clip(share, 0.0, 1.0)

    def take(self, rows: Ints) -> LevelTables:
        """Some of the levels."""
        return LevelTables(
            self.levels[rows],
            self.observed[rows],
            self.exposed[rows],
            self.known[rows],
            self.cases_of_stratum[rows],
            self.cases_of_group[rows],
            self.stratum,
        )


class RiskSets:
    """The risk sets of one population, seen by every family.

    Parameters
    ----------
    population : Population
        Who was at risk for how long.
    exposure : ExposureMatrix
        Who carried what, over the same hulls.
    groups : RiskGroups
        Hulls of one weight.
    families : array of bool, shape (f,), optional
        Families that take part; all when left out.
    """

    def __init__(
        self,
        population: Population,
        exposure: ExposureMatrix,
        groups: RiskGroups,
        families: Bools | None = None,
    ) -> None:
        self.population = population
        self.exposure = exposure
        self.groups = groups
        self.families = (
            np.ones(exposure.families, np.bool_) if families is None else np.asarray(families)
        )

    @property
    def months(self) -> int:
        """Number of case months."""
        return len(self.population.months)

    @cached_property
    def _cell(self) -> Ints:
        """Group and number of risk sets of each hull as one number."""
        return self.groups.group * (self.months + 1) + self.population.sets_joined

    def count(self, hulls: Bools) -> Floats:
        """Hulls by group in each risk set, shape (g, m), among those marked."""
        shape = (len(self.groups.cases), self.months + 1)
        marked = hulls & self.population.at_risk
        counts = np.bincount(self._cell[marked], minlength=shape[0] * shape[1])
        return after(counts.reshape(shape).astype(np.float64))

    @cached_property
    def known(self) -> Floats:
        """Hulls with a complete record, by family, group and risk set, shape (f, g, m)."""
        everyone = self.count(self.population.at_risk)
        result = np.zeros((self.exposure.families, *everyone.shape))
        for family in np.flatnonzero(self.families):
            complete = self.exposure.record[family] == COMPLETE
            whole = complete[self.population.at_risk].all()
            result[family] = everyone if whole else self.count(complete)
        return result

    @cached_property
    def known_cases(self) -> Floats:
        """Cases with a complete record by family and month, shape (f, m)."""
        cases = self.population.cases
        month = self.population.sets_joined[cases] - 1
        result: Floats = self._complete_cases @ np.eye(self.months)[month]
        return result

    @cached_property
    def known_cases_of_stratum(self) -> Floats:
        """Cases with a complete record by family, stratum and month, shape (f, s, m)."""
        stratum = self.groups.stratum[self.groups.group[self.population.cases]]
        month = self.population.sets_joined[self.population.cases] - 1
        shape = (int(self.groups.stratum.max(initial=0)) + 1, self.months)
        cells = np.eye(shape[0] * shape[1])[stratum * self.months + month]
        result: Floats = self._complete_cases @ cells
        return result.reshape(self.exposure.families, *shape)

    @cached_property
    def known_cases_of_group(self) -> Floats:
        """Cases with a complete record by family and group, shape (f, g)."""
        group = self.groups.group[self.population.cases]
        result: Floats = self._complete_cases @ np.eye(len(self.groups.cases))[group]
        return result

    @cached_property
    def _complete_cases(self) -> Floats:
        record = self.exposure.record[:, self.population.cases]
        result: Floats = (record == COMPLETE).astype(np.float64)
        return result

    @cached_property
    def observed(self) -> Ints:
        """Cases that carry each level, shape (l,)."""
        carried = self.exposure.levels_of(self.population.cases)
        counts = np.bincount(carried, minlength=self.exposure.levels).astype(np.int64)
        return np.where(self.families[self.exposure.level_family], counts, 0)

    def screen(self, weight: Floats) -> Screen:
        """Count every level once, at the given weights of the groups.

        Parameters
        ----------
        weight : array of float, shape (g,)
            Weight of each group.

        Returns
        -------
        Screen
            Zeros for levels of families that take no part.
        """
        return self.screens((weight,))[0]

    def screens(self, weights: tuple[Floats, ...]) -> list[Screen]:
        """Count every level at several weights of the groups, in one pass."""
        matrix = self.exposure
        at_risk = self.population.at_risk
        all_at_risk = bool(at_risk.all())
        of_hull = [np.where(at_risk, weight[self.groups.group], 0.0) for weight in weights]
        joined = self.population.sets_joined.astype(np.int32)
        sizes = matrix.exposed
        exposed = sizes.copy() if all_at_risk else np.zeros(matrix.levels, np.int64)
        sums = np.zeros((len(weights), 2, matrix.levels))
        width = self.months + 1
        for family in np.flatnonzero(self.families):
            rows = slice(int(matrix.family_start[family]), int(matrix.family_start[family + 1]))
            shape = (rows.stop - rows.start, width)
            if shape[0] == 0:
                continue
            hulls = matrix.hulls_of_family(int(family))
            row = np.repeat(np.arange(shape[0], dtype=np.int32), sizes[rows])
            place = row * np.int32(width) + joined[hulls]
            if not all_at_risk:
                exposed[rows] = np.bincount(row, at_risk[hulls], minlength=shape[0])
            partly = None
            cases = self.known_cases[family][None, :]
            if matrix.partly_recorded[family]:
                partly = matrix.record[family, hulls] == INCOMPLETE
                cases = cases + _sums(place, partly & self.population.case[hulls], shape)[:, 1:]
            for number, (weight, each) in enumerate(zip(weights, of_hull, strict=True)):
                above = after(_sums(place, each[hulls], shape))
                below = (weight @ self.known[family])[None, :]
                if partly is not None:
                    below = below + after(_sums(place, each[hulls] * partly, shape))
                np.divide(above, below, out=above, where=below > 0.0)
                counted = above * cases
                sums[number, 0, rows] = counted.sum(axis=1)
                sums[number, 1, rows] = np.einsum("lm,lm->l", counted, above)
        return [Screen(self.observed, exposed, first, second) for first, second in sums]

    def tables(self, levels: Ints) -> LevelTables:
        """Count some levels by group and risk set.

        Parameters
        ----------
        levels : array of int, shape (n,)
            Positions of levels.

        Returns
        -------
        LevelTables
            In the given order.
        """
        matrix = self.exposure
        place, hulls = matrix.entries(levels)
        family = matrix.level_family[levels]
        risk = self.population.at_risk[hulls]
        place, hulls = place[risk], hulls[risk]
        exposed = self._by_group(place, hulls, len(levels))
        known = self.known[family]
        cases = self.known_cases_of_stratum[family]
        of_group = self.known_cases_of_group[family]
        stratum = self.groups.stratum
        partly = matrix.record[family[place], hulls] == INCOMPLETE
        if partly.any():
            place, hulls = place[partly], hulls[partly]
            known = known + self._by_group(place, hulls, len(levels))
            own = self.population.case[hulls]
            place, hulls = place[own], hulls[own]
            month, group = self.population.sets_joined[hulls] - 1, self.groups.group[hulls]
            np.add.at(cases, (place, stratum[group], month), 1.0)
            np.add.at(of_group, (place, group), 1.0)
        return LevelTables(levels, self.observed[levels], exposed, known, cases, of_group, stratum)

    def drawn_tables(self, levels: Ints, cases: Ints) -> LevelTables:
        """Count levels with other hulls as the cases, each leaving after its own.

        Parameters
        ----------
        levels : array of int, shape (n,)
            Positions of levels.
        cases : array of int, shape (n, c)
            For each level, the hulls drawn as cases, in order of case month.

        Returns
        -------
        LevelTables
            In the given order. Other hulls, true cases among them, stay until their
            follow-up ends; of the hulls known, the number in each risk set is left as it
            was.
        """
        matrix, population = self.exposure, self.population
        place, hulls = matrix.entries(levels)
        risk = population.at_risk[hulls]
        place, hulls = place[risk], hulls[risk]
        width = self.months + 1
        carried = np.zeros(cases.shape, np.bool_)
        marked = np.zeros(len(population), np.bool_)
        for number, level in enumerate(levels.tolist()):
            marked[matrix.hulls_of(level)] = True
            carried[number] = marked[cases[number]]
            marked[matrix.hulls_of(level)] = False
        month = np.sort(population.sets_joined[population.cases]) - 1
        row, column = np.nonzero(carried)
        left = cases[row, column]
        first = row * len(self.groups.cases) + self.groups.group[left]
        counts = self._joined(place, hulls, population.sets_open, len(levels))
        flat = counts.reshape(-1)
        np.subtract.at(flat, first * width + population.sets_open[left], 1.0)
        np.add.at(flat, first * width + month[column] + 1, 1.0)
        family = matrix.level_family[levels]
        known = (matrix.record[family[:, None], cases] == COMPLETE) | carried
        stratum = self.groups.stratum
        of_stratum = np.zeros((len(levels), int(stratum.max(initial=0)) + 1, self.months))
        of_group = np.zeros((len(levels), len(self.groups.cases)))
        row, column = np.nonzero(known)
        group = self.groups.group[cases[row, column]]
        np.add.at(of_stratum, (row, stratum[group], month[column]), 1.0)
        np.add.at(of_group, (row, group), 1.0)
        exposed = after(counts)
        return LevelTables(
            levels,
            carried.sum(axis=1),
            exposed,
            np.maximum(self.known[family], exposed),
            of_stratum,
            of_group,
            stratum,
        )

    def _joined(self, place: Ints, hulls: Ints32, joined: Ints, rows: int) -> Floats:
        """Hulls by row, group and number of risk sets, shape (rows, g, m + 1)."""
        groups, width = len(self.groups.cases), self.months + 1
        cell = (place * groups + self.groups.group[hulls]) * width + joined[hulls]
        counts = np.bincount(cell, minlength=rows * groups * width).astype(np.float64)
        return counts.reshape(rows, groups, width)

    def _by_group(self, place: Ints, hulls: Ints32, rows: int) -> Floats:
        """Hulls by row, group and risk set, shape (rows, g, m)."""
        return after(self._joined(place, hulls, self.population.sets_joined, rows))


def _sums(cell: Ints32, weights: Floats | Bools, shape: tuple[int, int]) -> Floats:
    """Sums of weights by cell, laid out as a table."""
    result = np.bincount(cell, weights, minlength=shape[0] * shape[1])
    return result.reshape(shape).astype(np.float64, copy=False)
