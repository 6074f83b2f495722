"""Structured notes: five whys, a cause-and-effect sketch, tied line by line to evidence."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from tracegraph.domain.errors import CaseFileError

FIVE_WHYS, SKETCH = "five whys", "cause and effect"
NOTE_FORMS: tuple[str, ...] = ("note", FIVE_WHYS, SKETCH, "team", "prevention", "thanks")

MOST_WHYS = 5
_RESTS = re.compile(r"^(?P<text>.*?)\s*\[(?P<entries>\s*\d+(?:\s*,\s*\d+)*\s*)\]$")


def note_lines(form: str, lines: Sequence[str], last: int) -> list[dict[str, Any]]:
    """Read the lines of a note.

    Parameters
    ----------
    form : str
        One of :data:`NOTE_FORMS`.
    lines : sequence of str
        In order. A line that ends with numbers in brackets, as ``voids at the chine [4, 7]``,
        rests on those entries. Lines of a cause-and-effect sketch begin with their branch:
        ``material: soft lot [3]``.
    last : int
        Place of the last entry of the case.

    Returns
    -------
    list of dict
        ``branch`` (empty but in a sketch), ``text``, ``evidence`` (places of entries).

    Raises
    ------
    CaseFileError
        If the form is unknown, a line is blank, a sketch's line has no branch, there are
        more than five whys, or an entry is not there.

    Examples
    --------
    >>> note_lines("cause and effect", ["mold: worn chine [2]"], 3)
    [{'branch': 'mold', 'text': 'worn chine', 'evidence': [2]}]
    """
    if form not in NOTE_FORMS:
        raise CaseFileError(f"A note is one of {', '.join(NOTE_FORMS)}; got {form!r}. Choose one.")
    if form == FIVE_WHYS and len(lines) > MOST_WHYS:
        raise CaseFileError(
            f"Five whys have up to {MOST_WHYS} lines; got {len(lines)}. Join some, or write a note."
        )
    read = [_read(form, line, last) for line in lines]
    if not read:
        raise CaseFileError("A note needs a line; got none. Write it down.")
    return read


def _read(form: str, line: str, last: int) -> dict[str, Any]:
    rests = _RESTS.match(line.strip())
    text = rests["text"] if rests else line.strip()
    evidence = [int(one) for one in rests["entries"].split(",")] if rests else []
    for place in evidence:
        if not 1 <= place <= last:
            raise CaseFileError(
                f"A line rests on some of the entries 1 to {last}; got {place} in {line!r}."
            )
    branch = ""
    if form == SKETCH:
        branch, colon, text = (part.strip() for part in text.partition(":"))
        if not colon or not branch:
            raise CaseFileError(
                "A line of a cause-and-effect sketch begins with its branch, as "
                f"'material: soft lot'; got {line!r}."
            )
    if not text:
        raise CaseFileError(f"A line of a note must say something; got {line!r}.")
    return {"branch": branch, "text": text, "evidence": evidence}
