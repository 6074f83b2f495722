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
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).parents[2]
START_SECONDS = 40


@contextmanager
def running_app(store: Path, log: Path) -> Iterator[str]:
    """Address of a running app; it is stopped at the end."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "streamlit", "run", "app.py", "--server.port", str(port)]
    environment = os.environ | {"TRACEGRAPH_STORE": str(store)}
    with log.open("w", encoding="utf-8") as output:
        process = subprocess.Popen(
            command, cwd=ROOT, env=environment, stdout=output, stderr=subprocess.STDOUT
        )
        try:
            address = f"http://localhost:{port}"
            _wait(process, f"{address}/_stcore/health", log)
            yield address
        finally:
            process.terminate()
            process.wait(timeout=20)


def browser_path() -> str | None:
    """The system's Chromium, named by ``CHROMIUM`` or found on the path."""
    return os.environ.get("CHROMIUM") or shutil.which("chromium")


def _wait(process: subprocess.Popen[bytes], health: str, log: Path) -> None:
    end = time.monotonic() + START_SECONDS
    while time.monotonic() < end:
        if process.poll() is not None:
            break
        try:
            with urllib.request.urlopen(health, timeout=2) as answer:
                if answer.read() == b"ok":
                    return
        except (urllib.error.URLError, ConnectionError, TimeoutError):
            time.sleep(0.2)
    raise RuntimeError(f"The app did not start:\n{log.read_text(encoding='utf-8')[-2000:]}")
