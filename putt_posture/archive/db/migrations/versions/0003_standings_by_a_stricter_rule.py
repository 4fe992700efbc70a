"""A stricter rule says which measures went back, so every summary (table ``standings``) is recalculated.

No table changes: `putt_posture.archive.db.schema.upgrade` recalculates the summaries after the last step.
"""

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Bring the tables forward."""
