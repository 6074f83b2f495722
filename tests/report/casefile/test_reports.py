"""Reports are the same for the same case, and hold whatever people type."""

from __future__ import annotations

import io
from datetime import date
from typing import Any

import pytest
from pypdf import PdfReader

from tests.support.case_entries import opened, ranked, sealed
from tracegraph.cases.chain import Entry
from tracegraph.report.casefile import case_html, case_pdf
from tracegraph.report.casefile.safety import REFER

FORMS = ("steps", "8d", "summary")
ONE, OTHER = date(2026, 4, 1), date(2026, 5, 20)
HOSTILE = '<b>bold</b> #set page(1cm) $x$ *a* _b_ @c [d] \\ "e" `f` =1+1 <script>alert(1)</script>'


PLACES = ("plant", "transit", "dealer", "owner", "not recorded")
COSTED = (
    "costed",
    {
        "claims": 900, "claims_without_cost": 8, "to_date": 90_000.0, "expected_reason": "",
        "expected": {"low": 10_000.0, "middle": 20_000.0, "high": 30_000.0, "hulls_low": 10.0,
                     "hulls_high": 40.0, "still_at_risk": 400, "until_month": 60, "rests_on": 90},
        "places": [{"place": one, "hulls": 90, "open": 60, "rate": 90.0, "cost": 8100.0,
                    "cost_open": 5400.0} for one in PLACES],
        "contain_all": 40_500.0, "contain_open": 27_000.0, "contain_reason": "", "rates": {},
    },
)  # fmt: skip
EFFECT = (
    "effect",
    {
        "verdict": "too early", "verdict_possible_on": "2027-01-01", "hulls_after": 90,
        "first_built": "2026-01-01", "observed": 1, "expected_if_unchanged": 2.0,
        "expected_if_cured": 1.0, "control_observed": 2, "control_expected": 3.0,
        "family": "hull: mold", "level": "M-2",
    },
)  # fmt: skip


def act(number: int, what: str = "mend it") -> tuple[str, dict[str, Any]]:
    return "acted", {"number": number, "what": what, "owner": "PE-1", "due": "2026-03-20"}


def decided(what: str, about: str = "cause") -> tuple[str, dict[str, Any]]:
    notify = True if about == "risk" else None
    return "decided", {"what": what, "about": about, "reason": what, "notify": notify}


def full_case() -> list[Entry]:
    found = {"on": "2026-03-02", "reason": "leak"}
    whys = [{"branch": "", "text": "worn mold", "evidence": [2]}] * 2
    return sealed(
        opened(safety_class=1), ("discovered", found), ranked(), decided("tell", "risk"), act(1),
        ("noted", {"form": "five whys", "lines": whys}),
    )  # fmt: skip


def pages(content: bytes) -> list[str]:
    return [page.extract_text() for page in PdfReader(io.BytesIO(content)).pages]


@pytest.mark.parametrize("form", FORMS)
def test_the_same_case_gives_the_same_bytes(form: str) -> None:
    for make in (case_html, case_pdf):
        assert make(full_case(), ONE, form=form) == make(full_case(), ONE, form=form)


@pytest.mark.parametrize("form", FORMS)
def test_on_another_day_only_the_line_with_the_date_is_another(form: str) -> None:
    one, other = (
        case_html(full_case(), day, form=form).decode().split("\n") for day in (ONE, OTHER)
    )
    apart = [line for line in zip(one, other, strict=True) if line[0] != line[1]]
    assert len(apart) == 1
    assert apart[0][0].startswith('<p class="date">Date of this report: 2026-04-01.')
    assert "1 action overdue. 30 days since discovery." in apart[0][0]

    def without_date(content: bytes) -> str:
        text = " ".join(" ".join(pages(content)).split())
        before, _, rest = text.partition("Date of this report:")
        return before + rest.partition("Summary")[2]

    assert without_date(case_pdf(full_case(), ONE, form=form)) == without_date(
        case_pdf(full_case(), OTHER, form=form)
    )


@pytest.mark.parametrize("form", FORMS)
def test_what_people_type_is_shown_as_typed(form: str) -> None:
    entries = sealed(
        opened(title=HOSTILE, safety_class=1), decided(HOSTILE, "risk"), act(1, HOSTILE)
    )
    page = case_html(entries, ONE, form=form).decode()
    assert "<script" not in page
    assert "&lt;script&gt;alert(1)" in page
    text = " ".join(" ".join(pages(case_pdf(entries, ONE, form=form))).split())
    assert "C-0001: <b>bold</b> #set page(1cm) $x$ *a* _b_ @c [d]" in text
    assert text.startswith(REFER)


def test_the_managers_page_is_one_page_however_much_there_is() -> None:
    long = "word " * 2000
    entries = sealed(
        opened(title=long, sentence=long, safety_class=1), ranked(),
        *(decided(long, "risk") for _ in range(8)), *(act(n, long) for n in range(1, 9)),
        COSTED, EFFECT, ("closed", {"reason": long, "lacks": []}),
    )  # fmt: skip
    assert len(pages(case_pdf(entries, ONE, form="summary"))) == 1


def test_a_case_just_opened_has_every_report() -> None:
    for form in FORMS:
        text = " ".join(pages(case_pdf(sealed(opened()), ONE, form=form)))
        assert "Voids" in text
        assert REFER not in text
    eight = " ".join(pages(case_pdf(sealed(opened()), ONE, form="8d")))
    assert eight.count("Nothing written yet.") == 7


def test_a_closed_case_says_how_long_it_is_kept() -> None:
    entries = sealed(opened(), ("closed", {"reason": "effect shown", "lacks": []}))
    text = " ".join(" ".join(pages(case_pdf(entries, ONE, form="summary"))).split())
    # Written on 2026-03-02; ten years.
    assert "Closed by QL-1 on 2026-03-02: effect shown. To be kept until 2036-03-02." in text


def test_a_word_without_end_stays_on_the_paper() -> None:
    entries = sealed(opened(title="A" * 3000), ("noted", {"form": "note", "lines": [
        {"branch": "", "text": "B" * 3000, "evidence": []}]}))  # fmt: skip
    lines = [line for page in pages(case_pdf(entries, ONE)) for line in page.splitlines()]
    assert max(len(line.replace("\u200b", "")) for line in lines) < 160
    assert sum(line.count("B") for line in lines) >= 6000


def test_five_whys_are_a_table_tied_to_entries() -> None:
    page = case_html(full_case(), ONE).decode()
    assert "five whys" in page
    assert "<td>worn mold</td><td>2</td>" in page
