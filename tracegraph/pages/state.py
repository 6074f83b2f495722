"""What a session holds: the open store, what was asked, and the reason for showing people."""

from __future__ import annotations

import os
from collections.abc import Collection
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar
from uuid import uuid4

import streamlit as st

from tracegraph.cases.engine import kept_cases_url
from tracegraph.cases.store import CaseStore
from tracegraph.domain.errors import StoreError
from tracegraph.domain.permission import PeopleReason
from tracegraph.pages.asked import KEYS, Address, Asked, read_address
from tracegraph.store import Store, StoreDirectory, default_store_path
from tracegraph.store.reader import open_build

_ASKED, _WRITTEN, _SEEN, _REASON = "asked", "written address", "seen version", "people reason"
_MARK = "mark of the session"
_PAGE, _LAST = "page to show", "page shown before"
_QUIET, _SPARED = "leave the address", "not written into the address"
_OPEN = "open"
_FIELDS = "field: "
"""Keys of widgets that show what was asked begin so."""

V = TypeVar("V", str, int)


def begin() -> Asked:
    """What is asked in this run: by the address if it was changed from outside, else as before.

    Raises
    ------
    DefinitionError
        If the address holds something that cannot be read.
    """
    address = _in_address()
    moved = address != st.session_state.get(_WRITTEN)
    st.session_state[_QUIET] = moved and st.session_state.get(_PAGE) == st.session_state.get(_LAST)
    st.session_state[_LAST] = st.session_state.get(_PAGE)
    if moved:
        st.session_state[_WRITTEN] = address
        st.session_state.pop(_SPARED, None)
        for key in [key for key in st.session_state if str(key).startswith(_FIELDS)]:
            del st.session_state[key]
        if address or _ASKED not in st.session_state:
            st.session_state[_ASKED] = read_address(address)
    asked: Asked = st.session_state[_ASKED]
    keep(asked)
    return asked


def keep(asked: Asked) -> None:
    """Remember what is asked, here and in the address.

    An address to which the reader stepped back on the same page is left as it is: completed, it
    would be a new step forward, and no way would lead back past it.
    """
    address = asked.address()
    st.session_state[_ASKED] = asked
    if st.session_state.get(_QUIET):
        st.session_state[_SPARED] = address
    elif address not in (st.session_state.get(_WRITTEN), st.session_state.get(_SPARED)):
        others = {
            name: st.query_params.get_all(name) for name in st.query_params if name not in KEYS
        }
        st.query_params.from_dict(others | address)
        st.session_state[_WRITTEN] = address
        st.session_state.pop(_SPARED, None)


def came_to(page: str) -> None:
    """Note which page is about to be shown."""
    st.session_state[_PAGE] = page


def address_so_far() -> Address:
    """Address under which another page shows what is asked: for links, before and after a run."""
    address = _in_address()
    if _ASKED in st.session_state and address in ({}, st.session_state.get(_WRITTEN)):
        return asked_now().address()
    return address


def asked_now() -> Asked:
    """What is asked at present."""
    asked: Asked = st.session_state[_ASKED]
    return asked


def change(**values: Any) -> None:
    """Change what is asked from within a callback."""
    st.session_state[_QUIET] = False
    keep(replace(st.session_state[_ASKED], **values))


def field(name: str, value: object) -> str:
    """Key of a widget that shows something asked, filled with it when it is new.

    Parameters
    ----------
    name : str
        Which widget.
    value : object
        What it shows at first.
    """
    key = f"{_FIELDS}{name}"
    if key not in st.session_state:
        st.session_state[key] = value
    return key


def viewed(name: str, usual: V, known: Collection[V] | None = None) -> dict[str, Any]:
    """Key and callback of a control whose choice stands in the address.

    Parameters
    ----------
    name : str
        Which control; unique over all pages.
    usual : str or int
        What it shows when nothing is asked; then the address does not name it.
    known : collection, optional
        Values that it offers; others in the address are passed over.

    Returns
    -------
    dict
        To be handed to the widget.
    """
    value = usual
    with suppress(ValueError):
        value = type(usual)(dict(asked_now().view).get(name, usual))
    if known is not None and value not in known:
        value = usual
    key = field(name, value)
    if known is not None and st.session_state[key] not in known:
        st.session_state[key] = value
    return {"key": key, "on_change": _keep_view, "args": (name, key, usual)}


def _keep_view(name: str, key: str, usual: object) -> None:
    value = st.session_state[key]
    others = tuple(pair for pair in asked_now().view if pair[0] != name)
    change(view=others if value in (usual, None) else (*others, (name, str(value))))


def opened(name: str) -> dict[str, Any]:
    """Key and callback of a part that is folded away unless the address names it as open.

    Parameters
    ----------
    name : str
        Which part; unique on a page.

    Returns
    -------
    dict
        To be handed to the widget.
    """
    key = field(f"folded {name}", (_OPEN, name) in asked_now().view)
    return {"key": key, "on_change": _keep_open, "args": (name, key)}


def _keep_open(name: str, key: str) -> None:
    others = tuple(pair for pair in asked_now().view if pair != (_OPEN, name))
    change(view=(*others, (_OPEN, name)) if st.session_state[key] else others)


def forget_field(name: str) -> None:
    """Let a widget be filled anew from what is asked."""
    st.session_state.pop(f"{_FIELDS}{name}", None)


def store_folder(asked: Asked) -> Path:
    """Folder of the store: named in the address, else by ``TRACEGRAPH_STORE``, else the user's.

    Raises
    ------
    StoreError
        If the name in the address is not that of a folder beside the usual store.
    """
    named = os.environ.get("TRACEGRAPH_STORE")
    usual = Path(named) if named else default_store_path()
    if asked.store is None or asked.store == usual.name:
        return usual
    if asked.store not in neighbours(usual):
        raise StoreError(
            f"store in the address must name a store beside {usual.name}; got "
            f"{asked.store!r}. Open the page without it."
        )
    return usual.parent / asked.store


def current_folder() -> Path:
    """Folder of the store that this run shows."""
    return store_folder(st.session_state[_ASKED])


def neighbours(usual: Path) -> list[str]:
    """Names of the stores that lie in one folder with the usual one, itself included."""
    if not usual.parent.is_dir():
        return [usual.name]
    found = {path.parent.name for path in usual.parent.glob("*/current")}
    return sorted(found | {usual.name})


def open_current(folder: Path) -> Store | None:
    """The build in force, or None when nothing has been loaded there.

    A new load makes a new file, so it is opened and shown from the next run on.
    """
    build = StoreDirectory(folder).current()
    return None if build is None else _open(str(build))


def open_before(folder: Path) -> Store | None:
    """The build that was in force before, or None when there is none that can be read."""
    build = StoreDirectory(folder).before()
    if build is None:
        return None
    try:
        return _open(str(build))
    except StoreError:
        # Made by another version of the program: the records in force were read anew.
        return None


def case_files(folder: Path) -> CaseStore | None:
    """The case files of a store, or None while no case was ever opened."""
    url = kept_cases_url(folder)
    return None if url is None else _case_files(url)


def session_mark() -> str:
    """A name by which shared work knows this session."""
    mark: str = st.session_state.setdefault(_MARK, uuid4().hex)
    return mark


def told_new_version(store: Store) -> bool:
    """Whether the records were loaded anew since this session last looked."""
    before = st.session_state.get(_SEEN)
    st.session_state[_SEEN] = store.version
    return before is not None and before != store.version


def people_reason() -> PeopleReason | None:
    """Why families of people of these records are shown in this session, or None."""
    kept: tuple[str | None, PeopleReason | None] = st.session_state.get(_REASON, (None, None))
    return kept[1] if kept[0] == st.session_state[_ASKED].store else None


def set_people_reason(reason: PeopleReason | None) -> None:
    """Remember the reason; None hides families of people again."""
    st.session_state[_REASON] = (st.session_state[_ASKED].store, reason)


def _in_address() -> Address:
    return {name: values for name in KEYS if (values := st.query_params.get_all(name))}


@st.cache_resource(max_entries=4, show_spinner=False)
def _case_files(url: str) -> CaseStore:
    return CaseStore(url)


@st.cache_resource(max_entries=4, show_spinner=False, on_release=lambda store: store.close())
def _open(build: str) -> Store:
    return open_build(Path(build))
