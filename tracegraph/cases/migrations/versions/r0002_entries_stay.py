"""Let the database itself refuse to change an entry that was written."""

from alembic import op

revision = "r0002"
down_revision = "r0001"

_TOLD = "An entry of a case file is never changed; write a correction."
_SQLITE = f"""
CREATE TRIGGER entries_stay BEFORE UPDATE ON entries
BEGIN SELECT RAISE(ABORT, '{_TOLD}'); END
"""
_FUNCTION = f"""
CREATE FUNCTION entries_stay() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN RAISE EXCEPTION '{_TOLD}'; END $$
"""
_POSTGRESQL = """
CREATE TRIGGER entries_stay BEFORE UPDATE ON entries
FOR EACH ROW EXECUTE FUNCTION entries_stay()
"""


def upgrade() -> None:
    """Add the trigger; removing a whole case by rule stays possible."""
    if op.get_bind().dialect.name == "postgresql":
        op.execute(_FUNCTION)
        op.execute(_POSTGRESQL)
    else:
        op.execute(_SQLITE)
