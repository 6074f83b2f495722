"""Every hull that carries a suspect, or may carry it, where it is, and what is to be expected."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from tracegraph.analysis.cohort import draw_cohort
from tracegraph.analysis.containing.alternatives import alternatives, telling_hulls
from tracegraph.analysis.containing.balance import MassBalance
from tracegraph.analysis.containing.bracket import Bracket
from tracegraph.analysis.containing.checking import balance_of, bracket_of, bracket_of_window
from tracegraph.analysis.containing.forecast import Forecast, forecast
from tracegraph.analysis.containing.grading import GRADES, TO_ACT_ON, Graded, grade, union
from tracegraph.analysis.containing.listing import BESIDE, counts_of, listed, with_bracket
from tracegraph.analysis.containing.rates import ClaimRates, claim_rates
from tracegraph.analysis.containing.streams import Streams
from tracegraph.analysis.containing.window import grade_window
from tracegraph.analysis.matched.familywise import seed_from
from tracegraph.analysis.naming import find_suspect
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.holding import checked_states
from tracegraph.stats.arrays import Floats
from tracegraph.store import Connection, Store
from tracegraph.store.queries import sql_text

__all__ = ["GRADES", "TO_ACT_ON", "Containment", "contain", "contain_window"]


@dataclass(frozen=True, eq=False)
class Containment:
    """The hulls to act on for one suspect, or for several that cannot be told apart.

    Attributes
    ----------
    family, level, kind : str
        The suspect; the first of several.
    members : tuple of (str, str)
        Family and level of each.
    hulls : DataFrame
        One row per hull that carries the level or may carry it, most urgent first:
        ``hull_serial``, ``hin``, ``model``, ``grade``, ``probability`` (1.0 when recorded;
        null when not estimated), ``reason`` (why it is null, or listed), ``place``,
        ``dealer``, ``state`` (of the action), ``built_on``, ``delivered_on``,
        ``delivered_imputed`` (bool), ``months_in_service`` (whole months, null before
        delivery), ``affected`` (bool; null without a definition), ``claims`` (lines that
        match the definition's words; all lines without one), ``expected_claims`` and
        ``expected_severe`` (further first claims, means; null without a definition),
        ``priority`` (from 1: not yet delivered first, then expected severe claims).
    counts : DataFrame
        All hulls of the records by grade (rows) and place (columns), with ``total``. The
        cells add up to the number of hulls.
    ranges : DataFrame
        For each model the enclosing range of numbers: ``model``, ``basis`` (recorded, or
        all listed), ``number`` (HIN or hull serial), ``first``, ``last``,
        ``hulls_in_range`` = ``recorded`` + ``probable`` + ``possible`` + ``not_exposed``,
        ``remote`` (of those not exposed, the ones without a record), and
        ``without_number`` (hulls listed that have none).
    parent : tuple of str or None
        Family and level of the lot that a drum is part of.
    order : Streams or None
        Order in which the uses were asked for the hulls without a record.
    balance : MassBalance or None
        Of a lot, or of a mold's pulls.
    bracket : Bracket or None
        Neighbours not shown clean; needs a definition.
    rates : ClaimRates or None
        Claims with and without the suspect; needs a definition with cases.
    forecast : Forecast or None
        Further first claims; needs the rates.
    alternatives : DataFrame
        What would be held for each suspect alone; one row for one suspect.
    telling : DataFrame
        Hulls that carry only one of several suspects; empty for one suspect.
    definition : CaseDefinition or None
        Which claims make a hull affected, as settled on the data.
    as_of : date or None
        Last day of service counted.
    data_version : str
        Version of the records.
    """

    family: str
    level: str
    kind: str
    members: tuple[tuple[str, str], ...]
    hulls: pd.DataFrame
    counts: pd.DataFrame
    ranges: pd.DataFrame
    parent: tuple[str, str] | None
    order: Streams | None
    balance: MassBalance | None
    bracket: Bracket | None
    rates: ClaimRates | None
    forecast: Forecast | None
    alternatives: pd.DataFrame
    telling: pd.DataFrame
    definition: CaseDefinition | None
    as_of: date | None
    data_version: str


def contain(
    store: Store,
    family: str,
    level: str,
    *,
    also: Sequence[tuple[str, str]] = (),
    definition: CaseDefinition | None = None,
    as_of: date | None = None,
    people_reason: str | None = None,
    states: Mapping[str, str] | None = None,
    widen: bool = False,
    until_month: int | None = None,
) -> Containment:
    """List every hull that carries a level, or may carry it.

    A hull is *recorded* when the level stands in its records; *cleared* when another level
    stands there for every use. Where a record is missing, the uses before and after it, in
    the order of the work, tell a chance: *probable* from one half, *possible* from one in
    a hundred or when no chance can be told, *remote* below. A missing record never clears.
    A hull whose drum is not known is cleared all the same when its lots are all written
    down and the drum's lot is not among them. *Not applicable* are hulls of models that do
    not have that part and step.

    Parameters
    ----------
    store : Store
        The records.
    family, level : str
        The suspect, as typed.
    also : sequence of (str, str)
        Further suspects that cannot be told from it: the union is held until decided.
    definition : CaseDefinition, optional
        Says which hulls are affected; the hulls of all models are listed all the same.
    as_of : date, optional
        Day up to which months in service are counted; the latest day on which a claim
        was opened when left out.
    people_reason : str, optional
        Why a family of people is asked for.
    states : mapping of str to str, optional
        State of the action by hull serial, one of
        :data:`~tracegraph.domain.holding.HOLD_STATES`.
    widen : bool, default False
        Whether the neighbours that are not shown clean are listed too, as possible.
    until_month : int, optional
        Month in service up to which further claims are foreseen; where the data end when
        left out.

    Returns
    -------
    Containment
        Hulls, counts and ranges, with what checks and foresees them.

    Raises
    ------
    UnknownNameError
        If there is no such family or level, with the near names.
    DefinitionError
        If the family is one of people and no reason is given, a state is none of the six,
        or further claims cannot be carried on so far.
    """
    with store.session() as session:
        suspects = [
            find_suspect(session, *names, people_reason=people_reason)
            for names in [(family, level), *also]
        ]
        asked = _Asked.settle(session, store, definition, as_of, states, widen, until_month)
        members = [grade(session, one, asked.hulls.index) for one in dict.fromkeys(suspects)]
        return asked.answer(session, members, balance_of(session, members[0]))


def contain_window(
    store: Store,
    first: date,
    last: date,
    *,
    work: tuple[str, str] | None = None,
    definition: CaseDefinition | None = None,
    as_of: date | None = None,
    states: Mapping[str, str] | None = None,
    widen: bool = False,
    until_month: int | None = None,
) -> Containment:
    """List every hull worked on within some days; see :func:`contain`.

    Parameters
    ----------
    store : Store
        The records.
    first, last : date
        The window, both days included, on the site's own calendar.
    work : tuple of (str, str), optional
        Part and step that must fall into it; the day of building when left out.
    definition, as_of, states, widen, until_month
        As for :func:`contain`.

    Returns
    -------
    Containment
        Of kind ``window``.

    Raises
    ------
    DefinitionError
        If the window ends before it begins.
    UnknownNameError
        If the records know no such step of such a part.
    """
    zone = store.meta("time_zone") or "UTC"
    with store.session() as session:
        asked = _Asked.settle(session, store, definition, as_of, states, widen, until_month)
        graded, day = grade_window(
            session, first, last, asked.hulls.index, work=work, time_zone=zone
        )
        return asked.answer(session, [graded], None, day)


@dataclass(frozen=True, eq=False)
class _Asked:
    """What a containment was asked besides its suspect, and every hull of the records."""

    store: Store
    definition: CaseDefinition | None
    as_of: date | None
    states: dict[str, str]
    widen: bool
    until_month: int | None
    hulls: pd.DataFrame
    severe: float

    @classmethod
    def settle(
        cls,
        session: Connection,
        store: Store,
        definition: CaseDefinition | None,
        as_of: date | None,
        states: Mapping[str, str] | None,
        widen: bool,
        until_month: int | None,
    ) -> _Asked:
        checked = checked_states(states or {})
        if definition is None:
            session.run("contain/no_cases")
        else:
            definition = draw_cohort(session, definition).definition
        last_day = as_of or session.scalar(sql_text("contain/last_day"))
        words = (definition or CaseDefinition()).parameters()
        hulls = session.frame("contain/hulls", words | {"as_of": last_day}).set_index("hull_id")
        classed, severe = session.named_rows("contain/severity", words)[0]
        share = (severe + 0.5) / (classed + 1.0)
        return cls(store, definition, last_day, checked, widen, until_month, hulls, share)

    def answer(
        self,
        session: Connection,
        members: list[Graded],
        balance: MassBalance | None,
        day: Floats | None = None,
    ) -> Containment:
        first = members[0]
        grades = union(members)
        names = tuple((one.suspect.family, one.suspect.level) for one in members)
        rates = None if self.definition is None else claim_rates(session, grades)
        bracket = None
        if rates is not None:
            if day is not None:
                bracket = bracket_of_window(first, day, rates)
            elif len(members) == 1:
                bracket = bracket_of(session, first, rates)
        if bracket is not None and self.widen:
            grades = with_bracket(grades, bracket)
        graded = self.hulls.join(grades)
        on_list = graded[graded["grade"].isin(TO_ACT_ON)]
        foreseen = self._foreseen(rates, on_list, names)
        session.register("graded", graded.reset_index())
        ranges = session.frame("contain/ranges")
        session.unregister("graded")
        return Containment(
            family=first.suspect.family,
            level=first.suspect.level,
            kind=first.suspect.kind,
            members=names,
            hulls=listed(
                on_list, foreseen, self.states, self.severe, asked=self.definition is not None
            ),
            counts=counts_of(graded),
            ranges=ranges,
            parent=None if first.parent is None else (first.parent.family, first.parent.level),
            order=None if first.chances is None else first.chances.streams,
            balance=balance,
            bracket=bracket,
            rates=rates,
            forecast=foreseen,
            alternatives=alternatives(members, on_list.index),
            telling=telling_hulls(members, self.hulls, rates),
            definition=self.definition,
            as_of=self.as_of,
            data_version=self.store.version,
        )

    def _foreseen(
        self, rates: ClaimRates | None, on_list: pd.DataFrame, names: tuple[tuple[str, str], ...]
    ) -> Forecast | None:
        if rates is None or self.definition is None:
            return None
        gone = on_list["exit_on"].notna()
        if self.as_of is not None:
            gone &= on_list["exit_on"] <= pd.Timestamp(self.as_of)
        words = [word for pair in names for word in pair]
        seed = seed_from(self.store.version, self.definition.fingerprint(), *words)
        # A hull that only stands beside the suspect claims as is usual, as far as is known.
        chance = on_list["probability"].mask(on_list["reason"] == BESIDE, 0.0)
        return forecast(
            rates,
            on_list.assign(gone=gone.to_numpy(bool), probability=chance),
            until_month=self.until_month,
            seed=int(np.uint64(seed)),
        )
