"""Who went back is told by a stricter rule, so that every standing is worked out anew.

No table changes: `putt_posture.archive.db.schema.upgrade` works the standings out after the last step.
"""

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Bring the tables forward."""
