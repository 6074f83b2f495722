"""An effect check in words, and as plain values."""

from __future__ import annotations

from typing import Any

from tracegraph.analysis.effect import EffectCheck
from tracegraph.report.numbers import plural
from tracegraph.stats.effect_check import EFFECTIVE, IMPROVED, NO_CHANGE, TOO_EARLY

_MEANING = {
    EFFECTIVE: "Effective: claims fell below what was to be expected, close to other hulls.",
    IMPROVED: "Improved, not closed: fewer claims than before, but more may remain than elsewhere.",
    NO_CHANGE: "No change: claims go on as before.",
    TOO_EARLY: "Too early to say: too few claims are to be expected, they fit both, or chance "
    "alone may have raised the suspect before the action.",
}


def effect_as_json(found: EffectCheck) -> dict[str, Any]:
    """An effect check as plain values; what cannot be said is None.

    Returns
    -------
    dict
        ``verdict``, ``observed``, ``expected_if_unchanged``, ``expected_if_cured``,
        ``verdict_possible_on`` and what they rest on.
    """
    verdict, control = found.verdict, found.control
    seen = verdict.expected_if_cured > 0.0
    return {
        "verdict": verdict.verdict,
        "observed": verdict.observed,
        "expected_if_unchanged": round(verdict.expected_if_unchanged, 3),
        "expected_if_cured": round(verdict.expected_if_cured, 3),
        "verdict_possible_on": (
            None if found.verdict_possible_on is None else found.verdict_possible_on.isoformat()
        ),
        "family": found.family,
        "level": found.level,
        "acted_on": found.acted_on.isoformat(),
        "first_built": found.first_built.isoformat(),
        "hulls_before": found.before,
        "hulls_after": found.after,
        "still_carried": found.still_carried,
        "levels": found.levels,
        "ratio_before": round(verdict.ratio_before, 3),
        "ratio_after": round(verdict.ratio_after, 3) if seen else None,
        "ratio_after_high": round(verdict.ratio_after_high, 3) if seen else None,
        "p_unchanged": round(verdict.p_unchanged, 5),
        "p_cured": round(verdict.p_cured, 5),
        "control_observed": None if control is None else control[0],
        "control_expected": None if control is None else round(control[1], 3),
        "as_of": found.as_of.isoformat(),
        "definition": found.definition.as_json(),
        "data_version": found.data_version,
    }


def effect_sentences(body: dict[str, Any]) -> list[str]:
    """An effect check in words: the verdict first.

    Parameters
    ----------
    body : dict
        From :func:`effect_as_json`.
    """
    day = body["verdict_possible_on"]
    lines = [
        _MEANING[body["verdict"]],
        f"{plural(body['hulls_after'], 'hull')} built from {body['first_built']} on: "
        f"{body['observed']} affected; {body['expected_if_unchanged']:.1f} expected if nothing "
        f"changed, {body['expected_if_cured']:.1f} at the rate of hulls without the suspect.",
        "Three claims would not be expected within ten years even if nothing had changed."
        if day is None
        else f"A verdict is possible from {day} on, when three claims are to be expected if "
        "nothing has changed.",
    ]
    if body["control_observed"] is not None:
        lines.append(
            f"Other claims on the same hulls: {body['control_observed']}, "
            f"{body['control_expected']:.1f} expected."
        )
    return lines
