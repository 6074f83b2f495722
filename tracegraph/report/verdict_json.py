"""A verdict as plain values for JSON."""

from __future__ import annotations

from typing import Any

from tracegraph.analysis.confounding.controls import Control
from tracegraph.analysis.verdict import Finding, Name, Verdict
from tracegraph.report.plain import number


def verdict_as_json(verdict: Verdict) -> dict[str, Any]:
    """A verdict as plain values.

    Parameters
    ----------
    verdict : Verdict
        Of a ranking in the order of evidence.

    Returns
    -------
    dict
        ``findings``, ``inflation``, ``inflation_high``, ``detectable``,
        ``missing_records``, ``allowed_for``, ``resamples``; a number that cannot be
        computed is null.
    """
    found, least = verdict.calibration, verdict.detectable
    return {
        "allowed_for": list(verdict.margins),
        "resamples": verdict.resamples,
        "findings": [_finding_as_json(each) for each in verdict.findings],
        "inflation": None if found is None else number(found.inflation),
        "inflation_high": None if found is None else number(found.inflation_high),
        "missing_records": [
            {
                "family": each.family,
                "hulls": each.found.hulls,
                "cases": each.found.claims.observed,
                "expected": number(each.found.claims.expected),
                "rate_ratio": number(each.found.claims.ratio),
                "rate_ratio_low": number(each.found.claims.low),
                "rate_ratio_high": number(each.found.claims.high),
                "p_adjusted": each.found.p_adjusted,
            }
            for each in verdict.gaps
        ],
        "detectable": None
        if least is None
        else {
            **_named(least.name),
            "hulls": least.hulls,
            "rate_ratio": number(least.rate_ratio),
        },
    }


def _finding_as_json(each: Finding) -> dict[str, Any]:
    return {
        "round": each.round,
        **_named(each.name),
        "evidence": each.evidence,
        "rests_on": list(each.rests_on),
        "held_back_by": list(each.held_back_by),
        "cases": each.cases,
        "all_cases": each.all_cases,
        "expected": number(each.expected),
        "rate_ratio": number(each.rate_ratio),
        "rate_ratio_low": number(each.rate_ratio_low),
        "rate_ratio_high": number(each.rate_ratio_high),
        "p_family": each.p_family,
        "window_margin": number(each.window_margin),
        "window": None if each.window is None else str(each.window),
        "stretch": None if each.stretch is None else str(each.stretch),
        "stretch_jaccard": number(each.stretch_jaccard),
        "aliases": [{**_named(one.name), "jaccard": one.jaccard} for one in each.aliases],
        "not_separable": [_named(one) for one in each.not_separable],
        "nested": [
            {
                "parent": _named(one.parent),
                "child": _named(one.child),
                "verdict": one.found.verdict,
                "rest_observed": one.found.rest_observed,
                "rest_expected": number(one.found.rest_expected),
            }
            for one in each.nested
        ],
        "unknown_hulls": None if each.missing is None else each.missing.unknown_hulls,
        "lowest_rate_ratio": None if each.missing is None else number(each.missing.lowest_ratio),
        "highest_rate_ratio": None if each.missing is None else number(each.missing.highest_ratio),
        "neighbours": None if each.neighbours is None else _control(each.neighbours),
        "differential_missingness": None if each.missing is None else each.missing.differential,
        "refuted_by_claims_elsewhere": None
        if each.refuting is None
        else each.refuting.claims_elsewhere,
        "refuted_by_clean_inspections": None
        if each.refuting is None
        else each.refuting.clean_inspections,
        "e_value": number(each.e_value),
        "share_attributable": each.share_attributable,
        "shortlist": each.shortlist,
        "set_aside": [str(one) for one in each.set_aside],
    }


def _control(beside: Control) -> dict[str, Any]:
    claims = beside.claims
    return {
        "hulls": beside.hulls,
        "cases": claims.observed,
        "expected": number(claims.expected),
        "p": claims.p_value,
        "raised": beside.raised,
    }


def _named(name: Name) -> dict[str, str]:
    return {"family": name.family, "level": name.level}
