"""What checks a containment and what is to be expected of it, in sentences."""

from __future__ import annotations

from tracegraph.analysis.confounding.discriminating import inspections_needed
from tracegraph.analysis.containing.balance import MassBalance
from tracegraph.analysis.containing.bracket import UNLIKE_SUSPECT, Bracket
from tracegraph.analysis.containing.forecast import Forecast
from tracegraph.analysis.containing.listing import BESIDE
from tracegraph.analysis.containing.rates import ClaimRates
from tracegraph.analysis.containment import Containment
from tracegraph.report.numbers import amount, count, interval, of, plural, ratio

_BESIDE = {"lots": "lot", "pulls": "stretch of pulls", "days": "stretch of days"}


def check_sentences(found: Containment) -> tuple[str, ...]:
    """All that checks a containment and what it foresees.

    Parameters
    ----------
    found : Containment
        From :func:`~tracegraph.analysis.containment.contain`.

    Returns
    -------
    tuple of str
        How hulls without a record were placed, the balance of the lot, the neighbours,
        further claims, and what to do while suspects cannot be told apart.
    """
    said = list(order_sentences(found))
    if found.balance is not None:
        several = len(found.members) > 1
        said += balance_sentences(found.balance, of_what=found.level if several else "")
    if found.rates is not None:
        said.append(_effect(found, found.rates))
    if found.bracket is not None:
        said += bracket_sentences(found.bracket)
    if found.forecast is not None:
        said += forecast_sentences(found.forecast)
        said += late_sentences(found)
    said += alternative_sentences(found)
    return tuple(said)


def _effect(found: Containment, rates: ClaimRates) -> str:
    it = "it" if len(found.members) == 1 else "one of them"
    return (
        f"{of(rates.observed, float(rates.case.sum()))} affected hulls carry {it} on record, "
        f"{amount(rates.expected_exposed)} expected: rate ratio {ratio(rates.ratio)}, 95 % "
        f"interval {interval(rates.low, rates.high)}."
    )


def order_sentences(found: Containment) -> tuple[str, ...]:
    """How the hulls without a record were given a chance."""
    doubt = found.hulls["grade"].isin(["probable", "possible"]) & (found.hulls["reason"] != BESIDE)
    if found.order is None or not doubt.any():
        return ()
    memory = found.order.memory
    chance = float(found.hulls.loc[doubt, "probability"].sum())
    asked = memory.out + memory.in_order
    split = [name for name in found.order.names if name != "material"]
    by = f", by {' and '.join(split)}" if split else ""
    return (
        f"Hulls without a record were placed between the uses before and after{by}: of "
        f"{count(int(doubt.sum()))} listed {amount(chance)} are expected to carry it. Of "
        f"{plural(asked, 'use')} with records on either side {count(memory.out)} were out of "
        "order.",
    )


def balance_sentences(balance: MassBalance, of_what: str = "") -> tuple[str, ...]:
    """The balance of a lot, or of a mold's pulls, against the hulls in doubt.

    Parameters
    ----------
    balance : MassBalance
        The balance.
    of_what : str
        Whose it is, where several suspects are held together.
    """
    if balance.reason is not None:
        return (f"No balance can be drawn: {balance.reason}.",)
    if balance.unit == "pulls":
        line = (
            f"Of {count(balance.received)} pulls counted, {count(balance.used)} belong to a part "
            f"on record; {count(balance.unaccounted)} do not."
        )
    else:
        pieces = [f"{_weighed(balance.received, balance.unit)} received"]
        pieces += [
            f"{_weighed(part, balance.unit)} {word}"
            for part, word in ((balance.on_hand, "on hand"), (balance.scrapped, "scrapped"))
            if part
        ]
        line = (
            f"{', '.join(pieces)}, {_weighed(balance.used, balance.unit)} used on record: "
            f"{_weighed(balance.unaccounted, balance.unit)} are not accounted for."
        )
    if of_what:
        line = f"{of_what}: {line}"
    if balance.unaccounted < -balance.per_hull:
        return (line, "More was used than received: amounts or lot numbers are wrong.")
    need = (
        f"That is {plural(balance.hulls_at_least, 'hull')} at least; the hulls without a record "
        f"add up to {amount(balance.hulls_expected)}."
    )
    if balance.closes:
        return (line, need)
    return (
        line,
        f"{need} The balance does not close: hulls that name another lot may carry it too.",
    )


def _weighed(value: float, unit: str | None) -> str:
    """An amount to the tenth, so that a reader can add it up."""
    return f"{round(value, 1):,.10g} {unit or ''}".rstrip()


def bracket_sentences(bracket: Bracket) -> tuple[str, ...]:
    """How far around the suspect nothing is shown clean."""
    inside = bracket.rows[bracket.rows["inside"] & (bracket.rows["side"] != "suspect")]
    if bracket.rows.empty:
        return ()
    ends = [
        side
        for side, closed in (("before", bracket.closed_before), ("after", bracket.closed_after))
        if not closed
    ]
    word = _BESIDE[bracket.unit]
    many = word.replace("stretch", "stretches") if "stretch" in word else f"{word}s"
    said = [
        f"{plural(len(inside), word, many)} beside it, with "
        f"{plural(len(bracket.hull_ids), 'hull')}, are not shown clean by claims that should "
        "have come and did not."
        if len(inside)
        else f"The {many} on either side are shown clean."
        if not ends
        else f"No {word} beside it is on record."
    ]
    if ends and len(inside):
        said.append(f"No {word} looked at {' or '.join(ends)} it is shown clean.")
    unlike = int((inside["chance_as_suspect"] < UNLIKE_SUSPECT).sum())
    if unlike:
        said.append(
            f"{of(unlike, len(inside))} of them claim too little to carry the cause as strongly as "
            "the suspect; a weaker effect is not ruled out."
        )
    return tuple(said)


def forecast_sentences(forecast: Forecast) -> tuple[str, ...]:
    """Further first claims, with what would come in any case."""
    points = forecast.claims.to_dict("index")
    total, excess = points["total"], points["excess"]
    middle = round(total["middle"])
    said = [
        f"Up to month {forecast.until_month} in service {plural(middle, 'further hull')} of the "
        f"list {'is' if middle == 1 else 'are'} expected to claim (8 chances in 10: "
        f"{count(total['low'])} to {count(total['high'])}), {count(excess['middle'])} of them "
        f"({count(excess['low'])} to {count(excess['high'])}) beyond what is usual."
    ]
    if forecast.extrapolated and forecast.shape is not None:
        said.append(
            f"Claims were seen to month {forecast.data_month} only; beyond it a Weibull law of "
            f"shape {forecast.shape:.1f} is carried on, which is a guess."
        )
    return tuple(said)


def late_sentences(found: Containment) -> tuple[str, ...]:
    """Warn of hulls older than any at which a claim has come: silence is no proof."""
    if found.rates is None:
        return ()
    last = int(found.rates.months.max())
    silent = found.hulls[~found.hulls["affected"].fillna(False).astype(bool)]
    older = int((silent["months_in_service"].fillna(-1) > last).sum())
    if not older:
        return ()
    return (
        f"{of(older, len(silent))} hulls listed that have not claimed are past month {last} in "
        "service, the latest at which a claim of this kind has come; a later one is not ruled out.",
    )


def alternative_sentences(found: Containment) -> tuple[str, ...]:
    """What to hold, and what to inspect, while suspects cannot be told apart."""
    if len(found.members) < 2:
        return ()
    said = [
        f"{plural(len(found.members), 'suspect')} cannot be told apart: all their hulls are held "
        "until that is decided."
    ]
    said += [
        f"If it is {row['family']} {row['level']} alone, {plural(int(row['listed']), 'hull')} stay "
        f"on the list and {count(row['released'])} are let go."
        for row in found.alternatives.to_dict("records")
    ]
    if found.telling.empty:
        said.append(
            "No hull carries one of them alone: only retained samples, a laboratory or a "
            "deliberate build can tell."
        )
    else:
        alone = found.telling.groupby("carries", sort=False)["affected"]
        said += [
            f"{of(int(affected.fillna(False).sum()), len(affected))} hulls that carry {name} alone "
            "are affected."
            for name, affected in alone
            if affected.notna().any()
        ]
        said.append(
            f"{plural(len(found.telling), 'hull')} carry one of them alone. Where an inspection "
            f"finds the fault in 3 of 10 hulls with the cause and 3 of 100 without, "
            f"{inspections_needed()} of them decide at 20 to 1."
        )
    return tuple(said)
