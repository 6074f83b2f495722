from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracegraph.cases.chain import START, Entry, canonical, check_chain, entry_after, seal


def chain(bodies: list[str]) -> list[Entry]:
    entries, before = [], START
    for seq, body in enumerate(bodies, start=1):
        entry = entry_after(before, "C-0001", seq, "2026-03-09T08:00:00+00:00", "QL", "note", body)
        entries.append(entry)
        before = entry.sealed
    return entries


def test_the_seal_is_sha_256_as_the_shell_computes_it() -> None:
    # printf '%s["C-0001",1,"t","QL","note","{}",null]' 000...0 | sha256sum
    import hashlib

    text = "0" * 64 + '["C-0001",1,"t","QL","note","{}",null]'
    assert seal(START, "C-0001", 1, "t", "QL", "note", "{}", None) == (
        hashlib.sha256(text.encode()).hexdigest()
    )


def test_canonical_json_refuses_what_json_has_no_word_for() -> None:
    with pytest.raises(ValueError, match="JSON compliant"):
        canonical({"a": float("nan")})


@given(
    st.lists(st.text(max_size=5), min_size=1, max_size=6),
    st.data(),
)
def test_any_change_of_one_field_is_named_at_its_entry(
    bodies: list[str], data: st.DataObject
) -> None:
    entries = chain(bodies)
    last, head = len(entries), entries[-1].sealed
    assert check_chain("C-0001", entries, last, head).whole
    place = data.draw(st.integers(0, last - 1))
    field = data.draw(
        st.sampled_from(["at", "who", "kind", "body", "previous", "sealed", "case_no"])
    )
    value = getattr(entries[place], field)
    entries[place] = replace(entries[place], **{field: value + "x"})
    assert check_chain("C-0001", entries, last, head).broken_at == place + 1


@given(st.integers(1, 6), st.data())
def test_a_missing_entry_is_found_wherever_it_stood(many: int, data: st.DataObject) -> None:
    entries = chain([str(number) for number in range(many)])
    head = entries[-1].sealed
    place = data.draw(st.integers(0, many - 1))
    del entries[place]
    assert check_chain("C-0001", entries, many, head).broken_at == place + 1


def test_an_entry_written_anew_with_its_own_hash_breaks_the_next() -> None:
    entries = chain(["a", "b", "c"])
    first = entries[0]
    entries[0] = entry_after(START, "C-0001", 1, first.at, first.who, first.kind, "other")
    assert check_chain("C-0001", entries, 3, entries[-1].sealed).broken_at == 2
