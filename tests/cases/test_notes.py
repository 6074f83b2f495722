import pytest

from tracegraph.cases.notes import note_lines
from tracegraph.domain.errors import CaseFileError


def test_a_line_is_tied_to_the_entries_it_rests_on() -> None:
    assert note_lines("five whys", ["voids at the chine [2, 4]", "worn [not a number]"], 4) == [
        {"branch": "", "text": "voids at the chine", "evidence": [2, 4]},
        {"branch": "", "text": "worn [not a number]", "evidence": []},
    ]


@pytest.mark.parametrize(
    ("form", "lines", "message"),
    [
        ("poem", ["a"], "A note is one of"),
        ("five whys", ["a"] * 6, "up to 5 lines"),
        ("cause and effect", ["no branch"], "begins with its branch"),
        ("note", ["a [9]"], "entries 1 to 4"),
        ("note", ["a [0]"], "entries 1 to 4"),
        ("note", [" "], "must say something"),
        ("note", [], "needs a line"),
    ],
)
def test_a_note_without_its_shape_is_told(form: str, lines: list[str], message: str) -> None:
    with pytest.raises(CaseFileError, match=message):
        note_lines(form, lines, 4)
