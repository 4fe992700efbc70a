"""Which putts go worst, as the student said: a column of the lessons, so their digests are worked out again."""

import sqlalchemy as sa
from alembic import op

from putt_posture.archive.db.row_digests import settle_all

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    """Bring the tables forward."""
    with op.batch_alter_table("lessons") as lessons:
        lessons.add_column(sa.Column("weak_putts", sa.String(), nullable=True))
    settle_all(op.get_bind())
