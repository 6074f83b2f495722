"""The DuckDB store: the only package that knows the database."""

from tracegraph.store.connection import Connection
from tracegraph.store.directory import StoreDirectory, default_store_path
from tracegraph.store.reader import Store, open_store
from tracegraph.store.writer import Build, in_memory_build

__all__ = [
    "Build",
    "Connection",
    "Store",
    "StoreDirectory",
    "default_store_path",
    "in_memory_build",
    "open_store",
]
