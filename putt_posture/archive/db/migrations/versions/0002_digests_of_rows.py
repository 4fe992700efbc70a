"""Digests of rows, so that a check sees what was altered; existing rows are taken as correct once."""

import sqlalchemy as sa
from alembic import op

from putt_posture.archive.db.row_digests import settle_all

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Bring the tables forward."""
    op.create_table(
        "digests",
        sa.Column("part", sa.String(), nullable=False),
        sa.Column("owner", sa.Integer(), nullable=False),
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.PrimaryKeyConstraint("part", "owner", name=op.f("pk_digests")),
        sqlite_with_rowid=False,
    )
    settle_all(op.get_bind())
