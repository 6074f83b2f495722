"""The tables that case files are kept in."""

from __future__ import annotations

from sqlalchemy import (
    CheckConstraint,
    Column,
    ForeignKey,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
)

metadata = MetaData()

cases = Table(
    "cases",
    metadata,
    Column("case_no", String(20), primary_key=True),
    Column("last", Integer, nullable=False),
    Column("head", String(64), nullable=False),
)
entries = Table(
    "entries",
    metadata,
    Column("case_no", String(20), ForeignKey("cases.case_no"), primary_key=True),
    Column("seq", Integer, CheckConstraint("seq >= 1"), primary_key=True),
    Column("at", String(40), nullable=False),
    Column("who", Text, nullable=False),
    Column("kind", String(40), nullable=False),
    Column("body", Text, nullable=False),
    Column("corrects", Integer),
    Column("previous", String(64), nullable=False),
    Column("sealed", String(64), nullable=False),
)
files = Table(
    "files",
    metadata,
    Column("sha256", String(64), primary_key=True),
    Column("case_no", String(20), ForeignKey("cases.case_no"), primary_key=True),
    Column("content", LargeBinary, nullable=False),
)
removals = Table(
    "removals",
    metadata,
    Column("case_no", String(20), primary_key=True),
    Column("at", String(40), nullable=False),
    Column("who", Text, nullable=False),
    Column("reason", Text, nullable=False),
    Column("last", Integer, nullable=False),
    Column("head", String(64), nullable=False),
)
