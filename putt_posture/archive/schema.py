"""The version of an archive's tables: made, brought forward, and refused where this program is older.

The versions are Alembic's revisions in ``migrations/versions``.
"""

from pathlib import Path
from typing import Any, Final

from sqlalchemy import Engine, inspect, text
from sqlalchemy.engine import Connection

from putt_posture.archive.engine import connect
from putt_posture.archive.row_digests import settle_own
from putt_posture.archive.standings import settle_standings
from putt_posture.archive.tables import DigestRow
from putt_posture.errors import ArchiveError

__all__ = ["HEAD", "REVISIONS", "check_version", "read_version", "upgrade"]

REVISIONS: Final = ("0001", "0002", "0003")
"""Every schema that was ever released, the oldest first."""
HEAD: Final = REVISIONS[-1]
_MIGRATIONS: Final = Path(__file__).parent / "migrations"


def read_version(connection: Connection) -> str | None:
    """Return the revision of the tables; None where there are none."""
    if "alembic_version" not in inspect(connection).get_table_names():
        return None
    found: str | None = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    return found


def check_version(version: str, *, title: str) -> None:
    """Refuse an archive that this program cannot read.

    Raises
    ------
    ArchiveError
        If it is newer, or older.
    """
    if version not in REVISIONS:
        raise ArchiveError(
            f"The archive {title} has schema {version}, and this program knows schemas up to {HEAD}: a newer "
            "version wrote it. Install that version; nothing was changed."
        )
    if version != HEAD:
        raise ArchiveError(
            f"The archive {title} has schema {version}, and this program works with {HEAD}. "
            "Make a backup with archive backup, then run archive upgrade."
        )


def upgrade(engine: Engine, *, to: str = HEAD) -> None:
    """Make the tables, or bring them forward with what is worked out of them, in one transaction."""
    from alembic import command

    with connect(engine, to="write") as connection, connection.begin():
        was = read_version(connection)
        command.upgrade(_settings(connection), to)
        if was is not None and to == HEAD:
            settle_standings(connection)
        if DigestRow.__tablename__ in inspect(connection).get_table_names():
            settle_own(connection)


def _settings(connection: Connection) -> Any:
    from alembic.config import Config

    settings = Config()
    settings.set_main_option("script_location", str(_MIGRATIONS).replace("%", "%%"))
    settings.attributes["connection"] = connection
    return settings
