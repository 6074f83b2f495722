"""Tell columns that hold people's names, so that no proposal asks for them.

Records speak of people by code. A column of names is told by its header, or by texts that
look like names under a header for people; the words are common practice, from memory.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from tracegraph.intake.profiling import Profile
from tracegraph.intake.vocabulary import FIELD_WORDS, words

_NAMES = {"name", "names", "surname", "forename", "firstname", "lastname", "vorname", "nachname"}
_OF_THINGS = {"model", "part", "boat", "hull", "file", "sheet", "material", "product", "item"} | {
    "component", "supplier", "vendor", "company", "dealer", "station", "step", "checkpoint",
    "symptom", "defect", "mold", "mould", "equipment", "machine", "column", "field",
}  # fmt: skip
_PEOPLE = frozenset(
    word for field in ("operator", "inspector", "fitted_by", "crew") for word in FIELD_WORDS[field]
) | {"operator", "inspector", "person", "people", "employee", "staff", "owner", "customer"}
_LIKE_A_NAME = re.compile(r"[^\W\d_][\w'.-]*,? +[^\W\d_][\w'.-]*( [^\W\d_][\w'.-]*)?")


def holds_names(profile: Profile) -> bool:
    """Whether a column seems to hold names of people.

    Parameters
    ----------
    profile : Profile
        The column.
    """
    if profile.form != "text":
        return False
    told = words(profile.header)
    own = set(told.split())
    if own & _NAMES and not own & _OF_THINGS:
        return True
    alike = [bool(_LIKE_A_NAME.fullmatch(text)) for text in profile.examples]
    return told in _PEOPLE and bool(alike) and all(alike)


def is_name_list(profiles: Sequence[Profile]) -> bool:
    """Whether a sheet seems to be a list of the names behind codes: names, and no dates.

    Parameters
    ----------
    profiles : sequence of Profile
        Its columns.
    """
    named = any(holds_names(profile) for profile in profiles)
    return named and not any(profile.form in ("date", "time") for profile in profiles)
