"""Backups: an archive copied into a folder with the digests of all that is in it, and brought back from there.

A backup is itself an archive in SQLite, whatever it was copied from, with a ``manifest.json`` beside it. Most files are
copied while others go on working; only the rows, and the files that came meanwhile, are copied while nobody writes.
"""

import json
from collections.abc import Iterable, Mapping
from datetime import date
from pathlib import Path
from typing import Any, Final

from attrs import frozen
from sqlalchemy import Connection, select
from sqlalchemy.orm import Session

from putt_posture.archive.archive import Archive, in_one_sentence
from putt_posture.archive.arrivals import arriving
from putt_posture.archive.copying import copy_rows, holds_rows
from putt_posture.archive.engine import connect, make_engine, make_engine_of_copy
from putt_posture.archive.file_store import FolderStore, digest_of, is_digest, new_token
from putt_posture.archive.opening import open_archive_at
from putt_posture.archive.place import DATABASE_FILE, MANIFEST, Place, find_place
from putt_posture.archive.schema import HEAD, REVISIONS, check_version, read_version, upgrade
from putt_posture.archive.tables import FileRow
from putt_posture.errors import ArchiveError, UsageError
from putt_posture.folders import fresh_folder, open_new

__all__ = ["BackupSummary", "back_up", "restore"]

_KIND: Final = "putt_posture archive backup"
_FILES: Final = "files"


@frozen(kw_only=True)
class BackupSummary:
    """What a backup holds: how many files, of how many bytes, under which schema."""

    files: int
    size: int
    schema: str


def back_up(archive: Archive, folder: Path | str, *, today: date) -> BackupSummary:
    """Copy an archive into a new folder, which appears whole or not at all.

    Raises
    ------
    OutputError
        If the folder holds something or cannot be written.
    ArchiveError
        If a file of the archive is missing or altered; the sentence says what to do.
    """
    _refuse_used(Path(folder))
    with fresh_folder(folder, what="backup") as part:
        copy = find_place(part)
        store = FolderStore(Path(copy.files))
        token = new_token()
        for digest in _listed(archive):
            _copy_early(archive, store, digest, token=token)
        with in_one_sentence(archive.place), connect(archive.engine, to="write") as source, source.begin():
            version = read_version(source) or HEAD
            listed = dict(source.execute(select(FileRow.digest, FileRow.size)).all())
            for digest in listed:
                _copy_file(archive, store, digest, token=token)
            _write_database(copy, source, version)
        for gone in set(store.digests()) - listed.keys():
            store.remove(gone)
        store.clear(token)
        manifest = {
            "kind": _KIND,
            "schema": version,
            "made_on": today.isoformat(),
            "database": {"file": DATABASE_FILE, "sha256": _digest(part / DATABASE_FILE)},
            "files": {digest: listed[digest] for digest in sorted(listed)},
        }
        with open_new(part / MANIFEST) as stream:
            stream.write((json.dumps(manifest, indent=1) + "\n").encode())
    return BackupSummary(files=len(listed), size=sum(listed.values()), schema=version)


def restore(backup: Path | str, *, archive: str | Path | None = None, files: str | Path | None = None) -> BackupSummary:
    """Bring an archive back from a backup, after all of it was held against its digests.

    Parameters
    ----------
    backup : Path
        A folder that `back_up` made.
    archive, files
        As for `find_place`; there must be nothing there yet, or an archive in which nothing is.

    Raises
    ------
    UsageError
        If it is no backup, or there is something at the place already.
    ArchiveError
        If the backup is damaged, newer than this program, or the place cannot be written. What is left there then is
        at most an archive in which nothing is.
    """
    folder = Path(backup)
    manifest = _read_manifest(folder)
    version = str(manifest["schema"])
    if version not in REVISIONS:
        check_version(version, title=str(folder))
    _check_backup(folder, manifest)
    source = make_engine_of_copy(folder / DATABASE_FILE, in_memory=version != HEAD)
    try:
        if version != HEAD:
            upgrade(source)
        with connect(source, to="read") as rows:
            _check_rows(rows, folder, manifest)
            with _open_empty(find_place(archive, files=files)) as target:
                _fill(target, rows, FolderStore(folder / _FILES), manifest["files"])
    finally:
        source.dispose()
    return BackupSummary(files=len(manifest["files"]), size=sum(manifest["files"].values()), schema=HEAD)


def _refuse_used(folder: Path) -> None:
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise UsageError(f"There is something in {folder} already. Give a new folder, or move it away first.")


def _listed(archive: Archive) -> list[str]:
    with archive.read() as session:
        return list(session.scalars(select(FileRow.digest)))


def _copy_early(archive: Archive, store: FolderStore, digest: str, *, token: str) -> None:
    """Copy a file while others go on working, unless one of them erased it meanwhile."""
    try:
        _copy_file(archive, store, digest, token=token)
    except ArchiveError:
        if digest in _listed(archive):
            raise


def _copy_file(archive: Archive, store: FolderStore, digest: str, *, token: str) -> None:
    with archive.files.open(digest) as stream:
        store.put(stream, digest, token=token)


def _write_database(copy: Place, source: Any, version: str) -> None:
    engine = make_engine(copy)
    try:
        upgrade(engine, to=version)
        with connect(engine, to="write") as target, target.begin():
            copy_rows(source, target)
        _close_log(engine)
    finally:
        engine.dispose()


def _close_log(engine: Any) -> None:
    """Leave one file and no log beside it."""
    with connect(engine, to="maintain") as connection:
        connection.exec_driver_sql("PRAGMA journal_mode=DELETE")


def _digest(path: Path) -> str:
    with path.open("rb") as stream:
        return digest_of(stream)


def _read_manifest(folder: Path) -> Mapping[str, Any]:
    path = folder / MANIFEST
    if not path.is_file():
        raise UsageError(f"The folder {folder} holds no {MANIFEST}. Give a folder that archive backup made.")
    try:
        manifest: Mapping[str, Any] = json.loads(path.read_text(encoding="utf-8"))
        if manifest["kind"] == _KIND and _is_manifest(manifest):
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


def _check_backup(folder: Path, manifest: Mapping[str, Any]) -> None:
    """Refuse a backup of which anything is missing or altered."""
    database = folder / DATABASE_FILE
    if not database.is_file() or _digest(database) != manifest["database"]["sha256"]:
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


def _open_empty(place: Place) -> Archive:
    """Open an archive, made where there is none, in which nothing is."""
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


def _fill(target: Archive, rows: Connection, store: FolderStore, digests: Iterable[str]) -> None:
    with arriving(target) as arrivals:
        arrivals.bring({digest: store.path_of(digest) for digest in digests})
        with target.write() as session:
            _refuse_filled(target, session)
            arrivals.hand_over(session)
            copy_rows(rows, session.connection())
