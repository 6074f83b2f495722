"""Which of some hulls carry which of some suspects."""

from __future__ import annotations

from collections.abc import Sequence

from tracegraph.analysis.naming import find_suspect
from tracegraph.store import Store

Name = tuple[str, str]


def carrying(
    store: Store,
    hulls: Sequence[str],
    suspects: Sequence[Name],
    *,
    people_reason: str | None = None,
) -> dict[str, dict[Name, bool | None]]:
    """Whether each hull carries each suspect.

    Parameters
    ----------
    store : Store
        The records.
    hulls : sequence of str
        Serials, as the records write them.
    suspects : sequence of (str, str)
        Family and level of each.
    people_reason : str, optional
        Why a family of people is among them.

    Returns
    -------
    dict of str to dict
        By hull and suspect: True, False, or None where it is not recorded or does not
        apply.
    """
    with store.session() as session:
        found = {
            name: find_suspect(session, *name, people_reason=people_reason) for name in suspects
        }
        rows = session.named_rows(
            "suspect/carrying",
            {
                "family_ids": [one.family_id for one in found.values()],
                "level_ids": [one.level_id for one in found.values()],
                "hulls": list(hulls),
            },
        )
    told = {(hull, family, level): carries for hull, family, level, carries in rows}
    return {
        hull: {name: told.get((hull, one.family_id, one.level_id)) for name, one in found.items()}
        for hull in hulls
    }
