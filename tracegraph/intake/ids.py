"""Read identities and words: text that is never a number, never a date.

Two identities are the same when they differ only in letter case, in characters that no
eye can see, or in the kind of dash. Letters and digits that look alike (O and 0) are
never merged.
"""

from __future__ import annotations

import re
import unicodedata

from tracegraph.intake.rules import IdRule, Reading, ReadingRules, missing_word

# All of Unicode's dashes, and what is drawn as one: minus signs, a bullet, a ruled line.
_DASHES = dict.fromkeys(
    [ord(c) for c in "\u02d7\u2043\u207b\u208b\u2212\u2500\u2501\u2796"]
    + [point for point in range(0x80, 0x10000) if unicodedata.category(chr(point)) == "Pd"],
    "-",
)
# Letters, digits and marks that East Asian keyboards write at double width.
_WIDE = {wide: chr(wide - 0xFEE0) for wide in range(0xFF01, 0xFF5F)}
# Letters and marks that are drawn as nothing: Unicode's Default_Ignorable_Code_Point beyond
# the format characters, and the empty Braille cell.
_DRAWN_AS_NOTHING = frozenset(
    {0x034F, 0x115F, 0x1160, 0x17B4, 0x17B5, 0x2800, 0x3164, 0xFFA0}.union(
        range(0x180B, 0x1810), range(0xFE00, 0xFE10), range(0xE0100, 0xE01F0)
    )
)
_SPACES = re.compile(r"\s+")
_SCIENTIFIC = re.compile(r"[+-]?\d([.,]\d+)?[eE]\+\d+|[+-]?\d[.,]\d+[eE]-\d+")
_FORCED = re.compile("""="([^"]+)"|'([^']*[^' ])""")
FORMULA_STARTS = ("=", "+", "-", "@")
_AROUND_TEXT = " \t\n\r\u00a0"
SPOILED = "likely spoiled by a spreadsheet"


def unprotected(text: str) -> str:
    """Text without a spreadsheet's own mark for what only looks like a formula.

    Examples
    --------
    >>> unprotected("'=2+5"), unprotected("'tis")
    ('=2+5', "'tis")
    """
    return text[1:] if text[:1] == "'" and text[1:2] in FORMULA_STARTS else text


def _unforced(text: str) -> str:
    """Identity without the marks by which an export forces a spreadsheet to keep it as text.

    Examples
    --------
    >>> _unforced('="0042"'), _unforced("'0042"), _unforced("'A'"), _unforced("=2+5")
    ('0042', '0042', "'A'", '=2+5')
    """
    if forced := _FORCED.fullmatch(text):
        return forced[1] or forced[2]
    return text


def visible(text: str) -> str:
    r"""Text without characters that cannot be seen, with plain spaces and dashes.

    Runs of spaces, tabs, line ends and non-breaking spaces become one space; spaces at
    both ends go; soft hyphens, zero-width and control characters go, and so does an
    apostrophe that keeps a spreadsheet from taking text for a formula.

    Parameters
    ----------
    text : str
        As written.

    Returns
    -------
    str
        What a reader sees.

    Examples
    --------
    >>> visible("\u00a0BT\u20111002\u200b ")
    'BT-1002'
    """
    text = unprotected(text)
    if text.isascii() and text.isprintable():
        return _SPACES.sub(" ", text).strip()
    text = unicodedata.normalize("NFC", text.translate(_DASHES).translate(_WIDE))
    plain = _SPACES.sub(" ", text)
    kept = "".join(c for c in plain if not _unseen(c))
    return _SPACES.sub(" ", kept).strip()


def invisible_marks(text: str) -> list[str]:
    r"""Code points in a text that :func:`visible` takes away or replaces with plain ones.

    Examples
    --------
    >>> invisible_marks("BT-1\u200b")
    ['U+200B']
    """
    marks = {
        f"U+{ord(c):04X}"
        for c in text
        if c != " " and (ord(c) in _DASHES or ord(c) in _WIDE or c.isspace() or _unseen(c))
    }
    return sorted(marks)


def _unseen(character: str) -> bool:
    return unicodedata.category(character) in ("Cf", "Cc") or ord(character) in _DRAWN_AS_NOTHING


def read_id(text: str, rules: ReadingRules, own: IdRule | None = None) -> Reading:
    """Read an identity: as written, without what no eye can see.

    Parameters
    ----------
    text : str
        As written.
    rules : ReadingRules
        Gives the missing words.
    own : IdRule, optional
        Rule of the field.

    Returns
    -------
    Reading
        ``rule`` names the code points that were taken away, if any. A NUL character
        inside is a problem: what stood there is lost.
    """
    seen = visible(text)
    forced, seen = seen, _unforced(seen)
    if seen.lower() in rules.absent:
        return missing_word(text)
    if "\0" in text.strip("\0 \t\r\n"):
        return Reading(None, None, "an identity without NUL characters inside")
    if own is not None:
        meant, rule = _by_own_rule(seen, own)
        if rule is not None:
            return Reading(meant, rule)
    marks = invisible_marks(text)
    if marks:
        return Reading(seen, f"invisible characters or dashes: {' '.join(marks)}")
    if forced != seen:
        return Reading(seen, "marks that force a spreadsheet to keep text taken off")
    if _SCIENTIFIC.fullmatch(seen):
        return Reading(seen, SPOILED)
    return Reading(seen, "spaces" if seen != text.strip() else None)


def _by_own_rule(seen: str, own: IdRule) -> tuple[str, str | None]:
    meant = dict(own.same).get(seen.lower())
    if meant is not None:
        return meant, "the same, by intake.toml"
    for prefix in own.drop_prefix:
        if seen.lower().startswith(prefix.lower()) and len(seen) > len(prefix):
            return visible(seen[len(prefix) :]), f"prefix {prefix} taken off"
    if own.pad is not None and seen.isascii() and seen.isdigit() and len(seen) < own.pad:
        return seen.zfill(own.pad), f"filled with zeros to {own.pad}"
    return seen, None


def read_word(text: str, rules: ReadingRules, *, keep_capitals: bool = False) -> Reading:
    """Read a term; lower case unless its written capitals are kept.

    Parameters
    ----------
    text : str
        As written.
    rules : ReadingRules
        Gives the missing words.
    keep_capitals : bool, default False
        For names such as a model's; they are compared without regard to case later.
    """
    seen = visible(text)
    if seen.lower() in rules.absent:
        return missing_word(text)
    value = seen if keep_capitals else seen.lower()
    if value == text.strip():
        return Reading(value)
    return Reading(value, "letter case" if value == text.strip().lower() else "spaces")


def read_text(text: str) -> Reading:
    """Read free text: as written, without spaces at both ends."""
    return Reading(unprotected(text.strip(_AROUND_TEXT)) or None)
