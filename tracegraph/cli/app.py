"""``tracegraph app``: the pages in a browser, on this machine only."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Annotated

import typer

from tracegraph.cli.options import StoreOption
from tracegraph.cli.output import remark
from tracegraph.report.bundle import bundled

PORT = 8501


def add_to(cli: typer.Typer) -> None:
    """Add the command."""
    cli.command(name="app")(app)


def app(
    store: StoreOption = None,
    port: Annotated[int, typer.Option(help="Port on localhost.")] = PORT,
) -> int:
    """Open the pages on localhost.

    Example: tracegraph app --store ./store
    """
    return serve(store, port)


def serve(store: Path | None, port: int) -> int:
    """Run the app until it is stopped.

    Parameters
    ----------
    store : Path or None
        Store directory; None: the user's own.
    port : int
        Port on localhost.

    Returns
    -------
    int
        Exit status of the server.
    """
    front = bundled("app.py")
    environment = dict(os.environ)
    if store is not None:
        environment["TRACEGRAPH_STORE"] = str(store.resolve())
    remark(f"The app is at http://localhost:{port} (Ctrl+C stops it).")
    command = [sys.executable, "-m", "streamlit", "run", front.name, "--server.port", str(port)]
    # The settings beside the front door are found from the working directory.
    return subprocess.call(command, cwd=front.parent, env=environment)
