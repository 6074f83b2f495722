"""Settings that rest on common practice in the trade, each of which a plant may replace.

None of these is a limit set by a rule; local codes and the material makers' sheets decide.
"""

from __future__ import annotations

AMBIENT_QUANTITIES: tuple[str, ...] = (
    "ambient_temp",
    "mold_temp",
    "relative_humidity",
    "dew_point",
    "dew_point_margin",
)
"""Quantities shown as ambient conditions; all others are process readings."""

CURE_HOURS: dict[str, float] = {
    "gelcoat spray": 1.0,
    "skin coat": 4.0,
    "laminate": 24.0,
    "bond": 12.0,
}
"""Hours after a step's end over which conditions still count (common practice)."""

FRESH_MINUTES: int = 120
"""How old a logged value may be to stand for work too short to hold one (common practice)."""
