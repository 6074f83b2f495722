"""The public names are a sorted, tested list, and the core runs without the app."""

from __future__ import annotations

import subprocess
import sys

import pytest

import tracegraph


def test_public_names_are_sorted_and_exist() -> None:
    assert tracegraph.__all__ == sorted(tracegraph.__all__)
    for name in tracegraph.__all__:
        assert getattr(tracegraph, name).__doc__, name


def test_unknown_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="nonsense"):
        tracegraph.nonsense  # noqa: B018  # the access is the test


def test_core_imports_no_screen() -> None:
    code = (
        "import sys, tracegraph\n"
        "for name in tracegraph.__all__: getattr(tracegraph, name)\n"
        "assert 'streamlit' not in sys.modules\n"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
