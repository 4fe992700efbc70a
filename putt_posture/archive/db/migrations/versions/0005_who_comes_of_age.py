"""Two indexes with which who comes of age is found without reading all students and all consents."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    """Bring the tables forward."""
    guardian = sa.text("relation = 'guardian'")
    op.create_index(
        "ix_consents_guardian", "consents", ["student_id"], sqlite_where=guardian, postgresql_where=guardian
    )
    op.create_index("ix_students_id_born", "students", ["id", "born"])
