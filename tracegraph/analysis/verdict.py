"""What the rounds of a time-matched ranking amount to: names and numbers, no sentences."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import pandas as pd

from tracegraph.analysis.confounding.controls import Control
from tracegraph.analysis.confounding.gaps import Gap, gaps
from tracegraph.analysis.confounding.missing import MissingRecords
from tracegraph.analysis.confounding.parents import Nesting, children, nesting
from tracegraph.analysis.confounding.refuting import Refutation, refutation
from tracegraph.analysis.matched.calibration import Calibration, calibrate
from tracegraph.analysis.matched.detectable import smallest_detectable, typical_level
from tracegraph.analysis.matched.evidence import NOTICED
from tracegraph.analysis.matched.groups import allowed_for
from tracegraph.analysis.matched.ranking import MatchedRanking
from tracegraph.analysis.matched.rounds import Round, SetAside
from tracegraph.stats.confounder_bound import e_value

DAY_ZERO = date(2000, 1, 1)
"""Days of building are counted from here."""

RANKS_OF_SUPPLY = ("supplier", "lot", "drum")
"""Last words of families that lie inside each other, outermost first."""


@dataclass(frozen=True)
class Name:
    """A level by name."""

    family: str
    level: str

    def __str__(self) -> str:
        return f"{self.family} {self.level}"


@dataclass(frozen=True)
class Span:
    """Days of building, both included."""

    first: date
    last: date

    def __str__(self) -> str:
        return f"{self.first:%Y-%m-%d} to {self.last:%Y-%m-%d}"


@dataclass(frozen=True)
class Alias:
    """A level that nearly the same hulls carry.

    Attributes
    ----------
    name : Name
        Which.
    jaccard : float
        Hulls that carry both, of those that carry either.
    """

    name: Name
    jaccard: float


@dataclass(frozen=True)
class Nested:
    """A supplier and its lot, or a lot and its drum, tested inside each other."""

    parent: Name
    child: Name
    found: Nesting


@dataclass(frozen=True, eq=False)
class Finding:
    """The leader of one round.

    Attributes
    ----------
    round : int
        1 for the first.
    name : Name
        The leader.
    kind : str
        Of its family.
    evidence : int
        0 to 4.
    rests_on, held_back_by : tuple of str
        Codes of :class:`~tracegraph.analysis.matched.evidence.Evidence`.
    cases, all_cases : int
        Cases that carry it; all cases of the definition.
    expected : float
        Cases expected to carry it.
    rate_ratio, rate_ratio_low, rate_ratio_high : float
        With exact mid-p 95 % limits.
    p_family : float
        Chance of so strong a leader without any cause.
    window_margin : float
        Log Bayes factor over that of the best build window.
    window, stretch : Span or None
        The best build window; the stretch of building most like the level.
    stretch_jaccard : float
        How like; nan without a stretch.
    aliases : tuple of Alias
        Levels that cannot be told from it.
    not_separable : tuple of Name
        Overlapping levels given which it no longer matters.
    nested : tuple of Nested
        Its supplier, or its drums.
    neighbours : Control or None
        Hulls built beside its own without it, a negative control; None where it has none,
        or could be chance.
    missing : MissingRecords or None
        What missing records could do; None where none is missing or it was not asked.
    refuting : Refutation or None
        What would take it back; None where it could be chance.
    e_value : float
        Of the lower limit; 1 where that does not exceed 1.
    shortlist : int
        Suspects and windows that hold nine tenths of the evidence.
    set_aside : tuple of Name or Span
        What was taken as explained before.
    """

    round: int
    name: Name
    kind: str
    evidence: int
    rests_on: tuple[str, ...]
    held_back_by: tuple[str, ...]
    cases: int
    all_cases: int
    expected: float
    rate_ratio: float
    rate_ratio_low: float
    rate_ratio_high: float
    p_family: float
    window_margin: float
    window: Span | None
    stretch: Span | None
    stretch_jaccard: float
    aliases: tuple[Alias, ...]
    not_separable: tuple[Name, ...]
    nested: tuple[Nested, ...]
    neighbours: Control | None
    missing: MissingRecords | None
    refuting: Refutation | None
    e_value: float
    shortlist: int
    set_aside: tuple[Name | Span, ...]

    @property
    def share_attributable(self) -> float:
        """Share of all cases that would not be there without it, were it the cause.

        References
        ----------
        .. [1] O. S. Miettinen, American Journal of Epidemiology 99:325-332, 1974.
        """
        if not self.rate_ratio > 1.0:
            return 0.0
        return self.cases / self.all_cases * (1.0 - 1.0 / self.rate_ratio)


@dataclass(frozen=True)
class Detectable:
    """Smallest effect that the claims could have shown.

    Attributes
    ----------
    name : Name
        A level of median size among families of many levels.
    hulls : int
        Hulls at risk that carry it.
    rate_ratio : float
        Found in 8 of 10 plants; infinite where nothing would be.
    """

    name: Name
    hulls: int
    rate_ratio: float


@dataclass(frozen=True)
class RecordGap:
    """A question whose missing records go with the claims.

    Attributes
    ----------
    family : str
        The question.
    found : Gap
        Hulls and cases without a record.
    """

    family: str
    found: Gap


@dataclass(frozen=True, eq=False)
class Verdict:
    """All rounds, whether the comparison itself is sound, and what it could have seen.

    Attributes
    ----------
    findings : tuple of Finding
        The leaders, round by round; the last may be chance.
    calibration : Calibration or None
        Observed p-values against resamples in the last round, where the causes found are
        set aside; None without suspects.
    detectable : Detectable or None
        In the last round; None where no family has many levels.
    gaps : tuple of RecordGap
        Missing records that go with the claims, as factors of their own.
    margins : tuple of str
        Differences allowed for.
    resamples : int
        Behind each family-wise p.
    """

    findings: tuple[Finding, ...]
    calibration: Calibration | None
    detectable: Detectable | None
    gaps: tuple[RecordGap, ...]
    margins: tuple[str, ...]
    resamples: int

    @property
    def noticed(self) -> tuple[Finding, ...]:
        """Leaders that may be more than chance: evidence of level 1 or more."""
        return tuple(each for each in self.findings if each.evidence > 0)


def draw_verdict(
    matched: MatchedRanking, names: pd.DataFrame, *, resamples: int, seed: int
) -> Verdict:
    """Name what the rounds found.

    Parameters
    ----------
    matched : MatchedRanking
        The rounds.
    names : DataFrame
        Indexed by ``level_id``: ``family``, ``level``, ``kind``.
    resamples, seed : int
        For the calibration.

    Returns
    -------
    Verdict
        The same for the same records and definition.
    """
    names = names.loc[matched.exposure.level_id]
    findings = tuple(
        _finding(matched, each, number, names) for number, each in enumerate(matched.rounds, 1)
    )
    margins = allowed_for(matched.population, matched.margins)
    if not matched.rounds:
        return Verdict(findings, None, None, (), margins, resamples)
    # With the causes found set aside, what is left should look like chance.
    last = matched.rounds[-1]
    return Verdict(
        findings,
        calibrate(last.search, resamples=resamples, seed=seed),
        _detectable(last, names),
        _gaps(matched, names),
        margins,
        resamples,
    )


def _finding(matched: MatchedRanking, each: Round, number: int, names: pd.DataFrame) -> Finding:
    search = each.search
    detail = search.estimates(1)
    low = float(detail.low[0])
    noticed = each.facts.p_family <= NOTICED
    stretch, windows = each.stretch, each.windows
    return Finding(
        round=number,
        name=_name(names, each.leader),
        kind=str(names["kind"].iloc[each.leader]),
        evidence=each.evidence.level,
        rests_on=each.evidence.rests_on,
        held_back_by=each.evidence.held_back_by,
        cases=each.facts.cases,
        all_cases=len(search.sets.population.cases),
        expected=float(detail.expected[0]),
        rate_ratio=float(detail.ratio[0]),
        rate_ratio_low=low,
        rate_ratio_high=float(detail.high[0]),
        p_family=each.facts.p_family,
        window_margin=each.facts.window_margin,
        window=_span(windows.first_day[0], windows.last_day[0] - 1.0)
        if len(windows.first_day)
        else None,
        stretch=None if stretch is None else _span(stretch.first_day, stretch.last_day),
        stretch_jaccard=np.nan if stretch is None else stretch.jaccard,
        aliases=tuple(
            Alias(
                _name(names, int(each.aliases.levels[place])), float(each.aliases.jaccard[0, place])
            )
            for place in each.aliases.members(0)
            if place != 0
        ),
        not_separable=tuple(_name(names, level) for level in each.facts.not_separable or ()),
        nested=_nested(matched, each, names) if noticed else (),
        neighbours=each.neighbours,
        missing=each.missing,
        refuting=refutation(search) if noticed else None,
        e_value=e_value(low) if low > 1.0 else 1.0,
        shortlist=each.facts.shortlist,
        set_aside=tuple(_aside(names, one) for one in each.set_aside),
    )


def _detectable(last: Round, names: pd.DataFrame) -> Detectable | None:
    level = typical_level(last.search)
    if level is None:
        return None
    return Detectable(
        _name(names, level),
        int(last.search.screen.exposed[level]),
        smallest_detectable(last.search, level),
    )


def _gaps(matched: MatchedRanking, names: pd.DataFrame) -> tuple[RecordGap, ...]:
    first_level = matched.exposure.family_start
    return tuple(
        RecordGap(str(names["family"].iloc[first_level[each.family]]), each)
        for each in gaps(matched.rounds[0].search, matched.margins)
    )


def _nested(matched: MatchedRanking, each: Round, names: pd.DataFrame) -> tuple[Nested, ...]:
    """The leader inside its supplier or lot, and its strongest lot or drum inside it."""
    exposure, leader = matched.exposure, each.leader
    stem, _, last = str(names["family"].iloc[leader]).rpartition(" ")
    if last not in RANKS_OF_SUPPLY:
        return ()
    families = names["family"].to_numpy()
    rank = RANKS_OF_SUPPLY.index(last)
    pairs: list[tuple[int, int, int]] = []
    own_family = int(exposure.level_family[leader])
    if rank > 0:
        outer = np.flatnonzero(families == f"{stem} {RANKS_OF_SUPPLY[rank - 1]}")
        for parent in outer:
            inside = children(exposure, int(parent), own_family)
            if leader in inside:
                pairs.append((int(parent), leader, len(inside)))
    if rank + 1 < len(RANKS_OF_SUPPLY):
        inner = np.flatnonzero(families == f"{stem} {RANKS_OF_SUPPLY[rank + 1]}")
        if len(inner):
            found = children(exposure, leader, int(exposure.level_family[inner[0]]))
            if len(found):
                strongest = found[np.argmax(each.search.screen.observed[found])]
                pairs.append((leader, int(strongest), len(found)))
    population, margins = each.search.sets.population, matched.margins
    return tuple(
        Nested(
            _name(names, parent),
            _name(names, child),
            nesting(population, exposure, margins, parent, child, chosen_from=count),
        )
        for parent, child, count in pairs
    )


def _aside(names: pd.DataFrame, one: SetAside) -> Name | Span:
    if one.level is not None:
        return _name(names, one.level)
    span = _span(one.first_day, one.last_day - 1.0)
    assert span is not None
    return span


def _name(names: pd.DataFrame, level: int) -> Name:
    return Name(str(names["family"].iloc[level]), str(names["level"].iloc[level]))


def _span(first: float, last: float) -> Span | None:
    if not (np.isfinite(first) and np.isfinite(last)):
        return None
    return Span(DAY_ZERO + timedelta(days=int(first)), DAY_ZERO + timedelta(days=int(last)))
