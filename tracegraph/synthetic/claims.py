"""Claims: background failures and planted ones, seen through seasons, lags and a cut-off."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracegraph.synthetic.build import Built
from tracegraph.synthetic.causes import Planted
from tracegraph.synthetic.hulls import NEVER
from tracegraph.synthetic.schedule import CUT_OFF
from tracegraph.synthetic.symptoms import Symptom
from tracegraph.synthetic.weather import Values
from tracegraph.synthetic.workdays import MINUTES_A_DAY, minute
from tracegraph.synthetic.yard import DEALERS

DAYS_A_MONTH = 30.4375
LAYUP = (12, 1, 2)  # few failures are noticed while boats are laid up
NOTICED_IN_SPRING = 0.65
PROPENSITY = 4.0  # shape of the gamma law by which some owners claim more than others
REPEATED = 0.06
PRE_DELIVERY = 0.02
SAME_VISIT = 14  # days within which a hull's claims become lines of one claim

Days = NDArray[np.int64]
LAST_DAY = minute(CUT_OFF) // MINUTES_A_DAY


def make_claims(
    built: Built, symptoms: Sequence[Symptom], planted: Sequence[Planted]
) -> pd.DataFrame:
    """Every claim opened up to the cut-off.

    Returns
    -------
    DataFrame
        One row per claim line in order of opening: the columns of the ``claims`` table, with
        ``hull`` an index into the build order, days counted from 1970-01-01 (``NEVER`` where
        not known) and ``dealer``.
    """
    rng = built.chance.of("propensity")
    by_dealer = 0.7 + 0.6 * rng.random(DEALERS)
    dealer = np.array([int(d[2:]) - 1 for d in built.hulls.dealer])
    prone = (
        np.round(rng.standard_gamma(PROPENSITY, built.count) / PROPENSITY, 6) * by_dealer[dealer]
    )
    frames = [
        _claims_of(built, s, [p for p in planted if p.entry.symptom == s.word], prone)
        for s in symptoms
    ]
    frames += [
        _before_delivery(built, s) for s in symptoms if s.component in ("hardware", "wiring")
    ]
    claims = pd.concat([f for f in frames if len(f)], ignore_index=True)
    claims = claims[claims["opened_on"] <= LAST_DAY]
    claims = _number(claims)
    return _repeat(built, claims)


def _claims_of(
    built: Built, symptom: Symptom, planted: Sequence[Planted], prone: Values
) -> pd.DataFrame:
    """First failures of one symptom, background or planted, whichever comes first."""
    rng = built.chance.of("claims " + symptom.word)
    n = built.count
    place = np.arange(n) / n
    first, scale, shape = symptom.age
    by_36 = 1 - np.exp(-(((36 - first) / scale) ** shape))
    rate = symptom.chance / by_36 * np.array(symptom.by_model)[built.schedule.model]
    rate = rate * (1 + (symptom.trend - 1) * place) * prone
    age = np.where(rng.random(n) < rate, _ages(rng, symptom.age, n), np.inf)
    zone = np.array(symptom.zones, dtype=object)[rng.integers(0, len(symptom.zones), n)]
    letter = np.full(n, NEVER)
    for cause in planted:
        ages = np.where(rng.random(n) < cause.extra, _ages(rng, cause.age, n), np.inf)
        if cause.zone:
            zone = np.where(ages < age, cause.zone, zone)
        age = np.minimum(age, ages)
        if cause.letter_on:
            letter_day = int(np.datetime64(cause.letter_on, "D").astype(np.int64))
            letter = np.where(cause.exposed, letter_day, letter)
    service = built.hulls.in_service
    hull = np.flatnonzero(np.isfinite(age) & (service != NEVER))
    failed = service[hull] + np.round(age[hull] * DAYS_A_MONTH).astype(np.int64)
    failed = _after_layup(rng, failed)
    left = built.hulls.exit[hull]
    stayed = (left == NEVER) | (failed < left)
    hull, failed = hull[stayed], failed[stayed]
    opened = (
        failed + 1 + np.round(np.exp(2.3 + 0.9 * rng.standard_normal(hull.size))).astype(np.int64)
    )
    asked = (letter[hull] != NEVER) & (opened > letter[hull])
    frame = _rows(rng, built, symptom, hull, failed, opened)
    frame["zone"] = zone[hull]
    frame["solicited"] = np.where(asked, "yes", frame["solicited"])
    return pd.concat([frame, _answers(rng, built, symptom, letter, hull)], ignore_index=True)


def _answers(
    rng: np.random.Generator, built: Built, symptom: Symptom, letter: Days, affected: Days
) -> pd.DataFrame:
    """Solicited claims of hulls that would have stayed quiet without the letter."""
    quiet = (letter != NEVER) & ~built.among(affected) & (built.hulls.in_service != NEVER)
    hull = np.flatnonzero(quiet & (rng.random(built.count) < 0.15))
    failed = letter[hull] + rng.integers(10, 90, hull.size)
    frame = _rows(rng, built, symptom, hull, failed, failed + 2)
    frame["solicited"] = "yes"
    return frame


def _before_delivery(built: Built, symptom: Symptom) -> pd.DataFrame:
    """Claims from the dealer's own preparation, before the hull is in service."""
    rng = built.chance.of("preparation " + symptom.word)
    hulls = built.hulls
    ready = (hulls.shipped != NEVER) & (hulls.in_service - hulls.shipped > 20)
    hull = np.flatnonzero(ready & (rng.random(built.count) < PRE_DELIVERY))
    failed = hulls.shipped[hull] + rng.integers(8, 20, hull.size)
    frame = _rows(rng, built, symptom, hull, failed, failed + rng.integers(1, 9, hull.size))
    frame["note"] = "found at dealer prep"
    frame["engine_hours"] = 0.0
    return frame


def _ages(rng: np.random.Generator, age: tuple[float, float, float], n: int) -> Values:
    first, scale, shape = age
    months: Values = np.round(first + scale * rng.standard_exponential(n) ** (1 / shape), 3)
    return months


def _after_layup(rng: np.random.Generator, failed: Days) -> Days:
    """Most failures in winter are noticed when the boat is got ready in spring."""
    months = failed.astype("datetime64[D]").astype("datetime64[M]").astype(np.int64)
    month = months % 12 + 1
    waits = np.isin(month, LAYUP) & (rng.random(failed.size) < NOTICED_IN_SPRING)
    to_march = np.array([74, 44, 0, 0, 0, 0, 0, 0, 0, 0, 0, 105])[month - 1]
    later = failed + to_march + rng.integers(0, 45, failed.size)
    return np.where(waits, later, failed)


def _rows(
    rng: np.random.Generator,
    built: Built,
    symptom: Symptom,
    hull: Days,
    failed: Days,
    opened: Days,
) -> pd.DataFrame:
    """Claim lines with everything but their numbers."""
    n = hull.size

    def one_of(words: Sequence[str]) -> NDArray[np.object_]:
        picked: NDArray[np.object_] = np.array(words, dtype=object)[rng.integers(0, len(words), n)]
        return picked

    def about(middle: float, spread: float) -> Values:
        value: Values = middle * np.exp(spread * rng.standard_normal(n))
        return value

    sure = np.array(["confirmed", "probable", "", "possible"], dtype=object)
    certainty = sure[np.searchsorted([0.58, 0.80, 0.94], rng.random(n), "right")]
    paid = np.array(["paid", "part-paid", "denied", "submitted"], dtype=object)
    status = paid[np.searchsorted([0.74, 0.86, 0.94], rng.random(n), "right")]
    used = np.maximum(opened - built.hulls.in_service[hull], 0)
    return pd.DataFrame(
        {
            "hull": hull,
            "opened_on": opened,
            "failed_on": np.where(rng.random(n) < 0.12, NEVER, failed),
            "symptom": symptom.word,
            "component": symptom.component,
            "zone": one_of(symptom.zones),
            "safety_class": symptom.safety_class,
            "certainty": certainty,
            "solicited": np.where(rng.random(n) < 0.5, "no", "").astype(object),
            "engine_hours": np.round(used / 365.25 * about(70, 0.4)),
            "cost": np.round(about(symptom.cost, 0.45), 2),
            "labour_hours": np.round(about(symptom.hours, 0.35) * 2) / 2,
            "repeat_of": "",
            "status": status,
            "note": one_of((*symptom.notes, symptom.notes[0], "")),
            "dealer": built.hulls.dealer[hull],
        }
    )


def miscode(
    built: Built, claims: pd.DataFrame, word: str, lost: float, alien: float
) -> pd.DataFrame:
    """File some claims of a symptom under another word, and others' claims under it.

    Parameters
    ----------
    built : Built
        The yard.
    claims : DataFrame
        From :func:`make_claims`.
    word : str
        The symptom.
    lost : float
        Share of its claims filed elsewhere.
    alien : float
        Share, of the claims then filed under it, that are of another kind.
    """
    rng = built.chance.of("miscoded")
    symptom = claims["symptom"].to_numpy(dtype=object).copy()
    own = symptom == word
    away = own & (rng.random(own.size) < lost)
    kept = int(own.sum() - away.sum())
    others = np.flatnonzero(~own)
    order = np.argsort(rng.random(others.size), kind="stable")
    drawn = others[order][: round(kept * alien / (1 - alien))]
    symptom[away] = symptom[others[rng.integers(0, others.size, int(away.sum()))]]
    symptom[drawn] = word
    return claims.assign(symptom=symptom)


def _number(claims: pd.DataFrame) -> pd.DataFrame:
    """Join claims of one visit into lines of one claim, and number claims as opened."""
    claims = claims.sort_values(["hull", "opened_on", "symptom"], kind="stable")
    same_hull = claims["hull"].eq(claims["hull"].shift())
    soon = claims["opened_on"].sub(claims["opened_on"].shift()).le(SAME_VISIT)
    visit = (~(same_hull & soon)).cumsum()
    claims["opened_on"] = claims.groupby(visit)["opened_on"].transform("max")
    claims["line_no"] = claims.groupby(visit).cumcount() + 1
    claims["visit"] = visit
    claims = claims.sort_values(["opened_on", "visit", "line_no"], kind="stable")
    number = pd.factorize(claims["visit"])[0]
    claims["claim_no"] = [f"W{k:05d}" for k in (number + 10001).tolist()]
    return claims.drop(columns="visit").reset_index(drop=True)


def _repeat(built: Built, claims: pd.DataFrame) -> pd.DataFrame:
    """Add repairs that did not hold, as new claims that name the old one."""
    rng = built.chance.of("repeats")
    again = claims[rng.random(len(claims)) < REPEATED].copy()
    again["repeat_of"] = again["claim_no"]
    again["opened_on"] = again["opened_on"] + rng.integers(18, 150, len(again))
    again["failed_on"] = NEVER
    again["line_no"] = 1
    again["note"] = "same again, repair did not hold"
    again = again[again["opened_on"] <= LAST_DAY]
    last = int(claims["claim_no"].str[1:].astype(int).max()) if len(claims) else 10000
    again["claim_no"] = [f"W{k:05d}" for k in range(last + 1, last + 1 + len(again))]
    both = pd.concat([claims, again], ignore_index=True)
    return both.sort_values(["opened_on", "claim_no", "line_no"], kind="stable").reset_index(
        drop=True
    )
