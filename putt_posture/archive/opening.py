"""Opening an archive: it is found or made, its version checked, and unfinished work of stopped programs finished."""

from pathlib import Path
from typing import Final

from filelock import FileLock
from sqlalchemy.exc import DBAPIError

from putt_posture.archive.archive import Archive, in_one_sentence
from putt_posture.archive.db.access import close_doors, is_read_only
from putt_posture.archive.db.engine import connect, make_engine
from putt_posture.archive.db.schema import HEAD, REVISIONS, check_version, read_version, upgrade
from putt_posture.archive.db.vacuum import is_vacuum_due, vacuum
from putt_posture.archive.files.file_store import FileStore, FolderStore
from putt_posture.archive.files.pending import clear_left_over
from putt_posture.archive.files.reserve import RESERVE_FILE, keep_reserve, let_reserve_go
from putt_posture.archive.place import DATABASE_FILE, MANIFEST, Place, find_place
from putt_posture.disk.reading import FILE_RIGHTS, make_private_folder
from putt_posture.errors import ArchiveError, UsageError

__all__ = ["open_archive", "open_archive_at", "open_unchecked", "upgrade_archive"]

_MAKING: Final = ".making"


def open_archive(archive: str | Path | None = None, *, files: str | Path | None = None, make: bool = True) -> Archive:
    """Open an archive; a read-only one is not changed, not even its log, and refuses writing.

    Parameters
    ----------
    archive, files
        As for `find_place`.
    make : bool
        Whether a missing archive is made.

    Raises
    ------
    UsageError
        If the place is not valid.
    ArchiveError
        If it does not exist, cannot be used, or was written by another version of the program.
    """
    return open_archive_at(find_place(archive, files=files), make=make)


def open_archive_at(place: Place, *, make: bool = True) -> Archive:
    """Open an archive at a known place; otherwise as `open_archive`.

    Parameters
    ----------
    place : Place
        Where the archive is.
    make : bool
        Whether an archive is made where there is none.
    """
    opened = open_unchecked(place, make=make)
    had = 0
    try:
        try:
            version = _settle_version(opened, make=make)
        except ArchiveError as error:
            if opened.read_only or not _is_without_room(error):
                raise
            had = let_reserve_go(place)
            if not had:
                raise
            version = _settle_version(opened, make=make)
        check_version(version, title=place.title)
        if not opened.read_only:
            opened.left_over = clear_left_over(opened)
            _vacuum(opened, had=had)
    except BaseException:
        opened.close()
        raise
    return opened


def _vacuum(opened: Archive, *, had: int) -> None:
    """Finish a stopped erasure, and keep the reserve for the next one."""
    if is_vacuum_due(opened):
        had += let_reserve_go(opened.place)
        vacuum(opened, patient=False)
    keep_reserve(opened.place, had=had)


def _is_without_room(error: ArchiveError) -> bool:
    """Tell whether the database may have refused because there is no room for its log."""
    cause = error.__cause__
    name = getattr(cause.orig, "sqlite_errorname", "") if isinstance(cause, DBAPIError) else ""
    return name.startswith(("SQLITE_FULL", "SQLITE_IOERR", "SQLITE_CANTOPEN"))


def upgrade_archive(archive: str | Path | None = None, *, files: str | Path | None = None) -> tuple[str, str]:
    """Upgrade an archive's tables to this program's version, completely or not at all.

    Parameters
    ----------
    archive, files
        As for `find_place`.

    Returns
    -------
    str, str
        The schema before and after.

    Raises
    ------
    UsageError, ArchiveError
        As for `open_archive`; an archive that is newer than this program, or damaged, is not changed.
    """
    place = find_place(archive, files=files)
    with open_unchecked(place) as opened:
        before = _settle_version(opened, make=False)
        if before not in REVISIONS:
            check_version(before, title=place.title)
        opened.check_writable()
        try:
            with in_one_sentence(place):
                upgrade(opened.engine)
        except (ValueError, TypeError, ArithmeticError) as error:  # SQLAlchemy raises these for impossible values
            raise ArchiveError(
                f"The archive {place.title} cannot be brought forward: a row cannot be read ({error}). Nothing was "
                "changed. Restore it from a backup with archive restore."
            ) from error
        return before, HEAD


def open_unchecked(place: Place, *, make: bool = False) -> Archive:
    """Open an archive of any version, to upgrade, back up or restore it.

    Parameters
    ----------
    place : Place
        Where the archive is.
    make : bool
        Whether an archive is made where there is none.
    """
    if place.folder is not None:
        _see_folder(place.folder, make=make)
    read_only = is_read_only(place)
    closed = 0 if read_only else close_doors(place)
    engine = make_engine(place, read_only=read_only)
    return Archive(place, engine=engine, files=_make_store(place.files), read_only=read_only, closed=closed)


def _see_folder(folder: Path, *, make: bool) -> None:
    if (folder / MANIFEST).is_file():  # opening its database would change it, and its digest is in the manifest
        raise UsageError(f"{folder} is a backup, which does not change. Restore it with archive restore.")
    if (folder / DATABASE_FILE).is_file():
        return
    if not make:
        raise ArchiveError(f"There is no archive in {folder}. Give the folder of one, or add a student to begin one.")
    if folder.is_dir() and any(each.name not in (_MAKING, DATABASE_FILE, RESERVE_FILE) for each in folder.iterdir()):
        raise UsageError(f"The folder {folder} holds something other than an archive. Give another folder.")
    try:
        make_private_folder(folder)  # it will hold people's pictures
    except OSError as error:
        raise ArchiveError(
            f"The archive cannot be made in {folder} ({(error.strerror or type(error).__name__).lower()}). "
            "Give a folder in which you may write."
        ) from None


def _make_store(files: str) -> FileStore:
    if "://" not in files:
        return FolderStore(Path(files))
    from putt_posture.archive.files.bucket_store import BucketStore

    return BucketStore(files)


def _settle_version(opened: Archive, *, make: bool) -> str:
    """Return the version of the tables, which are made if there are none."""
    with in_one_sentence(opened.place):
        version = _read(opened) if opened.place.folder is None or _is_begun(opened.place.folder) else None
        if version is None and make:
            opened.check_writable()
            if opened.place.folder is None:
                upgrade(opened.engine)
            else:
                with FileLock(opened.place.folder / _MAKING, mode=FILE_RIGHTS):
                    if _read(opened) is None:
                        upgrade(opened.engine)
            version = _read(opened)
    if version is None:
        raise ArchiveError(f"There is no archive in {opened.place.title}. Add a student to begin one.")
    return version


def _is_begun(folder: Path) -> bool:
    """Tell whether the database has content; the first to open an empty one changes its journal mode, alone."""
    path = folder / DATABASE_FILE
    return path.is_file() and path.stat().st_size > 0


def _read(opened: Archive) -> str | None:
    with connect(opened.engine, to="read") as connection:
        return read_version(connection)
