"""What tells who a customer is does not reach the store."""

import pytest

from tests.intake.yard import Yard
from tracegraph.intake.privacy import mask

CLAIMS = "claim_no,hull_serial,opened_on,symptom,note\n"


@pytest.mark.parametrize(
    ("text", "masked"),
    [
        ("call 555-010-9999", "call [phone]"),
        ("call +49 30 555 0199 now", "call [phone] now"),
        ("(555) 010-9999", "[phone]"),
        ("tel 5550109999", "tel [phone]"),
        ("mail jo.doe@example.org!", "mail [e-mail]!"),
        ("lives at 12 Harbor View Road", "lives at [address]"),
        ("Hafenstraße 12, tel. 030 5550199", "[address], tel. [phone]"),
        ("PO Box 77", "[address]"),
        ("seen 2025-03-04, again 03/04/2025", "seen 2025-03-04, again 03/04/2025"),
        ("lot GW-2147, drum D01, hull S22-0001", "lot GW-2147, drum D01, hull S22-0001"),
        ("blisters 12 x 15 mm near st 4", "blisters 12 x 15 mm near st 4"),
        ("QZX00042C525", "QZX00042C525"),
    ],
)
def test_mask(text: str, masked: str) -> None:
    assert mask(text) == masked


def test_notes_are_masked_everywhere(yard: Yard) -> None:
    secret = "call 555-010-9999"
    yard.load_files(
        claims__csv=CLAIMS + f"C1,BT-1,2026-01-05,leak,{secret}\nC2,,2026-01-05,leak,{secret}\n"
    )
    assert yard.column("claims", "note") == ["call [phone]"]
    assert "[phone]" in yard.rows("SELECT raw FROM set_aside")[0][0]
    assert yard.remarks("masked notes")[0][0] == 2
    assert b"010-9999" not in b"".join(
        path.read_bytes() for path in yard.directory.path.glob("builds-*.duckdb")
    )


def test_masking_may_be_switched_off(yard: Yard) -> None:
    yard.write("intake.toml", "mask_notes = false")
    yard.load_files(claims__csv=CLAIMS + "C1,BT-1,2026-01-05,leak,call 555-010-9999\n")
    assert yard.column("claims", "note") == ["call 555-010-9999"]


def test_a_list_of_names_is_never_read(yard: Yard) -> None:
    yard.write("intake.toml", 'name_lists = ["people*.csv"]\n')
    yard.load_files(
        people_2026__csv="code,name\nSP-07,Jo Doe\n",
        claims__csv=CLAIMS + "C1,BT-1,2026-01-05,leak,\n",
    )
    assert yard.column("claims", "claim_no") == ["C1"]
    assert "never read" in yard.left_out()["people_2026.csv"]
    assert not any(
        b"Jo Doe" in path.read_bytes() for path in yard.directory.path.rglob("*") if path.is_file()
    )
