"""What a reader asked for, as it stands in the address, so that a link can be mailed.

The reason for showing families of people is never in the address: whoever opens the link
gives a reason of their own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date
from typing import get_args

from tracegraph.analysis.ranking import Order
from tracegraph.domain.definition import CERTAINTY_ORDER, CaseDefinition
from tracegraph.domain.errors import DefinitionError
from tracegraph.report.formats import USUAL, Formats, read_formats

Address = dict[str, list[str]]

KEYS = (
    "store", "symptom", "zone", "component", "model", "plant", "from", "to", "certainty",
    "landmark", "control", "factor", "level", "hull", "beside", "order", "mark", "case", "section",
    "view", "dates", "decimal", "temperature", "thickness", "figures",
)  # fmt: skip
"""Names in the address that this app reads and writes."""

_USUAL = CERTAINTY_ORDER[:2]


@dataclass(frozen=True)
class Asked:
    """What the pages are asked to show.

    Attributes
    ----------
    store : str or None
        Name of the store's folder, beside the usual one; None: the usual one.
    symptom, zone, component, model, plant : tuple of str
        Limits of the definition; empty: all.
    built_from, built_to : date or None
        Range of building.
    certainty : tuple of str
        How sure findings must be.
    landmark : int or None
        Months in service of the plain table; None: chosen from the data.
    control : tuple of str
        Symptoms that cannot share the cause, of which a suspect's hulls must have no more.
    factor, level : str or None
        The suspect looked at.
    hull : str or None
        The hull, claim or part looked at, as typed.
    beside : str or None
        Another hull that it is compared with, as typed.
    order : {"evidence", "fisher"}
        What suspects are sorted by.
    mark : str or None
        The mark of the graph whose lines stand out.
    case : str or None
        Number of the case file looked at.
    section : str or None
        The section of the methods that is read.
    view : tuple of (str, str)
        Further controls that are not as usual, by name; see :func:`tracegraph.pages.state.viewed`.
    formats : Formats
        How the reader wants dates, numbers and units written.
    """

    store: str | None = None
    symptom: tuple[str, ...] = ()
    zone: tuple[str, ...] = ()
    component: tuple[str, ...] = ()
    model: tuple[str, ...] = ()
    plant: tuple[str, ...] = ()
    built_from: date | None = None
    built_to: date | None = None
    certainty: tuple[str, ...] = _USUAL
    landmark: int | None = None
    control: tuple[str, ...] = ()
    factor: str | None = None
    level: str | None = None
    hull: str | None = None
    beside: str | None = None
    order: Order = "evidence"
    mark: str | None = None
    case: str | None = None
    section: str | None = None
    view: tuple[tuple[str, str], ...] = ()
    formats: Formats = USUAL

    def definition(self) -> CaseDefinition:
        """The case definition that this describes.

        Raises
        ------
        DefinitionError
            If it contradicts itself.
        """
        return CaseDefinition(
            symptoms=self.symptom,
            zones=self.zone,
            components=self.component,
            models=self.model,
            plants=self.plant,
            built_from=self.built_from,
            built_to=self.built_to,
            certainty=self.certainty,
            landmark_months=self.landmark,
        )

    def address(self) -> Address:
        """Names and values for the address; what is as usual is left out.

        Examples
        --------
        >>> Asked(symptom=("blister",), built_from=date(2025, 1, 2)).address()
        {'symptom': ['blister'], 'from': ['2025-01-02']}
        """
        found: dict[str, Sequence[str]] = {
            "store": _one(self.store),
            "symptom": self.symptom,
            "zone": self.zone,
            "component": self.component,
            "model": self.model,
            "plant": self.plant,
            "from": _one(None if self.built_from is None else self.built_from.isoformat()),
            "to": _one(None if self.built_to is None else self.built_to.isoformat()),
            "certainty": () if self.certainty == _USUAL else self.certainty,
            "landmark": _one(None if self.landmark is None else str(self.landmark)),
            "control": self.control,
            "factor": _one(self.factor),
            "level": _one(self.level),
            "hull": _one(self.hull),
            "beside": _one(self.beside),
            "order": () if self.order == "evidence" else (self.order,),
            "mark": _one(self.mark),
            "case": _one(self.case),
            "section": _one(self.section),
            "view": tuple(f"{name}:{value}" for name, value in self.view),
        }
        for name, usual in asdict(USUAL).items():
            chosen = getattr(self.formats, name)
            found[name] = () if chosen == usual else (chosen,)
        return {name: list(values) for name, values in found.items() if values}


def read_address(address: Mapping[str, Sequence[str]]) -> Asked:
    """What an address asks for; names that are not ours are ignored.

    Parameters
    ----------
    address : mapping of str to sequence of str
        From the browser.

    Returns
    -------
    Asked
        Its words as they are; whether the records know them shows later.

    Raises
    ------
    DefinitionError
        If a date or a number in it is none.

    Examples
    --------
    >>> read_address({"symptom": ["blister"], "hull": ["BT-1001"], "other": ["x"]}).hull
    'BT-1001'
    """
    single = {
        name: values[0].strip() for name, values in address.items() if values and values[0].strip()
    }
    many = {
        name: tuple(value.strip() for value in values if value.strip())
        for name, values in address.items()
    }
    return Asked(
        store=single.get("store"),
        symptom=many.get("symptom", ()),
        zone=many.get("zone", ()),
        component=many.get("component", ()),
        model=many.get("model", ()),
        plant=many.get("plant", ()),
        built_from=_day("from", single),
        built_to=_day("to", single),
        certainty=many.get("certainty") or _USUAL,
        landmark=_whole("landmark", single),
        control=many.get("control", ()),
        factor=single.get("factor"),
        level=single.get("level"),
        hull=single.get("hull"),
        beside=single.get("beside"),
        order=_order(single),
        mark=single.get("mark"),
        case=single.get("case"),
        section=single.get("section"),
        view=tuple((name, value) for name, mark, value in _parts(many.get("view", ())) if mark),
        formats=read_formats(single),
    )


def _parts(views: Sequence[str]) -> list[tuple[str, str, str]]:
    return [view.partition(":") for view in views]


def _one(value: str | None) -> tuple[str, ...]:
    return (value,) if value else ()


def _order(single: Mapping[str, str]) -> Order:
    found = single.get("order", "evidence")
    orders: tuple[Order, ...] = get_args(Order)
    for order in orders:
        if order == found:
            return order
    raise DefinitionError(
        f"order in the address must be evidence or fisher; got {found!r}. Mend the address, or "
        "open the page without it."
    )


def _day(name: str, single: Mapping[str, str]) -> date | None:
    if name not in single:
        return None
    try:
        return date.fromisoformat(single[name])
    except ValueError:
        raise DefinitionError(
            f"{name} in the address must be a date like 2026-03-09; got {single[name]!r}. "
            "Mend the address, or open the page without it."
        ) from None


def _whole(name: str, single: Mapping[str, str]) -> int | None:
    if name not in single:
        return None
    if not (single[name].isascii() and single[name].isdigit()):
        raise DefinitionError(
            f"{name} in the address must be a whole number of months; got {single[name]!r}. "
            "Mend the address, or open the page without it."
        )
    return int(single[name])
