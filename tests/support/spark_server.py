"""A Spark Connect server of the tests' own, on loopback."""

from __future__ import annotations

import os
import shutil
import signal
import socket
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path

SECONDS_TO_START = 120


def why_not() -> str | None:
    """What Spark lacks on this machine, or None."""
    if find_spec("pyspark") is None:
        return "Spark is not installed (the extra: spark)"
    if shutil.which("java") is None:
        return "no Java is installed (Debian: default-jre-headless)"
    return None


@contextmanager
def running(folder: Path) -> Iterator[str]:
    """Start a server, give its address, and stop it."""
    found = find_spec("pyspark")
    assert found is not None
    assert found.origin is not None
    home = Path(found.origin).parent
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    settings = {
        "spark.connect.grpc.binding.address": "127.0.0.1",
        "spark.connect.grpc.binding.port": str(port),
        "spark.driver.host": "127.0.0.1",
        "spark.driver.bindAddress": "127.0.0.1",
        "spark.ui.enabled": "false",
        "spark.sql.shuffle.partitions": "4",
    }
    command = [str(home / "sbin" / "start-connect-server.sh"), "--master", "local[2]"]
    for key, value in settings.items():
        command += ["--conf", f"{key}={value}"]
    own = {"SPARK_HOME": str(home), "SPARK_NO_DAEMONIZE": "1", "SPARK_LOG_DIR": str(folder)}
    log = folder / "spark.log"
    with log.open("wb") as out:
        server = subprocess.Popen(
            command,
            env=os.environ | own,
            stdout=out,
            stderr=subprocess.STDOUT,
            cwd=folder,
            start_new_session=True,
        )
    try:
        _await(server, port, log)
        yield f"sc://127.0.0.1:{port}"
    finally:
        os.killpg(server.pid, signal.SIGTERM)
        try:
            server.wait(30)
        except subprocess.TimeoutExpired:
            os.killpg(server.pid, signal.SIGKILL)
            server.wait()


def _await(server: subprocess.Popen[bytes], port: int, log: Path) -> None:
    end = time.monotonic() + SECONDS_TO_START
    while time.monotonic() < end:
        if server.poll() is not None:
            raise RuntimeError(f"Spark ended at once: {log.read_text(errors='replace')[-2000:]}")
        with socket.socket() as probe:
            probe.settimeout(1)
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.3)
    raise RuntimeError(f"Spark did not start: {log.read_text(errors='replace')[-2000:]}")
