"""Hulls by how long they were followed, and what chance makes of the claims among them.

Unlike the risk sets of the search for suspects, a hull stays in after its own claim: whether
it is counted must not depend on whether it failed. If it did, hulls with a claim would
expect fewer, and any few of them in a row would look like an onset.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from tracegraph.analysis.matched.differences import differences
from tracegraph.analysis.matched.familywise import draw_cases
from tracegraph.analysis.matched.offsets import RiskGroups, fit_offsets
from tracegraph.analysis.matched.population import NOT_AT_RISK, Population
from tracegraph.stats.arrays import Bools, Floats, Ints
from tracegraph.store import Connection


@dataclass(frozen=True, eq=False)
class Followed:
    """Follow-up and first claims of hulls; every array has one entry per hull.

    Parameters
    ----------
    follow : array of int, shape (h,)
        Whole months each hull was followed; -1: never at risk.
    month : array of int, shape (h,)
        Month of its first claim, at most ``follow``; -1: none.
    margins : dict of str to array of int
        For each baseline difference the code of every hull, from 0.
    """

    follow: Ints
    month: Ints
    margins: dict[str, Ints]

    @classmethod
    def of(cls, follow: Ints, month: Ints, margins: dict[str, Ints] | None = None) -> Followed:
        """Settle the months: a claim after the follow-up is none.

        Examples
        --------
        >>> hulls = Followed.of(np.array([12, 3, -5]), np.array([5, 7, -1]))
        >>> hulls.follow, hulls.month
        (array([12,  3, -1]), array([ 5, -1, -1]))
        """
        followed = np.maximum(np.asarray(follow, np.int64), NOT_AT_RISK)
        claimed = np.asarray(month, np.int64)
        counts = (claimed >= 0) & (claimed <= followed)
        return cls(followed, np.where(counts, claimed, -1), margins or {})

    def __len__(self) -> int:
        return len(self.follow)

    def among(self, known: Bools) -> Followed:
        """The same hulls, some of them never at risk."""
        return replace(
            self,
            follow=np.where(known, self.follow, NOT_AT_RISK),
            month=np.where(known, self.month, -1),
        )

    @cached_property
    def at_risk(self) -> Bools:
        """Hulls at risk for any time, array of bool, shape (h,)."""
        result: Bools = self.follow >= 0
        return result

    @cached_property
    def cases(self) -> Ints:
        """Positions of the hulls with a claim, array of int, shape (c,)."""
        return np.flatnonzero(self.month >= 0)

    @cached_property
    def months(self) -> Ints:
        """Months in service in which first claims came, ascending, array of int, shape (m,)."""
        return np.unique(self.month[self.cases])

    @cached_property
    def sets_joined(self) -> Ints:
        """How many of ``months`` each hull was followed through."""
        return np.searchsorted(self.months, self.follow, side="right").astype(np.int64)

    @cached_property
    def population(self) -> Population:
        """The risk sets of the search for suspects, which hulls leave at their claim."""
        day = np.full(len(self), np.nan)
        return Population.from_follow_up(self.follow, self.month, self.margins, day)

    def weights(self, margins: tuple[str, ...]) -> Floats:
        """Rate of each hull relative to the others by the named differences, shrunken.

        Returns
        -------
        array of float, shape (h,)
            All 1 without a case.
        """
        if not len(self.cases):
            return np.ones(len(self))
        groups = RiskGroups.of(self.population, margins)
        return fit_offsets(groups).weight[groups.group]

    def steps(self, weight: Floats) -> Floats:
        """Rate of claims at unit weight in each of ``months``, shape (m,)."""
        mass = np.bincount(
            self.sets_joined, np.where(self.at_risk, weight, 0.0), len(self.months) + 1
        )
        at_risk = np.cumsum(mass[:0:-1])[::-1]
        return np.bincount(
            np.searchsorted(self.months, self.month[self.cases]), minlength=len(self.months)
        ) / np.asarray(at_risk, np.float64)

    def expected(self, weight: Floats) -> Floats:
        """Claims that each hull expects over its follow-up.

        Parameters
        ----------
        weight : array of float, shape (h,)
            Rate of each hull relative to the others.

        Returns
        -------
        array of float, shape (h,)
            Together they make the number of cases.

        Examples
        --------
        Two hulls share the claim at month 3; the third was followed for one month only.

        >>> hulls = Followed.of(np.array([12, 12, 1]), np.array([3, -1, -1]))
        >>> hulls.expected(np.ones(3))
        array([0.5, 0.5, 0. ])
        """
        hazard = np.concatenate([[0.0], np.cumsum(self.steps(weight))])
        return np.where(self.at_risk, weight * hazard[self.sets_joined], 0.0)

    def draw(self, weight: Floats, resamples: int, rng: np.random.Generator) -> Ints:
        """Give every claim to a hull followed at least that long, by chance.

        Returns
        -------
        array of int, shape (resamples, c)
            Positions of hulls, no hull twice in one resample; column i was drawn for the
            i-th claim in order of month.
        """
        return draw_cases(self.population, weight, resamples, rng)


def followed_hulls(session: Connection) -> Followed:
    """Hulls of a session in which a cohort has been drawn.

    Parameters
    ----------
    session : Connection
        Holds the temporary table ``at_risk``.

    Returns
    -------
    Followed
        All hulls of the build in order of number, with the margins of
        :func:`~tracegraph.analysis.matched.differences.differences`.
    """
    rows = session.arrays("matched/population")
    return Followed.of(
        _plain(rows["follow_months"]),
        _plain(rows["case_month"]),
        differences(rows),
    )


def _plain(column: npt.NDArray[Any]) -> Ints:
    return np.ma.getdata(column).astype(np.int64)
