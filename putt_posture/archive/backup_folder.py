"""The folder of a backup: held against its own digests before anything is read from it."""

import json
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

from attrs import frozen
from sqlalchemy import Connection, select

from putt_posture.archive.arrivals import digest_of_content
from putt_posture.archive.engine import connect, make_engine_of_copy
from putt_posture.archive.file_store import FolderStore, digest_of, is_digest
from putt_posture.archive.place import DATABASE_FILE, MANIFEST
from putt_posture.archive.schema import HEAD, REVISIONS, check_version, upgrade
from putt_posture.archive.tables import FileRow
from putt_posture.archive_signs import BACKUP_KIND
from putt_posture.errors import ArchiveError, UsageError

__all__ = ["BackupSummary", "WholeBackup", "check_backup", "open_backup"]

_FILES: Final = "files"


@frozen(kw_only=True)
class BackupSummary:
    """What a backup holds: how many files, of how many bytes, made under which schema."""

    files: int
    size: int
    schema: str


@frozen(kw_only=True)
class WholeBackup:
    """A backup of which nothing is missing or altered.

    Attributes
    ----------
    rows : Connection
        To its database, brought forward to this program's schema in memory.
    store : FolderStore
    files : mapping of str to int
        Sizes by digest, bytes.
    schema : str
        Under which it was made.
    """

    rows: Connection
    store: FolderStore
    files: Mapping[str, int]
    schema: str

    @property
    def summary(self) -> BackupSummary:
        """What it holds."""
        return BackupSummary(files=len(self.files), size=sum(self.files.values()), schema=self.schema)


def check_backup(folder: Path | str) -> BackupSummary:
    """Hold all of a backup against its digests, and say what it holds; nothing is changed.

    Raises
    ------
    UsageError
        If it is no backup.
    ArchiveError
        If it is damaged, or newer than this program.
    """
    with open_backup(folder) as whole:
        return whole.summary


@contextmanager
def open_backup(folder: Path | str) -> Iterator[WholeBackup]:
    """Yield a backup after `check_backup` of it. Raises as that does."""
    folder = Path(folder)
    manifest = _read_manifest(folder)
    version = str(manifest["schema"])
    if version not in REVISIONS:
        check_version(version, title=str(folder))
    _check_files(folder, manifest)
    source = make_engine_of_copy(folder / DATABASE_FILE, in_memory=version != HEAD)
    try:
        if version != HEAD:
            upgrade(source)
        with connect(source, to="read") as rows:
            _check_rows(rows, folder, manifest)
            yield WholeBackup(rows=rows, store=FolderStore(folder / _FILES), files=manifest["files"], schema=version)
    finally:
        source.dispose()


def _read_manifest(folder: Path) -> Mapping[str, Any]:
    path = folder / MANIFEST
    if not path.is_file():
        raise UsageError(f"The folder {folder} holds no {MANIFEST}. Give a folder that archive backup made.")
    try:
        manifest: Mapping[str, Any] = json.loads(path.read_text(encoding="utf-8"))
        if manifest["kind"] == BACKUP_KIND and _is_manifest(manifest):
            return manifest
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        pass
    raise ArchiveError(f"{path} is damaged or of another program. Give another backup.")


def _is_manifest(manifest: Mapping[str, Any]) -> bool:
    texts = manifest["schema"], manifest["database"]["sha256"]
    sizes = manifest["files"]
    return all(isinstance(each, str) for each in texts) and all(
        is_digest(digest) and isinstance(size, int) for digest, size in sizes.items()
    )


def _check_files(folder: Path, manifest: Mapping[str, Any]) -> None:
    """Refuse a backup of which anything is missing or altered."""
    database = folder / DATABASE_FILE
    if not database.is_file() or digest_of_content(database) != manifest["database"]["sha256"]:
        raise ArchiveError(f"The database of the backup {folder} is missing or altered. Give another backup.")
    store = FolderStore(folder / _FILES)
    there = set(store.digests())
    bad = [digest for digest in manifest["files"] if digest not in there or _altered(store, digest)]
    if bad:
        raise ArchiveError(
            f"{len(bad)} of {len(manifest['files'])} files of the backup {folder} are missing or altered, the first "
            f"is {bad[0]}. Give another backup."
        )


def _altered(store: FolderStore, digest: str) -> bool:
    with store.open(digest) as stream:
        return digest_of(stream) != digest


def _check_rows(rows: Connection, folder: Path, manifest: Mapping[str, Any]) -> None:
    """Refuse a backup whose list of files is not its database's."""
    listed = dict(rows.execute(select(FileRow.digest, FileRow.size)).all())
    if listed != manifest["files"]:
        raise ArchiveError(f"The {MANIFEST} of the backup {folder} was altered. Give another backup.")
