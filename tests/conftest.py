"""Rules for the whole suite."""

from __future__ import annotations

import os

import pytest
from hypothesis import settings

# Machines are slow and shared; an example that takes long is no fault of the code.
settings.register_profile("tracegraph", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("tracegraph")


def pytest_sessionfinish(session: pytest.Session, exitstatus: int) -> None:
    """Where CI is set, a test that was skipped has failed."""
    reporter = session.config.pluginmanager.get_plugin("terminalreporter")
    skipped = reporter.stats.get("skipped", []) if reporter else []
    if os.environ.get("CI") and skipped and exitstatus == 0:
        names = ", ".join(sorted(report.nodeid for report in skipped))
        reporter.write_line(f"skipped where nothing may be skipped: {names}", red=True)
        session.exitstatus = pytest.ExitCode.TESTS_FAILED
