"""Databases changed behind the program's back, as damage or somebody else would."""

import hashlib
import json
import sqlite3
from contextlib import closing
from pathlib import Path

from sqlalchemy import create_engine, text

from putt_posture.archive import Archive
from putt_posture.archive.db.row_digests import settle_all
from putt_posture.archive.place import DATABASE_FILE, MANIFEST


def alter(archive: Archive, statement: str, **values: object) -> None:
    """Run a statement on either database that no digest follows."""
    with archive.engine.begin() as connection:
        assert connection.execute(text(statement), values).rowcount > 0


def forge(backup: Path, *statements: str, believed: bool) -> None:
    """Change the database of a backup and put its digest in the manifest; `believed` if its rows' digests follow."""
    path = backup / DATABASE_FILE
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute("PRAGMA writable_schema=ON")
        for each in statements:
            connection.execute(each)
    if believed:
        engine = create_engine(f"sqlite:///{path}")
        with engine.begin() as connection:
            settle_all(connection)
        engine.dispose()
    manifest = json.loads((backup / MANIFEST).read_text())
    manifest["database"]["sha256"] = hashlib.sha256(path.read_bytes()).hexdigest()
    (backup / MANIFEST).write_text(json.dumps(manifest))
