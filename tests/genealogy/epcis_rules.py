"""What the JSON schema published with GS1 EPCIS 2.0 asks of a document, written out."""

from __future__ import annotations

import re
from typing import Any

TIME = re.compile(r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?(Z|[+-]\d\d:\d\d)$")
OFFSET = re.compile(r"^([+]|[-])((0[0-9]|1[0-3]):([0-5][0-9])|14:00)$")
URI = re.compile(r"^[A-Za-z][A-Za-z0-9+.\-]*:[^\s|<>\"{}\\^`]+$")
UNIT = re.compile(r"^[A-Z0-9]{2,3}$")

COMMON = {"type", "eventTime", "recordTime", "eventTimeZoneOffset", "eventID", "errorDeclaration"}
WHERE = {
    "bizStep", "disposition", "readPoint", "bizLocation", "bizTransactionList", "sourceList",
    "destinationList", "sensorElementList",
}  # fmt: skip
FIELDS: dict[str, set[str]] = {
    "ObjectEvent": {"epcList", "quantityList", "action", "ilmd"},
    "AggregationEvent": {"parentID", "childEPCs", "childQuantityList", "action"},
    "AssociationEvent": {"parentID", "childEPCs", "childQuantityList", "action"},
    "TransformationEvent": {
        "inputEPCList", "inputQuantityList", "outputEPCList", "outputQuantityList",
        "transformationID", "ilmd",
    },
}  # fmt: skip
BIZ_STEPS = {"assembling", "inspecting", "installing"}
DISPOSITIONS = {"conformant", "non_conformant", "unknown"}
MEASUREMENTS = {
    "Temperature", "Length", "Time", "Pressure", "Mass", "Volume", "Dimensionless", "Count",
    "RelativeHumidity",
}  # fmt: skip


def check_document(document: dict[str, Any]) -> list[dict[str, Any]]:
    """Assert that a document keeps the rules; give its events."""
    required = {"@context", "type", "schemaVersion", "creationDate", "epcisBody"}
    assert required <= set(document)
    assert document["type"] == "EPCISDocument"
    assert document["schemaVersion"] == "2.0"
    assert TIME.match(document["creationDate"])
    first, *more = document["@context"]
    assert first == "https://ref.gs1.org/standards/epcis/2.0.0/epcis-context.jsonld"
    prefixes = {name for one in more for name in one}
    for name in set(document) - required:
        assert name.split(":")[0] in prefixes
    events: list[dict[str, Any]] = document["epcisBody"]["eventList"]
    for event in events:
        check_event(event, prefixes)
    identities = [event["eventID"] for event in events]
    assert len(set(identities)) == len(identities)
    return events


def check_event(event: dict[str, Any], prefixes: set[str]) -> None:
    kind = event["type"]
    assert kind in FIELDS
    for name in set(event) - COMMON - WHERE - FIELDS[kind]:
        assert name.split(":")[0] in prefixes, name
    assert TIME.match(event["eventTime"])
    assert OFFSET.match(event["eventTimeZoneOffset"])
    assert URI.match(event["eventID"])
    step = event.get("bizStep")
    assert step is None or step in BIZ_STEPS or URI.match(step)
    assert event.get("disposition") in {None, *DISPOSITIONS}
    if "readPoint" in event:
        assert URI.match(event["readPoint"]["id"])
    for element in event.get("sensorElementList", []):
        check_sensor(element)
    for name in ("epcList", "childEPCs", "inputEPCList", "outputEPCList"):
        names = event.get(name, [])
        assert all(URI.match(one) for one in names)
        assert len(set(names)) == len(names)
    for name in ("quantityList", "inputQuantityList", "outputQuantityList"):
        for quantity in event.get(name, []):
            assert set(quantity) <= {"epcClass", "quantity", "uom"}
            assert URI.match(quantity["epcClass"])
            assert isinstance(quantity["quantity"], float)
            assert UNIT.match(quantity["uom"])
    if kind == "TransformationEvent":
        inputs = event.get("inputEPCList") or event.get("inputQuantityList")
        outputs = event.get("outputEPCList") or event.get("outputQuantityList")
        assert (inputs and outputs) or ("transformationID" in event and (inputs or outputs))
    else:
        assert event["action"] in {"ADD", "OBSERVE", "DELETE"}
        if kind == "ObjectEvent":
            assert event["epcList"]
        else:
            assert URI.match(event["parentID"])
            assert event["childEPCs"]


def check_sensor(element: dict[str, Any]) -> None:
    assert set(element) <= {"sensorMetadata", "sensorReport"}
    assert element["sensorReport"]
    numbers = {"value", "minValue", "maxValue", "meanValue"}
    allowed = {"type", "uom", "dataProcessingMethod", *numbers}
    for report in element["sensorReport"]:
        assert set(report) <= allowed
        assert report["type"] in MEASUREMENTS or URI.match(report["type"])
        assert numbers & set(report)
        assert all(isinstance(report[name], float) for name in numbers & set(report))
        assert "uom" not in report or UNIT.match(report["uom"])
        assert "dataProcessingMethod" not in report or URI.match(report["dataProcessingMethod"])
