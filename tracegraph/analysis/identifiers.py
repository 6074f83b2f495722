"""Which thing a number typed by a person names."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

from tracegraph.domain.errors import AmbiguousNameError, UnknownHullError
from tracegraph.genealogy import NODE_KINDS, node_id
from tracegraph.store import Connection
from tracegraph.store.queries import sql_text

SHORTEST_ENDING = 3
"""Fewest last characters by which a hull may be named."""

_QUERIES = tuple(f"trace/find_{how}" for how in ("same", "exact", "in_plants", "loose", "ending"))
_WHAT = "hull, claim, part, lot or mold"
_DASHES = re.compile("[\u2010-\u2015\u2212\ufe58\ufe63\uff0d]")
_INVISIBLE = re.compile("[\u00ad\u200b-\u200f\u2028-\u202e\u2060-\u2064\ufeff]")


@dataclass(frozen=True)
class Named:
    """One thing of the genealogy.

    Attributes
    ----------
    kind : str
        Kind of node.
    key : str
        Identity within its kind.
    """

    kind: str
    key: str

    @property
    def id(self) -> str:
        """Identity within a graph."""
        return node_id(self.kind, self.key)


def find(session: Connection, identifier: str) -> tuple[Named, ...]:
    """The thing that a number typed by a person names.

    Tried in this order, until something answers: the number as it is (without regard to
    case; a lot or drum may be given with or without its material; a hull also by job or
    hull identification number, with or without country code); where plants are joined, the
    number without its plant; its letters and digits
    alone, or a drum's number alone; the last characters of a hull's numbers. A kind and a
    colon in front (``lot:Z-55``) limit the search. People are no way to start a search.

    Parameters
    ----------
    session : Connection
        Line to a store.
    identifier : str
        As typed.

    Returns
    -------
    tuple of Named
        One thing; for a claim number, all of its lines.

    Raises
    ------
    AmbiguousNameError
        If it names several things; lots are then offered as ``MATERIAL|LOT``.
    UnknownHullError
        If it names nothing; the nearest names are offered.
    """
    kind, typed = _split_kind(_cleaned(identifier))
    letters = "".join(c for c in typed.upper() if unicodedata.category(c)[0] in "LN")
    asked = {"typed": typed, "kind": kind, "letters": letters, "hin": hin_key(typed)}
    for query in _QUERIES:
        if not letters or (query.endswith("ending") and len(letters) < SHORTEST_ENDING):
            continue
        rows = session.rows(sql_text(query), asked)
        found = [Named(*row[:2]) for row in rows if row[2]] or [Named(*row[:2]) for row in rows]
        if found:
            return _one_thing(identifier, found)
    near = session.rows(sql_text("trace/find_near"), asked)
    look_alikes = [name for name, look_alike in near if look_alike]
    raise UnknownHullError(_WHAT, identifier, look_alikes or [name for name, _ in near])


def hin_key(text: str) -> str:
    """A hull identification number without spaces, hyphens and country, for matching.

    Examples
    --------
    >>> hin_key("us-qzx 00042 c525")
    'QZX00042C525'
    """
    letters = re.sub("[^A-Z0-9]", "", text.upper())
    return letters[2:] if re.fullmatch("[A-Z]{2}[A-Z0-9]{12}", letters) else letters


def _cleaned(text: str) -> str:
    plain = _DASHES.sub("-", _INVISIBLE.sub("", text))
    return " ".join(plain.split())


def _split_kind(text: str) -> tuple[str, str]:
    kind, colon, rest = text.partition(":")
    if colon and kind.strip().lower() in NODE_KINDS:
        return kind.strip().lower(), rest.strip()
    return "", text


def _one_thing(identifier: str, found: list[Named]) -> tuple[Named, ...]:
    claims = {named.key.rsplit("/", 1)[0] for named in found}
    if len(found) == 1 or ({named.kind for named in found} == {"claim"} and len(claims) == 1):
        return tuple(found)
    one_kind = len({named.kind for named in found}) == 1
    raise AmbiguousNameError(identifier, [named.key if one_kind else named.id for named in found])
