"""Root-cause traceability: from warranty claims to what the affected hulls share upstream.

Examples
--------
>>> import tracegraph
>>> tracegraph.CaseDefinition(symptoms=("blister",)).sentence()
'Claims of blister on all models, confirmed or probable, in service.'
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from tracegraph.analysis.comparison import compare
    from tracegraph.analysis.containment import contain
    from tracegraph.analysis.flat import rank_table
    from tracegraph.analysis.ranking import rank, rank_frames
    from tracegraph.analysis.tracing import trace
    from tracegraph.domain.definition import CaseDefinition
    from tracegraph.domain.errors import TraceGraphError
    from tracegraph.intake import load
    from tracegraph.store import Store, open_store
    from tracegraph.synthetic import make_builds

__all__ = [
    "CaseDefinition",
    "Store",
    "TraceGraphError",
    "compare",
    "contain",
    "load",
    "make_builds",
    "open_store",
    "rank",
    "rank_frames",
    "rank_table",
    "trace",
]

_HOMES = {
    "CaseDefinition": "tracegraph.domain.definition",
    "Store": "tracegraph.store",
    "TraceGraphError": "tracegraph.domain.errors",
    "compare": "tracegraph.analysis.comparison",
    "contain": "tracegraph.analysis.containment",
    "load": "tracegraph.intake",
    "make_builds": "tracegraph.synthetic",
    "open_store": "tracegraph.store",
    "rank": "tracegraph.analysis.ranking",
    "rank_frames": "tracegraph.analysis.ranking",
    "rank_table": "tracegraph.analysis.flat",
    "trace": "tracegraph.analysis.tracing",
}


def __getattr__(name: str) -> Any:
    """Import a public name when it is first asked for, so that the command line starts fast."""
    if name not in _HOMES:
        raise AttributeError(f"module 'tracegraph' has no attribute {name!r}")
    return getattr(import_module(_HOMES[name]), name)
