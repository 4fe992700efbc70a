"""What is asserted of an archive after something was stopped, or done by several at once."""

from pathlib import Path

from sqlalchemy import func, select

from putt_posture.archive import check_archive
from putt_posture.archive.db.tables import PendingAdd, PendingDelete, Setting


def assert_whole(archive):
    """Nothing is half done, in the rows or among the files."""
    assert check_archive(archive) == ()
    with archive.read() as session:
        for table in (PendingAdd, PendingDelete):
            assert session.scalar(select(func.count()).select_from(table)) == 0
        assert session.get(Setting, "wiping_due") is None
    lying = {path for path in Path(archive.files.folder).rglob("*") if path.is_file()}
    assert lying == {archive.files.path_of(digest) for digest in archive.files.digests()}
