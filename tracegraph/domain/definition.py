"""Which claims count as cases: the case definition and its one English sentence."""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict, dataclass, replace
from datetime import date
from typing import Any

from tracegraph.domain.errors import DefinitionError

CERTAINTY_ORDER: tuple[str, ...] = ("confirmed", "probable", "possible")
IN_SERVICE = "in service"
BEFORE_DELIVERY = "before delivery"
CLAIM_TYPES: tuple[str, ...] = (IN_SERVICE, BEFORE_DELIVERY)


@dataclass(frozen=True)
class CaseDefinition:
    """The claims that count, and the hulls that could have made one.

    Attributes
    ----------
    symptoms : tuple of str
        Symptom words; empty: all symptoms.
    zones, components, models, plants : tuple of str
        Further limits; empty: all.
    built_from, built_to : date or None
        First and last day of building, both included.
    service_months : tuple of int or None, length 2
        First and last month in service of the claims that count; None: open.
    certainty : tuple of str
        How sure a finding must be; a blank counts as probable.
    claim_types : tuple of str
        ``"in service"``, ``"before delivery"``.
    cut_off : date or None
        Last day of the data; None: the latest day on which a claim was opened.
    reporting_days : int or None
        Days within which nearly all claims are reported; None: from the data.
    landmark_months : int or None
        Months in service at which the plain table is drawn; None: the month that keeps
        the most cases.
    """

    symptoms: tuple[str, ...] = ()
    zones: tuple[str, ...] = ()
    components: tuple[str, ...] = ()
    models: tuple[str, ...] = ()
    plants: tuple[str, ...] = ()
    built_from: date | None = None
    built_to: date | None = None
    service_months: tuple[int | None, int | None] = (None, None)
    certainty: tuple[str, ...] = ("confirmed", "probable")
    claim_types: tuple[str, ...] = (IN_SERVICE,)
    cut_off: date | None = None
    reporting_days: int | None = None
    landmark_months: int | None = None

    def __post_init__(self) -> None:
        for name, given, allowed in (
            ("certainty", self.certainty, CERTAINTY_ORDER),
            ("claim_types", self.claim_types, CLAIM_TYPES),
        ):
            wrong = [word for word in given if word not in allowed]
            if wrong or not given:
                raise DefinitionError(
                    f"{name} must be some of {', '.join(allowed)}; got "
                    f"{', '.join(wrong) if wrong else 'nothing'}."
                )
        if self.built_from and self.built_to and self.built_from > self.built_to:
            raise DefinitionError(
                f"built_from must not lie after built_to; got {self.built_from} and "
                f"{self.built_to}. Exchange them."
            )
        first, last = self.service_months
        if any(month is not None and month < 0 for month in (first, last)) or (
            first is not None and last is not None and first > last
        ):
            raise DefinitionError(
                f"service_months must be two rising whole numbers such as 0:24; got {first}:{last}."
            )
        for name, number in (
            ("reporting_days", self.reporting_days),
            ("landmark_months", self.landmark_months),
        ):
            if number is not None and number < 0:
                raise DefinitionError(f"{name} must not be negative; got {number}.")

    def sentence(self) -> str:
        """The definition in words.

        Returns
        -------
        str
            One sentence.

        Examples
        --------
        >>> CaseDefinition(symptoms=("blister",), models=("S22",)).sentence()
        'Claims of blister on model S22, confirmed or probable, in service.'
        """
        pieces = [f"Claims of {_either(self.symptoms) or 'any symptom'}"]
        if self.zones:
            pieces.append(f"in {_either(self.zones)}")
        if self.components:
            pieces.append(f"concerning {_either(self.components)}")
        plural = "s" if len(self.models) > 1 else ""
        pieces.append(
            f"on model{plural} {_either(self.models)}" if self.models else "on all models"
        )
        if self.plants:
            pieces.append(f"from plant{'s' if len(self.plants) > 1 else ''} {_either(self.plants)}")
        if self.built_from and self.built_to:
            pieces.append(f"built {self.built_from} to {self.built_to}")
        elif self.built_from:
            pieces.append(f"built from {self.built_from}")
        elif self.built_to:
            pieces.append(f"built up to {self.built_to}")
        text = " ".join(pieces) + f", {_either(self.certainty)}, {_either(self.claim_types)}"
        first, last = self.service_months
        if first is not None or last is not None:
            text += f", from month {first or 0}" + (
                f" to month {last}" if last is not None else " on"
            )
        return text + "."

    def parameters(self) -> dict[str, Any]:
        """Values for the ``$names`` of the cohort queries; an empty list means all."""
        first, last = self.service_months
        return {
            "symptoms": [word.casefold() for word in self.symptoms],
            "zones": [word.casefold() for word in self.zones],
            "components": [word.casefold() for word in self.components],
            "models": [word.casefold() for word in self.models],
            "plants": [word.casefold() for word in self.plants],
            "certainty": list(self.certainty),
            "in_service": IN_SERVICE in self.claim_types,
            "before_delivery": BEFORE_DELIVERY in self.claim_types,
            "built_from": self.built_from,
            "built_to": self.built_to,
            "first_month": first,
            "last_month": last,
            "cut_off": self.cut_off,
            "reporting_days": self.reporting_days,
            "landmark_months": self.landmark_months,
        }

    def resolved(self, **found: Any) -> CaseDefinition:
        """The same definition with what the data settled (cut-off, allowance, landmark)."""
        return replace(self, **found)

    def as_json(self) -> dict[str, Any]:
        """Plain values for JSON."""
        values = asdict(self)
        for name in ("built_from", "built_to", "cut_off"):
            values[name] = None if values[name] is None else values[name].isoformat()
        return {name: list(v) if isinstance(v, tuple) else v for name, v in values.items()}

    @classmethod
    def from_json(cls, values: dict[str, Any]) -> CaseDefinition:
        """The definition that :meth:`as_json` wrote.

        Examples
        --------
        >>> one = CaseDefinition(symptoms=("leak",), built_from=date(2024, 1, 1))
        >>> CaseDefinition.from_json(one.as_json()) == one
        True
        """
        found: dict[str, Any] = {
            name: tuple(v) if isinstance(v, list) else v for name, v in values.items()
        }
        for name in ("built_from", "built_to", "cut_off"):
            found[name] = None if found[name] is None else date.fromisoformat(found[name])
        return cls(**found)

    def fingerprint(self) -> str:
        """Short hash that changes when the definition does.

        Plants that are not limited do not enter it: it stays what it was before plants.
        """
        told = {name: v for name, v in self.as_json().items() if v or name != "plants"}
        text = json.dumps(told, sort_keys=True)
        return hashlib.sha256(text.encode()).hexdigest()[:16]


def _either(words: tuple[str, ...]) -> str:
    if len(words) < 2:
        return "".join(words)
    return ", ".join(words[:-1]) + " or " + words[-1]
