"""The check of a backup against its own digests, before anything is read from it."""

import json
from collections.abc import Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

from attrs import frozen
from sqlalchemy import Connection, select
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

from putt_posture.archive.backup.source import BackupSource, open_source
from putt_posture.archive.checking import check_contents
from putt_posture.archive.db.copying import copy_rows
from putt_posture.archive.db.engine import connect, make_engine_in_memory
from putt_posture.archive.db.schema import HEAD, REVISIONS, check_version, find_schema_faults, upgrade
from putt_posture.archive.db.tables import FileRow
from putt_posture.archive.files.file_store import ReadsFiles, digest_of, is_digest
from putt_posture.archive.place import MANIFEST
from putt_posture.disk.marks import BACKUP_KIND
from putt_posture.disk.sealing import OpeningKey
from putt_posture.errors import ArchiveError, SealError, UsageError

__all__ = ["BackupSummary", "WholeBackup", "check_backup", "open_backup"]


@frozen(kw_only=True)
class BackupSummary:
    """What a backup contains: how many files and bytes, and its schema."""

    files: int
    size: int
    schema: str


@frozen(kw_only=True)
class WholeBackup:
    """A complete and unchanged backup.

    Attributes
    ----------
    rows : Connection
        To its database, brought forward to this program's schema in memory.
    store : ReadsFiles
    files : mapping of str to int
        Sizes by digest, bytes.
    schema : str
        The schema under which it was made.
    """

    rows: Connection
    store: ReadsFiles
    files: Mapping[str, int]
    schema: str

    @property
    def summary(self) -> BackupSummary:
        """What it contains."""
        return BackupSummary(files=len(self.files), size=sum(self.files.values()), schema=self.schema)


def check_backup(backup: Path | str, *, key: OpeningKey | None = None) -> BackupSummary:
    """Compare a backup with its digests, restore it in memory, and return what it contains; nothing is changed.

    Parameters
    ----------
    backup : Path
        A folder or an encrypted file that `back_up` made.
    key : OpeningKey, optional
        For an encrypted one.

    Raises
    ------
    UsageError
        If it is not a backup, or is encrypted and no key was given.
    SealError
        If it does not open with the key.
    ArchiveError
        If it is damaged, newer than this program, or has data that cannot be restored.
    """
    with open_backup(backup, key=key) as whole:
        return whole.summary


@contextmanager
def open_backup(backup: Path | str, *, key: OpeningKey | None = None) -> Iterator[WholeBackup]:
    """Yield a backup after `check_backup` of it. Raises as that does.

    Parameters
    ----------
    backup : Path | str
        Folder or encrypted file.
    key : OpeningKey or None
        What opens it, where it is encrypted.
    """
    with open_source(Path(backup), key) as source:
        manifest = _read_manifest(source)
        version = str(manifest["schema"])
        if version not in REVISIONS:
            check_version(version, title=source.title)
        files = manifest["files"]
        store = source.store_of(files)
        _check_files(source, store, manifest)
        with _opened(source, version) as rows:
            with _in_one_sentence(source.title):
                _check_listed(rows, source.title, manifest)
                _check_contents(rows, store, source.title)
                _bring_back_in_memory(rows)
            yield WholeBackup(rows=rows, store=store, files=files, schema=version)


@contextmanager
def _opened(backup: BackupSource, version: str) -> Iterator[Connection]:
    """Yield a connection to the database; it has only this program's tables, in this version."""
    with ExitStack() as stack:
        with _in_one_sentence(backup.title):
            source = backup.make_engine(in_memory=version != HEAD)
            stack.callback(source.dispose)
            with connect(source, to="read") as connection:
                _refuse(
                    backup.title,
                    [f"The database was changed. {each}" for each in find_schema_faults(connection, version)],
                )
            if version != HEAD:
                upgrade(source)
            rows = stack.enter_context(connect(source, to="read"))
        yield rows


@contextmanager
def _in_one_sentence(title: str) -> Iterator[None]:
    """Turn any error of an untrusted database into one sentence."""
    try:
        yield
    except (ArchiveError, SealError, UsageError):
        raise
    except Exception as error:
        reason = " ".join(str(error.orig if isinstance(error, DBAPIError) else error).split())
        raise ArchiveError(
            f"The backup {title} has data that cannot be restored ({type(error).__name__}: {reason}). "
            "Give another backup."
        ) from error


def _refuse(title: str, found: Sequence[str]) -> None:
    if found:
        more = f" ({len(found)} things in all)" if len(found) > 1 else ""
        raise ArchiveError(
            f"The backup {title} has data that cannot be restored{more}: {found[0]} Give another backup."
        )


def _check_contents(rows: Connection, store: ReadsFiles, title: str) -> None:
    """Refuse rows in which `check_archive` would find something."""
    with Session(rows) as session:
        found = check_contents(session, store, read_files=True)
    _refuse(title, [each.says for each in found])


def _bring_back_in_memory(rows: Connection) -> None:
    """Do a restore in memory, which leaves nothing behind."""
    target = make_engine_in_memory()
    try:
        upgrade(target)
        with connect(target, to="write") as goal, goal.begin():
            copy_rows(rows, goal)
    finally:
        target.dispose()


def _read_manifest(source: BackupSource) -> Mapping[str, Any]:
    try:
        manifest: Mapping[str, Any] = json.loads(source.read_manifest().decode("utf-8"))
        if manifest["kind"] == BACKUP_KIND and _is_manifest(manifest):
            return manifest
    except (SealError, UsageError):
        raise
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        pass
    raise ArchiveError(f"{MANIFEST} of {source.title} is damaged or from another program. Give another backup.")


def _is_manifest(manifest: Mapping[str, Any]) -> bool:
    texts = manifest["schema"], manifest["database"]["sha256"]
    sizes = manifest["files"]
    return all(isinstance(each, str) for each in texts) and all(
        is_digest(digest) and isinstance(size, int) for digest, size in sizes.items()
    )


def _check_files(source: BackupSource, store: ReadsFiles, manifest: Mapping[str, Any]) -> None:
    """Refuse a backup that is incomplete or changed."""
    if source.digest_of_database() != manifest["database"]["sha256"]:
        raise ArchiveError(f"The database of the backup {source.title} is missing or altered. Give another backup.")
    there = set(store.digests())
    bad = [digest for digest, size in manifest["files"].items() if digest not in there or _altered(store, digest, size)]
    if bad:
        raise ArchiveError(
            f"{len(bad)} of {len(manifest['files'])} files of the backup {source.title} are missing or altered, the "
            f"first is {bad[0]}. Give another backup."
        )


def _altered(store: ReadsFiles, digest: str, size: int) -> bool:
    with store.open(digest) as stream:
        return digest_of(stream) != digest or stream.tell() != size


def _check_listed(rows: Connection, title: str, manifest: Mapping[str, Any]) -> None:
    """Refuse a backup whose list of files differs from its database."""
    listed = dict(rows.execute(select(FileRow.digest, FileRow.size)).all())
    if listed != manifest["files"]:
        raise ArchiveError(f"The {MANIFEST} of the backup {title} was altered. Give another backup.")
