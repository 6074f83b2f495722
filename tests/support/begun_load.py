"""Loads in processes of their own that begin at once, to be killed."""

from __future__ import annotations

import multiprocessing
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path


def begin(folder: Path, store: Path) -> BaseProcess:
    """A load that has just begun.

    Its process is forked from one that has imported the package, so that what is killed is
    the load and not its imports.
    """
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["tracegraph.intake"])
    here, there = context.Pipe(duplex=False)
    process = context.Process(target=_load, args=(folder, store, there))
    process.start()
    there.close()
    assert here.recv() == "begun"
    here.close()
    return process


def _load(folder: Path, store: Path, begun: Connection) -> None:
    from tracegraph.intake import load_folder
    from tracegraph.store import StoreDirectory

    begun.send("begun")
    begun.close()
    load_folder(folder, StoreDirectory(store))
