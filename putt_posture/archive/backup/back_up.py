"""Backups: an archive copied into a folder with the digests of all files, and restored from there.

A backup is an archive in SQLite, also if it was copied from PostgreSQL, with a ``manifest.json`` beside it. Most files
are copied while others go on working; only the rows, and the files that were added in between, are copied in a write
lock.
"""

import hashlib
import io
from collections.abc import Iterable, Mapping
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any, BinaryIO, Final, Literal, cast

from sqlalchemy import Connection, Engine, select
from sqlalchemy.orm import Session

from putt_posture.archive.archive import Archive, check_outside, in_one_sentence, is_within
from putt_posture.archive.backup.check_backup import BackupSummary, open_backup
from putt_posture.archive.backup.source import entries_of
from putt_posture.archive.db.copying import copy_rows, holds_rows
from putt_posture.archive.db.engine import bytes_of, connect, make_engine, make_engine_in_memory
from putt_posture.archive.db.row_checks import check_rows, say_altered
from putt_posture.archive.db.schema import HEAD, read_version, upgrade
from putt_posture.archive.db.tables import FileRow
from putt_posture.archive.files.file_store import Digesting, FolderStore, ReadsFiles, new_token
from putt_posture.archive.files.pending import adding_files, digest_of_content
from putt_posture.archive.opening import open_archive_at
from putt_posture.archive.place import DATABASE_FILE, MANIFEST, Place, find_place
from putt_posture.disk.folders import fresh_file, fresh_folder, write_new
from putt_posture.disk.marks import BACKUP_KIND
from putt_posture.disk.sealing import Lock, OpeningKey, SealedWriter, sealing
from putt_posture.documents.json_values import document_as_text
from putt_posture.errors import ArchiveError, UsageError

__all__ = ["back_up", "restore"]

_WHAT: Final = "a backup of a putt_posture archive"
_HOW: Final = "Restore it with: putt-posture archive restore FILE."


def back_up(archive: Archive, target: Path | str, *, today: date, lock: Lock | None = None) -> BackupSummary:
    """Copy an archive into a new folder or a new encrypted file, completely or not at all.

    Parameters
    ----------
    archive : Archive
    target : Path or str
        The folder, or the file where `lock` is given.
    today : date
        The day of the backup.
    lock : Lock, optional
        For whom it is encrypted. Then nothing is on a disk unencrypted; the rows are in memory.

    Raises
    ------
    UsageError
        If the folder is not empty, the file exists, or either is in the archive.
    OutputError
        If it cannot be written.
    ArchiveError
        If a file of the archive is missing or was changed, or a row is not as it was filed; the message says what to
        do.
    """
    check_outside(archive, target)
    if lock is not None:
        return _back_up_sealed(archive, target, lock, today=today)
    _refuse_used(Path(target))
    with fresh_folder(target, what="backup", private=True, mark=False) as part:
        copy = find_place(part)
        store = FolderStore(Path(copy.files))
        token = new_token()
        for digest in _listed(archive):
            _copy_early(archive, store, digest, token=token)
        use: Literal["read", "write"] = "read" if archive.read_only else "write"
        with in_one_sentence(archive.place), connect(archive.engine, to=use) as source, source.begin():
            version = read_version(source) or HEAD
            listed = dict(source.execute(select(FileRow.digest, FileRow.size)).all())
            for digest in listed:
                _copy_file(archive, store, digest, token=token)
            _write_database(archive, copy, source, version)
        _check_database(archive, copy, version)
        for gone in set(store.digests()) - listed.keys():
            store.remove(gone)
        store.clear(token)
        manifest = _manifest(listed, version, digest_of_content(part / DATABASE_FILE), today=today)
        write_new(part / MANIFEST, manifest)
    return BackupSummary(files=len(listed), size=sum(listed.values()), schema=version)


def restore(
    backup: Path | str,
    *,
    archive: str | Path | None = None,
    files: str | Path | None = None,
    key: OpeningKey | None = None,
) -> BackupSummary:
    """Restore an archive from a backup, after all of it was compared with its digests.

    Parameters
    ----------
    backup : Path
        A folder or an encrypted file that `back_up` made.
    archive, files
        As for `find_place`; the place must be new, or an empty archive.
    key : OpeningKey, optional
        For an encrypted backup.

    Raises
    ------
    UsageError
        If it is not a backup, it is encrypted and no key was given, the place is not empty, or the place is in the
        backup.
    SealError
        If it does not open with the key.
    ArchiveError
        If the backup is damaged, newer than this program, has data that cannot be restored, or the place cannot be
        written. At most an empty archive is left there.
    """
    place = find_place(archive, files=files)
    _refuse_inside(Path(backup), place)
    with open_backup(backup, key=key) as whole:
        with _open_empty(place) as target:
            _fill(target, whole.rows, whole.store, whole.files)
        return whole.summary


def _refuse_used(folder: Path) -> None:
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise UsageError(f"There is something in {folder} already. Give a new folder, or move it away first.")


def _refuse_inside(backup: Path, place: Place) -> None:
    for path in place.paths:
        if is_within(path, backup):
            raise UsageError(f"{path} is in the backup itself, which does not change. Give a place outside of it.")


def _listed(archive: Archive) -> list[str]:
    with archive.read() as session:
        return list(session.scalars(select(FileRow.digest)))


def _copy_early(archive: Archive, store: FolderStore, digest: str, *, token: str) -> None:
    """Copy a file while others go on working, unless it was erased in between."""
    try:
        _copy_file(archive, store, digest, token=token)
    except ArchiveError:
        if digest in _listed(archive):
            raise


def _copy_file(archive: Archive, store: FolderStore, digest: str, *, token: str) -> None:
    with archive.files.open(digest) as stream:
        store.put(stream, digest, token=token)


def _back_up_sealed(archive: Archive, path: Path | str, lock: Lock, *, today: date) -> BackupSummary:
    """Encrypt the rows of one moment, and then their files while others go on working."""
    with fresh_file(path, what="backup", private=True) as stream:
        engine = make_engine_in_memory()
        try:
            with in_one_sentence(archive.place), connect(archive.engine, to="read") as source, source.begin():
                version = read_version(source) or HEAD
                listed = dict(source.execute(select(FileRow.digest, FileRow.size)).all())
                _copy_rows(archive, engine, source, version)
            _check_copy(archive, engine, version)
            database = bytes_of(engine)
        finally:
            engine.dispose()
        manifest = _manifest(listed, version, hashlib.sha256(database).hexdigest(), today=today)
        with sealing(stream, lock, what=_WHAT, how=_HOW) as sealed:
            sealed.add(MANIFEST, io.BytesIO(manifest))
            sealed.add(DATABASE_FILE, io.BytesIO(database))
            for digest, entry in entries_of(listed).items():
                _seal_file(archive, sealed, entry, digest)
    return BackupSummary(files=len(listed), size=sum(listed.values()), schema=version)


def _seal_file(archive: Archive, sealed: SealedWriter, entry: str, digest: str) -> None:
    try:
        with archive.files.open(digest) as source:
            found = Digesting(source)
            sealed.add(entry, cast(BinaryIO, found))
    except ArchiveError:
        if digest in _listed(archive):
            raise
        raise ArchiveError("A student was erased while the backup was made, so none was made. Make it again.") from None
    if found.digest != digest:
        raise _unsound(archive, f"The file {digest} was altered.")


def _manifest(listed: Mapping[str, int], version: str, database: str, *, today: date) -> bytes:
    manifest = {
        "kind": BACKUP_KIND,
        "schema": version,
        "made_on": today.isoformat(),
        "database": {"file": DATABASE_FILE, "sha256": database},
        "files": {digest: listed[digest] for digest in sorted(listed)},
    }
    return document_as_text(manifest, indent=1).encode("utf-8")


def _write_database(archive: Archive, copy: Place, source: Any, version: str) -> None:
    engine = make_engine(copy)
    try:
        _copy_rows(archive, engine, source, version)
    finally:
        engine.dispose()


def _check_database(archive: Archive, copy: Place, version: str) -> None:
    """Refuse a copy that could not be restored, and leave one file without a log; no writer waits for this."""
    engine = make_engine(copy)
    try:
        _check_copy(archive, engine, version)
        _close_log(engine)
    finally:
        engine.dispose()


def _copy_rows(archive: Archive, engine: Engine, source: Any, version: str) -> None:
    upgrade(engine, to=version)
    try:
        with connect(engine, to="write") as target, target.begin():
            copy_rows(source, target)
    except (ValueError, TypeError, ArithmeticError) as error:  # SQLAlchemy raises these for impossible values
        raise _unsound(archive, f"A row cannot be read ({error}).") from error


def _check_copy(archive: Archive, engine: Engine, version: str) -> None:
    if version != HEAD:
        return  # it has no digests yet, or different ones
    with connect(engine, to="read") as connection:
        found, altered = check_rows(connection)
    for each in (*found, *(say_altered(each) for each in altered)):
        raise _unsound(archive, each.says)


def _unsound(archive: Archive, says: str) -> ArchiveError:
    return ArchiveError(
        f"The archive {archive.place.title} is not as it was filed, so no backup was made: {says} Check all of it "
        "with archive check, and restore it from an earlier backup."
    )


def _close_log(engine: Any) -> None:
    """Write everything into one file, without a log beside it."""
    with connect(engine, to="maintain") as connection:
        connection.exec_driver_sql("PRAGMA journal_mode=DELETE")


def _open_empty(place: Place) -> Archive:
    """Open an empty archive, and make it if there is none."""
    if place.folder is not None and place.folder.exists() and not place.folder.is_dir():
        raise UsageError(f"{place.folder} is a file. Give a new folder.")
    opened = open_archive_at(place)
    try:
        with opened.read() as session:
            _refuse_filled(opened, session)
    except BaseException:
        opened.close()
        raise
    return opened


def _refuse_filled(archive: Archive, session: Session) -> None:
    if holds_rows(session.connection()):
        raise UsageError(
            f"There is something in the archive {archive.place.title} already. Give a new place, or move it away first."
        )


def _fill(target: Archive, rows: Connection, store: ReadsFiles, digests: Iterable[str]) -> None:
    with adding_files(target) as pending:
        pending.add({digest: partial(store.open, digest) for digest in digests})
        with target.write() as session:
            _refuse_filled(target, session)
            pending.hand_over(session)
            copy_rows(rows, session.connection())
