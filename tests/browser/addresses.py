"""An address of each page, for all that is looked at on every page."""

from __future__ import annotations

ADDRESSES = {
    "overview": "",
    "cluster-blister": "cluster?symptom=blister",
    "cluster-fuel": "cluster?symptom=fuel+smell",
    "cluster-nothing": "cluster?symptom=steering+stiffness",
    "cluster-unknown": "cluster?symptom=blistr",
    "history": "history?hull=S26-0095",
    "history-blank": "history",
    "history-unknown": "history?hull=S99-1",
    "containment": "containment?symptom=fuel+smell&factor=hull:+fuel+hose:+lot&level=FH-00342",
    "containment-blank": "containment",
    "cases": "cases?symptom=blister",
    "case": "cases?case=C-0001",
    "records": "records",
    "methods": "methods?section=the-order-of-evidence-the-usual-one",
}
