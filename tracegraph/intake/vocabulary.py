"""Words by which shops call the fields and tables, for proposals only.

Nothing is loaded by these words: a proposal is text that a person reads, mends and saves.
From memory of the trade ("common practice"); headers are compared without case.
"""

from __future__ import annotations

import re

FIELD_WORDS: dict[str, tuple[str, ...]] = {
    "hull_serial": ("hull", "hull serial", "hull no", "hull number", "hull id", "boat", "boat no"),
    "job_no": ("job", "job no", "job number", "work order", "wo"),
    "hin": ("hin", "hull identification number"),
    "model": ("model", "boat model"),
    "options": ("options", "option list"),
    "completed_on": ("completed", "built", "build date", "date built", "completion date"),
    "shipped_on": ("shipped", "ship date", "date shipped"),
    "in_service_on": ("in service", "delivered", "delivery date", "retail date", "registered"),
    "exit_on": ("exit", "scrapped on", "bought back"),
    "dealer": ("dealer", "dealer code", "dealer no"),
    "place": ("place", "whereabouts"),
    "part_serial": ("part serial", "part sn", "part id", "piece no", "part no"),
    "part": ("part", "part type", "piece"),
    "mold_no": ("mold", "mould", "mold no", "mould no", "tool no"),
    "pull_no": ("pull", "pull no", "pull count", "pulls"),
    "pulled_at": ("pulled", "pull time", "demold", "demolded", "demould"),
    "operation_id": (
        "operation",
        "op",
        "op no",
        "op id",
        "spray no",
        "log no",
        "ticket",
        "entry no",
    ),
    "step": ("step", "process", "operation type"),
    "station": ("station", "booth", "bay", "cell", "work station"),
    "equipment": ("equipment", "gun", "pump no", "machine"),
    "operator": ("operator", "sprayer", "laminator", "worker", "employee", "done by"),
    "crew": ("crew", "team"),
    "shift": ("shift",),
    "started_at": ("start", "started", "start time", "begin", "date time"),
    "finished_at": ("end", "finished", "finish", "end time", "stop"),
    "attempt": ("try", "attempt"),
    "material": ("material", "resin type", "product"),
    "lot_no": ("lot", "batch", "lot no", "batch no", "lot number", "batch number"),
    "drum_no": ("drum", "drum no", "container", "pail"),
    "unit": ("unit", "uom", "units"),
    "at": ("at", "time", "timestamp", "date time", "date"),
    "value": ("value", "reading"),
    "supplier": ("supplier", "vendor"),
    "made_on": ("made", "mfg date", "manufactured"),
    "received_on": ("received", "receipt date", "date received"),
    "expires_on": ("expires", "expiry", "exp date", "use by"),
    "received_qty": ("received qty", "qty received"),
    "on_hand_qty": ("on hand", "stock"),
    "scrapped_qty": ("scrapped", "qty scrapped"),
    "parent_lot_no": ("parent lot", "from lot"),
    "parent_material": ("parent material", "from material"),
    "share": ("share", "fraction"),
    "event": ("event", "what"),
    "component": ("component", "item", "component type"),
    "serial_no": ("serial no", "component serial", "sn"),
    "fitted_at": ("fitted", "installed", "install date"),
    "fitted_by": ("fitted by", "installed by", "rigger"),
    "inspection_id": ("inspection", "check no", "inspection no"),
    "checkpoint": ("checkpoint", "check", "test", "what was checked"),
    "inspector": ("inspector", "checked by"),
    "result": ("result", "outcome", "pass fail"),
    "defect": ("defect", "defect code", "finding"),
    "zone": ("zone", "area", "location on boat"),
    "photo": ("photo", "picture"),
    "note": ("note", "notes", "remarks", "comment", "comments", "narrative"),
    "claim_no": ("claim", "claim no", "claim number"),
    "line_no": ("line", "line no"),
    "opened_on": ("opened", "claim date", "date opened", "open date"),
    "failed_on": ("failed", "failure date", "date of failure"),
    "symptom": ("symptom", "complaint", "problem", "failure code"),
    "safety_class": ("class", "safety class"),
    "certainty": ("certainty", "confidence"),
    "solicited": ("solicited",),
    "engine_hours": ("eng hrs", "engine hrs", "engine hours"),
    "cost": ("cost", "total cost", "amount paid"),
    "labour_hours": ("labour hrs", "labor hours", "labor hrs"),
    "repeat_of": ("repeat of",),
    "status": ("status", "claim status"),
}
TABLE_WORDS: dict[str, tuple[str, ...]] = {
    "hulls": ("hull", "boat", "unit list"),
    "parts": ("part", "mold schedule", "pull"),
    "operations": ("operation", "spray", "laminat", "log", "traveler"),
    "usages": ("usage", "material use", "consumption"),
    "readings": ("reading", "measurement"),
    "ambient": ("ambient", "logger", "climate", "weather"),
    "lots": ("lot", "batch", "receipt", "receiving", "stock"),
    "blends": ("blend", "mix", "day tank"),
    "mold_events": ("mold event", "wax", "mold service", "mould"),
    "components": ("component", "fitting", "rigging"),
    "inspections": ("inspection", "check", "quality", "test"),
    "claims": ("claim", "warranty", "dealer"),
}
# What a column of numbers may measure, by words in its header.
QUANTITY_WORDS: dict[str, tuple[str, ...]] = {
    "ambient_temp": ("air", "ambient", "shop temp", "booth temp", "room"),
    "mold_temp": ("mold temp", "mould temp", "mold f", "mold c", "surface temp"),
    "resin_temp": ("resin temp", "gelcoat temp", "material temp"),
    "relative_humidity": ("rh", "humidity"),
    "catalyst_pct": ("cat", "catalyst", "mekp", "initiator"),
    "wet_film": ("wet film", "film", "mils", "wft", "thickness"),
    "gel_time": ("gel time", "gel min", "gel"),
    "peak_exotherm": ("exotherm", "peak temp"),
    "barcol": ("barcol", "hardness"),
    "glass_content": ("glass", "glass content"),
}
_UNIT_MARKS = (
    ("%", "%"), ("pct", "%"), ("f", "degF"), ("degf", "degF"), ("c", "degC"), ("degc", "degC"),
    ("mil", "mil"), ("mils", "mil"), ("um", "um"), ("mm", "mm"), ("min", "min"), ("sec", "s"),
    ("lb", "lb"), ("lbs", "lb"), ("kg", "kg"), ("g", "g"), ("psi", "psi"), ("bar", "bar"),
    ("kpa", "kPa"), ("gal", "gal"), ("l", "L"),
)  # fmt: skip
DEFAULT_UNITS = {"relative_humidity": "%", "catalyst_pct": "%", "glass_content": "%"}


def words(header: str) -> str:
    """Words of a header in lower case, with single spaces between them.

    Examples
    --------
    >>> words("Wet_Film (mils)"), words("RH %")
    ('wet film mils', 'rh %')
    """
    return " ".join(re.findall(r"[^\W_]+|%", header.lower()))


def unit_in(header: str) -> str | None:
    """Unit that a header names, or None.

    Examples
    --------
    >>> unit_in("Air F"), unit_in("RH %"), unit_in("Wet Film")
    ('degF', '%', None)
    """
    last = words(header.replace("°", "")).split()
    marks = dict(_UNIT_MARKS)
    return next((marks[word] for word in reversed(last) if word in marks), None)


def quantity_in(header: str) -> str | None:
    """Quantity that a header names, or None.

    Examples
    --------
    >>> quantity_in("Air F"), quantity_in("Cat %"), quantity_in("Colour")
    ('ambient_temp', 'catalyst_pct', None)
    """
    told = f" {words(header)} "
    for quantity, names in QUANTITY_WORDS.items():
        if any(f" {name} " in told for name in (quantity.replace("_", " "), *names)):
            return quantity
    return None
