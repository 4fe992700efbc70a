"""What Alembic runs: the steps on the connection that it was handed, inside the transaction that is open there."""

from alembic import context

from putt_posture.archive.db.tables import Base

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Base.metadata,
    render_as_batch=True,
    transactional_ddl=True,
)
context.run_migrations()
