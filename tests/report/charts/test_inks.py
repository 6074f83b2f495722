from hypothesis import given
from hypothesis import strategies as st

from tracegraph.report.charts.inks import AFFECTED, EXPOSED, GREY, INK, literal, shorten


def _luminance(colour: str) -> float:
    """Relative luminance as in WCAG 2.2."""
    parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_inks_stand_out_from_white() -> None:
    # WCAG 2.2, 1.4.3: 4.5 to 1.
    for ink in (AFFECTED, EXPOSED, GREY, INK):
        assert 1.05 / (_luminance(ink) + 0.05) >= 4.5


@given(st.text())
def test_no_text_can_be_read_as_a_tag_or_a_formula(text: str) -> None:
    shown = literal(text)
    assert "<" not in shown
    assert "$" not in shown
    assert "\n" not in shown


@given(st.text(max_size=80), st.integers(3, 40))
def test_shortened_text_keeps_its_length_and_its_ends(text: str, length: int) -> None:
    plain = " ".join(text.split())
    shown = shorten(plain, length)
    if len(plain) <= length:
        assert shown == literal(plain)
    else:
        assert shown.count("…") >= 1
        assert literal(plain[-1]) in shown
