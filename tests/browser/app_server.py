"""Run the app as a reader would: its own process, a free port, a store of its own."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).parents[2]
START_SECONDS = 40


@contextmanager
def running_app(
    store: Path,
    log: Path,
    *,
    port: int | None = None,
    settings: Sequence[str] = (),
    environment: Mapping[str, str] | None = None,
) -> Iterator[str]:
    """Address of a running app; it is stopped at the end."""
    port = port or free_port()
    command = [
        sys.executable, "-m", "streamlit", "run", "app.py", "--server.port", str(port), *settings
    ]  # fmt: skip
    named = os.environ | {"TRACEGRAPH_STORE": str(store)} | dict(environment or {})
    address = f"http://localhost:{port}"
    with running(command, log, f"{address}/_stcore/health", named):
        yield address


@contextmanager
def running(
    command: Sequence[str], log: Path, ready: str, environment: Mapping[str, str]
) -> Iterator[None]:
    """A server in a process of its own, from its first answer on."""
    with log.open("w", encoding="utf-8") as output:
        process = subprocess.Popen(
            command, cwd=ROOT, env=dict(environment), stdout=output, stderr=subprocess.STDOUT
        )
        try:
            _wait(process, ready, log)
            yield
        finally:
            process.terminate()
            process.wait(timeout=20)


def free_port() -> int:
    """A port that nobody listens on."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])


def browser_path() -> str | None:
    """The system's Chromium, named by ``CHROMIUM`` or found on the path."""
    return os.environ.get("CHROMIUM") or shutil.which("chromium")


def _wait(process: subprocess.Popen[bytes], ready: str, log: Path) -> None:
    end = time.monotonic() + START_SECONDS
    while time.monotonic() < end:
        if process.poll() is not None:
            break
        try:
            with urllib.request.urlopen(ready, timeout=2) as answer:
                if answer.status == 200:
                    return
        except (urllib.error.URLError, ConnectionError, TimeoutError):
            time.sleep(0.2)
    raise RuntimeError(f"{ready} did not answer:\n{log.read_text(encoding='utf-8')[-2000:]}")
