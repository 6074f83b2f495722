"""Fill the slots of a SQL text with names and expressions of our own.

Identifiers cannot be bound. Only names of our record tables, the staging columns ``c0``,
``c1``, ... and calls of our macros go into a slot; text from files is always bound.
"""

from __future__ import annotations

import re

from tracegraph.store.queries import sql_text

_SLOT = re.compile(r"\{\{(\w+)\}\}")


def compose(name: str, **slots: str) -> str:
    """Text of a named SQL file with its ``{{slots}}`` filled.

    Raises
    ------
    KeyError
        If a slot of the text is not given.
    """
    return _SLOT.sub(lambda match: slots[match[1]], sql_text(name))
