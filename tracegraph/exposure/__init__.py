"""Turn linked records into the exposure table: hull, question, answer.

Three answers are kept apart: exposed to a level, not exposed, and not written down. A
missing record is never "not exposed".
"""

from tracegraph.exposure.build import build_exposure
from tracegraph.exposure.conditions import logged_conditions, work_out_conditions
from tracegraph.exposure.frames import exposure_from_frames
from tracegraph.exposure.renewal import renew_exposure

__all__ = [
    "EXPOSED",
    "build_exposure",
    "exposure_from_frames",
    "logged_conditions",
    "renew_exposure",
    "work_out_conditions",
]

EXPOSED = (
    "families",
    "levels",
    "exposure",
    "measured_values",
    "repeated_values",
    "unanswered",
)
"""Tables that exposure fills."""
