"""A verdict in sentences: what it rests on, what it cannot be told from, what would refute it."""

from __future__ import annotations

import math

from tracegraph.analysis.confounding.controls import Control
from tracegraph.analysis.confounding.missing import MissingRecords
from tracegraph.analysis.verdict import Finding, Name, Span, Verdict
from tracegraph.domain.kinds import PEOPLE
from tracegraph.report.numbers import amount, chance, count, interval, of, plural, ratio

LEVELS = {
    0: "no shared factor stands out",
    1: "association, may be chance or timing",
    2: "association specific to it",
    3: "corroborated by an independent line of evidence",
    4: "cause demonstrated",
}
"""Each level of evidence in words."""

RESTS_ON = {
    "beyond-chance": "it is beyond chance over all levels searched",
    "beyond-window": "it says more than any stretch of building days, or as much as its own",
    "separable": "it still matters given each suspect that shares its hulls",
    "controls-clean": "its controls are even: hulls built beside its own without it, and "
    "complaints named as controls",
    "stable-confirmed": "confirmed claims alone say the same",
    "stable-missing": "it holds even if no hull without a record carried it",
    "prediction": "it was predicted on hulls not used",
    "inspection": "inspected hulls that tell it apart agree",
    "dose": "more of it goes with more claims",
    "retained sample": "a retained sample agrees",
    "mechanism reproduced": "the fault was reproduced",
    "removal effective": "taking it away was followed by an effect",
}
"""What speaks for a suspect."""

HELD_BACK = {
    "could-be-chance": "a coincidence as strong is not rare among so many levels",
    "long-shortlist": "the evidence is spread over more than 50 levels and stretches of days",
    "window-explains-better": "a stretch of building days explains the claims better than any "
    "recorded factor: look for a change that was not recorded",
    "not-separable-from-window": "it cannot be told from the days in which its hulls were built",
    "not-separable-from-own-days": "the days of building that look most like it explain the "
    "claims better",
    "not-separable": "given another suspect that shares its hulls it no longer matters",
    "controls-raised": "a control is raised, hulls built beside its own without it or a "
    "complaint that cannot share the cause: a shared confounder is likely",
    "unstable-confirmed": "confirmed claims alone do not say the same",
    "unstable-missing": "it would not hold if no hull without a record carried it",
    "refines-earlier": "its cases are mostly those of the factor found before it: the same "
    "cause seen from another side",
    "few-cases": "it rests on three hulls or fewer",
    "people": "it is people's work, which claims alone never settle",
    "depends-on-leader": "it has not been shown to matter apart from the first suspect",
}
"""What keeps a suspect from level 2."""

SIMILAR = 0.9
"""Likeness to a stretch of building from which the two are one in the records."""


def chance_words(p_family: float, levels: int, resamples: int) -> str:
    """How rare so strong a coincidence is anywhere, as one in so many.

    Examples
    --------
    >>> chance_words(0.0025, 3412, 399)
    'A coincidence this strong anywhere in the 3,412 levels searched: less than 1 in 400.'
    >>> chance_words(0.25, 3412, 199)
    'A coincidence this strong anywhere in the 3,412 levels searched: 1 in 4.'
    """
    floor = 1.0 / (resamples + 1)
    if p_family > 0.5:
        how = "more often than not"
    elif p_family <= floor * 1.001:
        how = f"less than 1 in {count(1.0 / p_family)}"
    else:
        how = f"1 in {count(1.0 / p_family)}"
    return f"A coincidence this strong anywhere in the {count(levels)} levels searched: {how}."


def carried(finding: Finding) -> str:
    """How many cases carry a leader, and how many were to be expected; no full stop."""
    return (
        f"{of(finding.cases, finding.all_cases)} affected hulls carry {finding.name}, where "
        f"{amount(finding.expected)} were to be expected"
    )


def how_often(finding: Finding) -> str:
    """The rate ratio with its interval."""
    text = (
        "Each case compared with the hulls at risk at its own months in service: "
        f"{ratio(finding.rate_ratio)} times as often (95 % interval "
        f"{interval(finding.rate_ratio_low, finding.rate_ratio_high)})."
    )
    if finding.rate_ratio_low > 1.0:
        text += (
            " To explain even the lower limit away, something unrecorded would have to go with "
            f"both the factor and the claims {ratio(finding.e_value)} times as often."
        )
    return text


def standing(finding: Finding) -> list[str]:
    """The evidence level with what it rests on and what holds it back."""
    said = [f"Evidence level {finding.evidence} of 4: {LEVELS[finding.evidence]}."]
    if finding.evidence and finding.rests_on:
        said.append(f"It rests on this: {_listed(RESTS_ON, finding.rests_on)}.")
    if finding.held_back_by:
        said.append(f"It is held back by this: {_listed(HELD_BACK, finding.held_back_by)}.")
    return said


def told_apart(finding: Finding) -> list[str]:
    """What a leader cannot be told from."""
    said = []
    if finding.aliases:
        names = _some([str(each.name) for each in finding.aliases])
        said.append(f"It cannot be told apart from {names}: nearly the same hulls carry them.")
    if finding.not_separable:
        said.append(f"Given {_some([str(name) for name in finding.not_separable])} it is unclear.")
    if finding.stretch is not None and finding.stretch_jaccard >= SIMILAR:
        said.append(
            f"Its hulls are nearly all those built from {finding.stretch}: anything else of those "
            "days may be the cause."
        )
    elif finding.stretch is not None and "not-separable-from-own-days" in finding.held_back_by:
        said.append(f"The days of building that look most like it: {finding.stretch}.")
    elif "window" in " ".join(finding.held_back_by) and finding.window is not None:
        said.append(f"The stretch of days that rivals it: {finding.window}.")
    return said


def nested(finding: Finding) -> list[str]:
    """Whether supplier, lot or drum, as far as the claims decide."""
    said = []
    for each in finding.nested:
        found = each.found
        rest = (
            f"{plural(found.rest_observed, 'case')} in the rest of {each.parent}, where "
            f"{amount(found.rest_expected)} {'was' if found.rest_expected == 1 else 'were'} to be "
            "expected"
        )
        verdicts = {
            "child": f"It is {each.child} rather than all of {each.parent}: {rest}",
            "parent": f"It is {each.parent} as a whole rather than {each.child} alone: {rest}",
            "parent with a hot child": f"It is {each.parent} as a whole, and {each.child} most of "
            f"all: {rest}",
            "level not decided": f"Whether {each.child} alone or all of {each.parent} is not "
            f"decided: {rest}. Contain at {each.parent} until it is",
        }
        said.append(verdicts[found.verdict] + ".")
    return said


def missing_words(missing: MissingRecords | None) -> list[str]:
    """What missing records could do to a suspect."""
    if missing is None:
        return []
    text = (
        f"Not recorded for {plural(missing.unknown_hulls, 'hull')} at risk, "
        f"{count(missing.unknown_cases) if missing.unknown_cases else 'none'} of them affected: "
        f"the rate ratio would be {ratio(missing.lowest_ratio)} if none of these carried it"
    )
    if missing.unknown_cases:
        text += f", {ratio(missing.highest_ratio)} if all the affected and no others did"
    text += "."
    if missing.differential:
        text += (
            " The records of affected hulls are there more or less often than those of others "
            f"(p {chance(missing.p_differs)}): the ratio may be off."
        )
    return [text]


def neighbour_words(beside: Control | None) -> list[str]:
    """Hulls built beside a suspect's own without it, which should not claim more."""
    if beside is None:
        return []
    claims = beside.claims
    text = (
        f"As a control, the {plural(beside.hulls, 'hull')} at risk built beside its own without "
        f"it: {plural(claims.observed, 'case')} where {amount(claims.expected)} were to be "
        "expected"
    )
    if beside.raised:
        return [f"{text}: they claim more too, so something else is the matter with those days."]
    return [f"{text}."]


def refuting_words(finding: Finding) -> list[str]:
    """What would take a leader back."""
    refuting = finding.refuting
    if refuting is None or finding.kind == PEOPLE:
        return []
    clean = (
        f"{count(refuting.clean_inspections)} hulls with it, inspected and all found sound (if 3 "
        "in 10 would show the fault)"
    )
    if refuting.claims_elsewhere is None:
        return [f"What would refute it: {clean}."]
    return [
        f"What would refute it: {plural(refuting.claims_elsewhere, 'further claim')} on hulls "
        f"without it, or {clean}."
    ]


def further_causes(verdict: Verdict) -> list[str]:
    """What stands out once the first finding is set aside."""
    if not verdict.noticed:
        return []
    said = []
    for each in verdict.findings[1:]:
        before = _some([_aside(one) for one in each.set_aside])
        if each.evidence == 0:
            said.append(f"With {before} set aside nothing else stands out.")
            continue
        said.append(
            f"With {before} set aside: {carried(each)}; {ratio(each.rate_ratio)} times as often "
            f"(95 % interval {interval(each.rate_ratio_low, each.rate_ratio_high)}). "
            + " ".join([*standing(each), *told_apart(each), *refuting_words(each)])
        )
    return said


def silence(verdict: Verdict) -> list[str]:
    """The smallest effect that the claims could have shown."""
    least = verdict.detectable
    if least is None:
        return []
    lot = f"{least.name}, carried by {plural(least.hulls, 'hull')}"
    if math.isinf(least.rate_ratio):
        return [f"A level such as {lot}, could not have stood out with these claims at all."]
    return [
        f"The smallest effect that these claims could have shown, 8 times in 10, for a level such "
        f"as {lot}: {ratio(least.rate_ratio)} times as often."
    ]


def gap_words(verdict: Verdict) -> list[str]:
    """Missing records that go with the claims."""
    said = []
    for each in verdict.gaps[:2]:
        claims = each.found.claims
        said.append(
            "Missing records go with the claims: "
            f"{plural(each.found.hulls, 'hull')} at risk without a complete record of "
            f"{each.family} hold {plural(claims.observed, 'case')} where "
            f"{amount(claims.expected)} were to be expected, {ratio(claims.ratio)} times as often "
            f"(95 % interval {interval(claims.low, claims.high)}). Find out why they were not kept "
            "before that question's levels are believed."
        )
    return said


def calibration_words(verdict: Verdict) -> list[str]:
    """A warning where the comparison itself is off."""
    found = verdict.calibration
    if found is None or not found.missing_difference:
        return []
    return [
        "The claims fall on broad levels more unevenly than chance gives (inflation "
        f"{found.inflation:.2f}, at most {found.inflation_high:.2f} in 95 of 100 resamples): some "
        "difference between hulls is not allowed for. Find it before naming a suspect."
    ]


def _aside(one: Name | Span) -> str:
    return f"the days {one}" if isinstance(one, Span) else str(one)


def _listed(words: dict[str, str], codes: tuple[str, ...]) -> str:
    return "; ".join(words[code] for code in codes)


def _some(names: list[str], most: int = 4) -> str:
    if len(names) > most:
        names = [*names[:most], f"{len(names) - most} more"]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
