"""One word for what claims along the building order look like."""

from __future__ import annotations

from dataclasses import dataclass

from tracegraph.analysis.timing.scan import WIDE_DROP, Chance, Stretch
from tracegraph.analysis.timing.shapes import RampFit, Tooth

FEW = "few"
NONE = "none"
CLOSED = "closed"
OPEN = "open"
ENDED = "ended"
RAMP = "ramp"
FALLING = "falling"
COMB = "comb"

MEANINGS: dict[str, str] = {
    FEW: "too few cases to tell",
    NONE: "claims come as evenly along the building order as chance would have it",
    CLOSED: "a closed stretch: a lot, a drum, a fault that was put right",
    OPEN: "open to the last hull: a change was made and is still in force",
    ENDED: "from the first hull on, then over: something in force from the start was ended",
    RAMP: "rising steadily: wear or drift",
    FALLING: "falling steadily: improvement or learning",
    COMB: "coming back again and again with a cycle",
}
"""Each code in words."""

LEVEL = 0.05
"""Chance that a shape must stay below to be named."""

AGAIN = 0.1
"""Chance that a comb without its strongest turn must stay below: a second hurdle, lower."""


@dataclass(frozen=True)
class Evidence:
    """What each shape achieved.

    Parameters
    ----------
    stretch : Stretch
        The best stretch.
    of_stretch : Chance
        How likely its gain is when nothing happened.
    reaches_start, reaches_end : bool
        Whether it may begin at the first, end at the last hull.
    ramp : RampFit
        The best ramp.
    of_ramp : Chance
        How likely its gain is.
    tooth : Tooth or None
        The best tooth of the cycle in which it is least likely.
    of_tooth : Chance
        How likely its gain is.
    p_any : float
        Chance that any shape is as unlikely when nothing happened.
    """

    stretch: Stretch
    of_stretch: Chance
    reaches_start: bool
    reaches_end: bool
    ramp: RampFit
    of_ramp: Chance
    tooth: Tooth | None
    of_tooth: Chance
    p_any: float


def read(evidence: Evidence) -> str:
    """Choose the code.

    Nothing is named unless the least likely shape stays below 5 % with all looks paid for.
    A ramp is simpler than a stretch and is kept unless the stretch gains 3.5 more; a
    stretch is open unless a closed one gains 3.5 more. A comb is named when it is less
    likely by chance than what else would be, and comes back in turns other than its
    strongest.

    Parameters
    ----------
    evidence : Evidence
        What each shape achieved.

    Returns
    -------
    str
        A key of ``MEANINGS``.
    """
    if evidence.p_any > LEVEL:
        return NONE
    code, chance = NONE, 1.0
    stands = evidence.of_stretch.p_value <= LEVEL
    if stands:
        code, chance = _ends(evidence), evidence.of_stretch.p_gumbel
    more = evidence.stretch.gain - evidence.ramp.gain if stands else 0.0
    if evidence.of_ramp.p_value <= LEVEL and more < WIDE_DROP:
        code = RAMP if evidence.ramp.growth > 1.0 else FALLING
        chance = min(chance, evidence.of_ramp.p_gumbel)
    tooth = evidence.tooth
    if (
        tooth is not None
        and evidence.of_tooth.p_value <= LEVEL
        and tooth.p_without_strongest <= AGAIN
        and evidence.of_tooth.p_gumbel < chance
    ):
        code = COMB
    return code


def _ends(evidence: Evidence) -> str:
    if evidence.reaches_end:
        return OPEN
    return ENDED if evidence.reaches_start else CLOSED
