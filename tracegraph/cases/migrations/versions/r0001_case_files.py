"""Lay out cases, their entries, files and removals."""

import sqlalchemy as sa
from alembic import op

revision = "r0001"
down_revision = None


def upgrade() -> None:
    """Create the tables."""
    op.create_table(
        "cases",
        sa.Column("case_no", sa.String(20), primary_key=True),
        sa.Column("last", sa.Integer, nullable=False),
        sa.Column("head", sa.String(64), nullable=False),
    )
    op.create_table(
        "entries",
        sa.Column("case_no", sa.String(20), sa.ForeignKey("cases.case_no"), primary_key=True),
        sa.Column("seq", sa.Integer, sa.CheckConstraint("seq >= 1"), primary_key=True),
        sa.Column("at", sa.String(40), nullable=False),
        sa.Column("who", sa.Text, nullable=False),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("body", sa.Text, nullable=False),
        sa.Column("corrects", sa.Integer),
        sa.Column("previous", sa.String(64), nullable=False),
        sa.Column("sealed", sa.String(64), nullable=False),
    )
    op.create_table(
        "files",
        sa.Column("sha256", sa.String(64), primary_key=True),
        sa.Column("case_no", sa.String(20), sa.ForeignKey("cases.case_no"), primary_key=True),
        sa.Column("content", sa.LargeBinary, nullable=False),
    )
    op.create_table(
        "removals",
        sa.Column("case_no", sa.String(20), primary_key=True),
        sa.Column("at", sa.String(40), nullable=False),
        sa.Column("who", sa.Text, nullable=False),
        sa.Column("reason", sa.Text, nullable=False),
        sa.Column("last", sa.Integer, nullable=False),
        sa.Column("head", sa.String(64), nullable=False),
    )
