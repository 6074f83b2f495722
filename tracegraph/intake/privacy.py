"""Blot out what tells who a customer is from the free text of claims."""

from __future__ import annotations

import re

import pyarrow as pa

from tracegraph.intake.compose import compose
from tracegraph.intake.staging import Page
from tracegraph.store import Build

_EMAIL = re.compile(r"[\w.+-]+@[\w-]+(\.[\w-]+)+")
_WHOLE_WORDS = "street|road|avenue|lane|drive|boulevard"
_SHORT_WORDS = "St|Rd|Ave|Ln|Dr|Blvd|Ct|Court|Way|Place|Pl|Square"
_ADDRESS = re.compile(
    rf"\b\d{{1,5}}[a-z]? +(?:[A-Za-z][\w'.-]* +){{1,3}}(?i:{_WHOLE_WORDS})\b"
    rf"|\b\d{{1,5}}[a-z]? +(?:[A-Z][\w'.-]* +){{1,3}}(?:{_SHORT_WORDS})\b\.?"
    r"|\b[A-Z][\w-]*(?:stra(?:ss|ß)e|str\.|weg|platz|allee) *\d{1,4}[a-z]?\b"
    r"|\b[Pp]\.? ?[Oo]\.? +[Bb]ox +\d+"
)
_PHONE = re.compile(r"(?<![\w.-])(\+?\(?\d[\d ().\-/]{5,20}\d)(?![\w-])")
_DATE = re.compile(r"\d{4}[-/.]\d{1,2}[-/.]\d{1,2}|\d{1,2}[-/.]\d{1,2}[-/.](\d{4}|\d{2})")


def mask(text: str) -> str:
    """Text without e-mail addresses, phone numbers and street addresses.

    Parameters
    ----------
    text : str
        A dealer's words.

    Returns
    -------
    str
        The same with ``[e-mail]``, ``[phone]`` and ``[address]`` in their place.

    Examples
    --------
    >>> mask("12 Harbor View Road, call +1 555 010 9999 or jo@example.org; seen 2025-03-04")
    '[address], call [phone] or [e-mail]; seen 2025-03-04'
    """
    text = _EMAIL.sub("[e-mail]", text)
    text = _ADDRESS.sub("[address]", text)
    return _PHONE.sub(_blot_phone, text)


def _blot_phone(match: re.Match[str]) -> str:
    written = match[1]
    digits = sum(character.isdigit() for character in written)
    if _DATE.fullmatch(written.strip()) or not 7 <= digits <= 15:
        return match[0]
    bare = written.isdigit()
    return "[phone]" if not bare or digits in (10, 11) else match[0]


def mask_page(build: Build, page: Page, columns: list[int]) -> int:
    """Blot out personal marks in some columns of a staged page.

    Parameters
    ----------
    build : Build
        Holds the page.
    page : Page
        The page.
    columns : list of int
        Columns of free text.

    Returns
    -------
    int
        Rows that were changed.
    """
    changed = 0
    for index in columns:
        column = f"c{index}"
        found = [text for (text,) in build.rows(compose("intake/personal_marks", column=column))]
        masked = {text: mask(text) for text in found}
        table = pa.table(
            {
                "text": pa.array([t for t in found if masked[t] != t], pa.string()),
                "masked": pa.array([masked[t] for t in found if masked[t] != t], pa.string()),
            }
        )
        build.register("masks", table)
        changed += int(build.scalar(compose("intake/count_masked", column=column)))
        build.execute(compose("intake/mask_page", column=column))
        build.unregister("masks")
    return changed
