"""The genealogy as a typed graph: walk it, find its loops, multiply its shares, export it."""

from tracegraph.genealogy.epcis import epcis_document
from tracegraph.genealogy.export import graphml_text, node_link, prov_json
from tracegraph.genealogy.graph import (
    NODE_KINDS,
    Loop,
    build_graph,
    downstream,
    loops,
    node_id,
    shares,
    upstream,
)

__all__ = [
    "NODE_KINDS",
    "Loop",
    "build_graph",
    "downstream",
    "epcis_document",
    "graphml_text",
    "loops",
    "node_id",
    "node_link",
    "prov_json",
    "shares",
    "upstream",
]
