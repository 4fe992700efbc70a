"""The script that Alembic runs: the steps on the given connection, in its open transaction."""

from alembic import context

from putt_posture.archive.db.tables import Base

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Base.metadata,
    render_as_batch=True,
    transactional_ddl=True,
)
context.run_migrations()
