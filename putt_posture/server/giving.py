"""How a route answers when something was done, or gives a file out."""

import hashlib
import tempfile
import zipfile
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any, Final, cast

from starlette.background import BackgroundTask
from starlette.requests import Request
from starlette.responses import FileResponse, RedirectResponse, Response
from starlette.routing import Route

from putt_posture.archive import (
    SCOPE_TITLES,
    SCOPES,
    Relation,
    Scope,
    add_consent,
    back_up,
    check_archive,
    erase_lesson,
    find_coming_of_age,
    find_overdue,
    load_erasures,
    load_lesson,
    load_lessons,
    load_permission,
    load_student,
    read_settings,
    withdraw_consent,
)
from putt_posture.disk.sealing import lock_with_passphrase
from putt_posture.errors import UsageError
from putt_posture.figures import count_of, format_given
from putt_posture.server.forms import Typed, with_form
from putt_posture.server.rendering import render, translate
from putt_posture.server.state import state_of
from putt_posture.services import (
    check_reason,
    describe,
    erase,
    erase_past_time,
    export_archive,
    export_student,
    find_faces_to_hide,
    hide_kept_faces,
)
from putt_posture.services.sentences import (
    ENCRYPTED,
    IN_BACKUPS,
    say_age,
    say_body,
    say_consents,
    say_doubts,
    say_erased,
    say_size,
)
from putt_posture.units import read_day, read_length_cm
from putt_posture.values import SEXES, Handed, Sex

__all__ = ["say_done", "send_file"]


def say_done(request: Request, first: str, *more: str) -> Response:
    """Say what was done.

    Parameters
    ----------
    request : Request
    first : str
    *more : str
        Further sentences.
    """
    return render(request, "done.html.jinja", says=first, more=more)


def send_file(write: Callable[[Path], Path], *, name: str) -> Response:
    """Send a file that is written to a private folder, which is erased when the file was sent.

    Parameters
    ----------
    write : callable
        Takes the folder, and returns the file that it wrote there.
    name : str
        Of the file as it is sent, without its ending.
    """
    folder = tempfile.TemporaryDirectory(prefix="putt-posture-sent-")
    try:
        made = write(Path(folder.name))
    except BaseException:
        folder.cleanup()
        raise
    return FileResponse(made, filename=f"{name}{made.suffix}", background=BackgroundTask(folder.cleanup))


