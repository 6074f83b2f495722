"""How far the evidence for one suspect goes, by rule, and what the verdict rests on.

0: no shared factor stands out. 1: association, may be chance or timing. 2: association
specific to the suspect or its alias group. 3: corroborated by an independent line. 4:
cause demonstrated. Levels 3 and 4 need recorded facts and are never reached from claims
alone; association is not fault, so that people never pass level 1.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

CHANCE = 0.05
"""Family-wise p below which chance is set aside."""

NOTICED = 0.20
"""Family-wise p up to which a suspect is shown as an association."""

MARGIN = 1.25
"""Log Bayes factor by which a suspect must beat its best build window."""

OWN_DAYS = -0.25
"""Margin over its own stretch of building that a suspect may not fall below. A lot used
without a break is that stretch, and the two explain the claims alike."""

NEAR_WINDOW = 1.0
"""A window whose log Bayes factor is larger by more than this explains the claims better."""

FEW_CASES = 3
"""With so few exposed cases or fewer, hulls are listed and nothing is concluded."""

LONGEST_SHORTLIST = 50

INDEPENDENT_LINES = frozenset({"prediction", "inspection", "dose", "retained sample"})
"""Recorded facts of which one carries level 2 to 3."""

DEMONSTRATIONS = frozenset({"mechanism reproduced", "removal effective"})
"""Recorded facts of which one carries level 3 to 4."""


@dataclass(frozen=True)
class Facts:
    """What is known about one suspect.

    Attributes
    ----------
    p_family : float
        Chance that the strongest of all levels is as strong without any cause.
    cases : int
        Cases that carry the suspect.
    window_margin : float
        Log Bayes factor of the suspect less that of the best build window.
    stretch_margin : float
        The same less that of the stretch of building that looks most like the suspect;
        infinite without one.
    people : bool
        Whether the family is about people.
    shortlist : int
        Levels that together hold nine tenths of the evidence.
    not_separable : tuple of int or None
        Positions of overlapping levels, not aliases, given which the suspect no longer
        matters; None: not asked.
    refines_earlier : bool
        Whether most of its cases lie where an earlier round found its cause, and its
        hulls lie there more than twice as often as others: the same cause, seen sharper.
    controls_clean : bool or None
        Whether the negative controls showed nothing; None: there were none.
    stable_if_confirmed : bool or None
        Whether confirmed claims alone say the same; None: not asked.
    stable_if_missing : bool or None
        Whether it holds if no hull without a record carried it; None: no record missing.
    recorded : frozenset of str
        Recorded facts, of :data:`INDEPENDENT_LINES` and :data:`DEMONSTRATIONS`.
    """

    p_family: float
    cases: int
    window_margin: float
    stretch_margin: float = math.inf
    people: bool = False
    shortlist: int = 1
    not_separable: tuple[int, ...] | None = None
    refines_earlier: bool = False
    controls_clean: bool | None = None
    stable_if_confirmed: bool | None = None
    stable_if_missing: bool | None = None
    recorded: frozenset[str] = field(default_factory=frozenset)


@dataclass(frozen=True)
class Evidence:
    """The verdict.

    Attributes
    ----------
    level : int
        0 to 4.
    rests_on : tuple of str
        Codes of what speaks for it: ``beyond-chance``, ``beyond-window``, ``separable``,
        ``controls-clean``, ``stable-confirmed``, ``stable-missing`` and recorded facts.
    held_back_by : tuple of str
        Codes of what keeps it from level 2: ``could-be-chance``, ``long-shortlist``,
        ``window-explains-better``, ``not-separable-from-window``,
        ``not-separable-from-own-days``, ``not-separable``,
        ``controls-raised``, ``unstable-confirmed``, ``unstable-missing``,
        ``refines-earlier``, ``few-cases``, ``people``.
    """

    level: int
    rests_on: tuple[str, ...]
    held_back_by: tuple[str, ...]


def judge(facts: Facts) -> Evidence:
    """Apply the rule.

    Parameters
    ----------
    facts : Facts
        What is known.

    Returns
    -------
    Evidence
        The level, and why.

    Examples
    --------
    >>> judge(Facts(p_family=0.01, cases=9, window_margin=2.5)).level
    2
    >>> judge(Facts(p_family=0.01, cases=9, window_margin=0.2)).held_back_by
    ('not-separable-from-window',)
    >>> judge(Facts(p_family=0.01, cases=9, window_margin=2.5, people=True)).level
    1
    """
    checks = (
        ("beyond-chance", "could-be-chance", facts.p_family < CHANCE),
        (
            "beyond-window",
            _window_code(facts),
            facts.window_margin > MARGIN and facts.stretch_margin > OWN_DAYS,
        ),
        (
            "separable",
            "not-separable",
            None if facts.not_separable is None else not facts.not_separable,
        ),
        ("controls-clean", "controls-raised", facts.controls_clean),
        ("stable-confirmed", "unstable-confirmed", facts.stable_if_confirmed),
        ("stable-missing", "unstable-missing", facts.stable_if_missing),
    )
    rests_on = tuple(good for good, _, passed in checks if passed)
    against = [bad for _, bad, passed in checks if passed is False]
    against += [
        code
        for code, holds in (
            ("refines-earlier", facts.refines_earlier),
            ("few-cases", facts.cases <= FEW_CASES),
            ("people", facts.people),
        )
        if holds
    ]
    if facts.shortlist > LONGEST_SHORTLIST:
        against.append("long-shortlist")
    if facts.p_family > NOTICED or facts.shortlist > LONGEST_SHORTLIST:
        return Evidence(0, rests_on, tuple(against))
    if against:
        return Evidence(1, rests_on, tuple(against))
    told = sorted(facts.recorded & INDEPENDENT_LINES) + sorted(facts.recorded & DEMONSTRATIONS)
    return Evidence(raised(2, facts.recorded), rests_on + tuple(told), ())


def raised(level: int, recorded: frozenset[str]) -> int:
    """Level of evidence with recorded facts added to what the records alone show.

    Parameters
    ----------
    level : int
        From the records alone, 0 to 2.
    recorded : frozenset of str
        Of :data:`INDEPENDENT_LINES` and :data:`DEMONSTRATIONS`.

    Returns
    -------
    int
        An independent line raises level 2 to 3, a demonstration then to 4; less than level
        2 is raised by nothing.

    Examples
    --------
    >>> raised(2, frozenset({"inspection"})), raised(2, frozenset({"removal effective"}))
    (3, 2)
    >>> raised(1, frozenset({"inspection"}))
    1
    """
    if level < 2 or not recorded & INDEPENDENT_LINES:
        return level
    return 4 if recorded & DEMONSTRATIONS else 3


def _window_code(facts: Facts) -> str:
    if facts.window_margin > MARGIN:
        return "not-separable-from-own-days"
    if facts.window_margin < -NEAR_WINDOW:
        return "window-explains-better"
    return "not-separable-from-window"
