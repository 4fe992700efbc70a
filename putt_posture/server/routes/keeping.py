"""The upkeep of the archive: what is past its time, hidden heads, erasures, check, backup, tables for analysis.

Each act is one of the archive or the services, with their rules inside. What is erased for good is confirmed first.
"""

import zipfile
from pathlib import Path
from typing import Final

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from putt_posture.archive import (
    back_up,
    check_archive,
    find_coming_of_age,
    find_overdue,
    load_erasures,
)
from putt_posture.disk.sealing import lock_with_passphrase
from putt_posture.errors import UsageError
from putt_posture.figures import count_of
from putt_posture.server.forms import Typed, with_form
from putt_posture.server.giving import say_done, send_file
from putt_posture.server.left_behind import erase_drafts_of
from putt_posture.server.rendering import render
from putt_posture.server.state import state_of
from putt_posture.services import (
    digest_overdue,
    erase_past_time,
    export_archive,
    find_faces_to_hide,
    hide_kept_faces,
)
from putt_posture.services.sentences import (
    ENCRYPTED,
    IN_BACKUPS,
    say_erased,
    say_size,
)

__all__ = ["ROUTES"]


def keeping(request: Request) -> Response:
    """Show what can be done with the archive.

    Parameters
    ----------
    request : Request
    """
    with state_of(request).open_archive() as archive:
        place = archive.place.title
        left = [each.says for each in archive.left_over]
    return render(request, "keeping.html.jinja", place=place, left=left)


def give_all(request: Request, typed: Typed) -> Response:
    """Give the tables of the whole archive out, as a zip.

    Parameters
    ----------
    request : Request
    typed : Typed
        ``names``, ``landmarks``.
    """
    state = state_of(request)
    with state.open_archive() as archive:

        def write(folder: Path) -> Path:
            tables = folder / "tables"
            export_archive(
                archive, tables, today=state.today(), names=typed.ticked("names"), landmarks=typed.ticked("landmarks")
            )
            made = folder / "tables.zip"
            with zipfile.ZipFile(made, "x", zipfile.ZIP_DEFLATED) as packed:
                for each in sorted(tables.rglob("*")):
                    if each.is_file() and not each.name.startswith("."):
                        packed.write(each, each.relative_to(tables).as_posix())
            return made

        return send_file(write, name="archive-tables")


def erasures(request: Request) -> Response:
    """Show the record of erasures.

    Parameters
    ----------
    request : Request
    """
    with state_of(request).open_archive() as archive:
        return render(request, "erasures.html.jinja", erasures=load_erasures(archive))


def retention(request: Request) -> Response:
    """Show what is kept longer than allowed.

    Parameters
    ----------
    request : Request
    """
    state = state_of(request)
    with state.open_archive() as archive:
        found = find_overdue(archive, today=state.today())
        of_age = [each for each in find_coming_of_age(archive, today=state.today()) if each.on <= state.today()]
    return render(request, "retention.html.jinja", overdue=found, shown=digest_overdue(found), of_age=of_age)


def erase_overdue(request: Request, typed: Typed) -> Response:
    """Erase what is kept longer than allowed, if it is what was shown.

    Parameters
    ----------
    request : Request
    typed : Typed
        ``shown``: the digest of what was shown.
    """
    state = state_of(request)
    with state.open_archive() as archive:
        found = find_overdue(archive, today=state.today())
        erased = erase_past_time(archive, typed.text("shown"), today=state.today())
    erase_drafts_of(state, {each.number for each in found.students})
    return say_done(request, f"Erased: {say_erased(erased)}.", IN_BACKUPS)


def faces(request: Request) -> Response:
    """Show the lessons whose kept pictures show a face without consent.

    Parameters
    ----------
    request : Request
    """
    state = state_of(request)
    with state.open_archive() as archive:
        found = find_faces_to_hide(archive, today=state.today())
    return render(request, "hide_faces.html.jinja", lessons=found)


def hide_faces(request: Request, _typed: Typed) -> Response:
    """Make the kept pictures of these lessons again with every head hidden.

    Parameters
    ----------
    request : Request
    _typed : Typed
        Nothing is typed.
    """
    state = state_of(request)
    with state.open_archive() as archive:
        lessons = find_faces_to_hide(archive, today=state.today())
        done = hide_kept_faces(archive, lessons, today=state.today())
    return say_done(
        request,
        f"Heads are hidden in {count_of(done.made_again, 'file')} of {count_of(done.lessons, 'lesson')}. Erased: "
        f"{count_of(done.erased, 'file')} in which they cannot be hidden.",
        *done.left,
        IN_BACKUPS,
    )


def check(request: Request, typed: Typed) -> Response:
    """Check every row and every file of the archive.

    Parameters
    ----------
    request : Request
    typed : Typed
        ``quick``: whether files are only looked for.
    """
    with state_of(request).open_archive() as archive:
        found = check_archive(archive, read_files=not typed.ticked("quick"))
        place = archive.place.title
    if not found:
        return say_done(request, f"The archive {place} is whole: what was read is what it was when it was filed.")
    return say_done(
        request,
        f"{count_of(len(found), 'thing')} in the archive {'is' if len(found) == 1 else 'are'} not as it should be. "
        "Bring back what is lost from a backup.",
        *(f"{each.kind}: {each.says}" for each in found),
    )


def backup(request: Request, typed: Typed) -> Response:
    """Copy the whole archive to a new place on this computer.

    Parameters
    ----------
    request : Request
    typed : Typed
        ``folder``, and a ``passphrase`` if it is to be encrypted.
    """
    state, folder, secret = state_of(request), typed.text("folder"), typed.text("passphrase")
    if not folder or not Path(folder).is_absolute():
        raise UsageError(f"{folder!r} is no whole path of this computer. Give one, such as /media/disk/backup.")
    lock = lock_with_passphrase(secret) if secret else None
    with state.open_archive() as archive:
        made = back_up(archive, Path(folder), today=state.today(), lock=lock)
    return say_done(
        request,
        f"Backup of all rows and {say_size(made.files, made.size)} in {folder}",
        *([ENCRYPTED] if lock else []),
        "It holds people's pictures and names: keep it as safe as the archive. Students erased later stay in it.",
    )


ROUTES: Final = (
    Route("/keeping", keeping),
    Route("/keeping/erasures", erasures),
    Route("/keeping/retention", retention),
    Route("/keeping/retention", with_form(erase_overdue), methods=["POST"]),
    Route("/keeping/hide-faces", faces),
    Route("/keeping/hide-faces", with_form(hide_faces), methods=["POST"]),
    Route("/keeping/check", with_form(check), methods=["POST"]),
    Route("/keeping/backup", with_form(backup), methods=["POST"]),
    Route("/keeping/export", with_form(give_all), methods=["POST"]),
)
