"""What the page of live numbers and the server send each other.

The page sends a frame as eight bytes, its own time in milliseconds as a little-endian double, then a JPEG image. It
gets a document in JSON for each frame that was worked on; frames that were overtaken by newer ones get none.

What is held comes as four bytes, the length of a document in JSON as a little-endian number; the document, with
``view``, ``times_ms`` and ``sizes``; and the JPEG images, one after the other.
"""

import itertools
import json
import math
import struct
from collections.abc import Callable, Mapping
from typing import Any, Final, Literal, get_args

import numpy as np
from attrs import frozen

from putt_posture.errors import UsageError
from putt_posture.findings.quantities import PUTTER_IN_USE
from putt_posture.live import LiveFrame, LiveOutcome
from putt_posture.live.showing import LiveNumber, LiveStep
from putt_posture.measures import MEASURES
from putt_posture.server.languages import mark as _
from putt_posture.services import HeldPictures
from putt_posture.shown_units import say_in_shown_unit
from putt_posture.values import Floats, MeasureName, View

__all__ = ["FrameMessage", "HeldMessage", "as_document", "read_frame_message", "read_held_message"]

_TIME: Final = struct.Struct("<d")
_LENGTH: Final = struct.Struct("<I")
MOST_FRAME_BYTES: Final = 4_000_000
"""Of one live frame; at 1280 × 720 a JPEG has some 100 kB."""
MOST_HELD_BYTES: Final = 60_000_000
"""Of all that is held at once; 12 pictures of 4000 × 3000 pixels have some 40 MB."""
_MOST_ABOUT: Final = 20_000


SAID: Final = (
    _("Looking for the student."),
    _("Two people could be the student. Point at the student in the picture."),
    _("Someone else is there. The student is waited for."),
    _("The student is not seen. Show the whole body."),
    _("The whole body is needed, from head to feet."),
    _("This looks like the view face on. Choose that one."),
    _("This looks like the view down the line. Choose that one."),
    _("Live numbers are of the body alone. Hold measures putter and ball."),
    _("Other cameras are live already. Close their pages first."),
)
"""What is said often while the student moves."""
_DECIMALS: Final = 1
"""Of picture points: a tenth of a pixel."""


@frozen(kw_only=True)
class FrameMessage:
    """One frame of the page's camera.

    Attributes
    ----------
    time_ms : float
        By the clock of the page.
    jpeg : bytes
    """

    time_ms: float
    jpeg: bytes


@frozen(kw_only=True)
class HeldMessage:
    """What the coach held.

    Attributes
    ----------
    view : View
    without_putter : bool
    handed : {"right", "left"}
    held : HeldPictures
    """

    view: View
    without_putter: bool
    handed: Literal["right", "left"]
    held: HeldPictures


def read_frame_message(data: bytes) -> FrameMessage:
    """Read a frame as the page sent it.

    Parameters
    ----------
    data : bytes

    Raises
    ------
    UsageError
        If it is none, or too large.
    """
    if not _TIME.size < len(data) <= MOST_FRAME_BYTES:
        raise UsageError(
            f"The camera's picture has {len(data)} bytes; at most {MOST_FRAME_BYTES} are taken. Choose a smaller size."
        )
    (time_ms,) = _TIME.unpack_from(data)
    if not math.isfinite(time_ms):
        raise UsageError("The camera's picture has no time. Open the page again.")
    return FrameMessage(time_ms=time_ms, jpeg=data[_TIME.size :])


def read_held_message(data: bytes) -> HeldMessage:
    """Read what was held, as the page sent it.

    Parameters
    ----------
    data : bytes

    Raises
    ------
    UsageError
        If it is not as described, or too large.
    """
    wrong = UsageError("The held pictures did not arrive whole. Hold once more.")
    if not _LENGTH.size < len(data) <= MOST_HELD_BYTES:
        raise wrong
    (length,) = _LENGTH.unpack_from(data)
    if length > _MOST_ABOUT:
        raise wrong
    try:
        about = json.loads(data[_LENGTH.size : _LENGTH.size + length])
        view, sizes, times_ms = about["view"], about["sizes"], about["times_ms"]
        without_putter, handed = about["without_putter"] is True, about["handed"]
        times_s = tuple(float(each) / 1000 for each in times_ms)
        if view not in get_args(View) or handed not in ("right", "left") or not all(map(math.isfinite, times_s)):
            raise wrong
        if not all(isinstance(each, int) and each > 0 for each in sizes):
            raise wrong
    except (ValueError, KeyError, TypeError, RecursionError):
        raise wrong from None
    ends = np.cumsum([_LENGTH.size + length, *sizes])
    if len(sizes) != len(times_s) or ends[-1] != len(data):
        raise wrong
    pictures = tuple(data[start:end] for start, end in itertools.pairwise(ends.tolist()))
    held = HeldPictures(pictures=pictures, times_s=times_s)
    return HeldMessage(view=view, without_putter=without_putter, handed=handed, held=held)


def as_document(outcome: LiveOutcome, *, say: Callable[[str], str], view: View) -> Mapping[str, Any]:
    """Return what the page gets for a frame.

    Parameters
    ----------
    outcome : LiveOutcome
    say : callable
        Puts a sentence into the language of the page.
    view : View
        Numbers that only the other view shows are left out.
    """
    live, shown = outcome.frame, outcome.shown
    if live is None:
        return {"error": say(outcome.error)}
    document = {
        "t": 1000 * live.time_s,
        "state": live.state,
        "says": say(live.says) if live.says else "",
        "people": live.people,
        "still": live.still,
        "lastStill": None if live.last_still_s is None else [1000 * each for each in live.last_still_s],
        "smoothingMs": round(1000 * live.lag_s),
        "tookMs": round(1000 * outcome.took_s, 1),
        "dropped": outcome.dropped,
        **_student(live),
    }
    if shown is None:
        return {**document, "steps": [], "numbersSay": "", "plumb": None}
    return {
        **document,
        "steps": [_step(each, say=say, view=view) for each in shown.steps],
        "numbersSay": say(shown.says) if shown.says else "",
        "plumb": None if live.moment is None or shown.plumb_px is None else [_round(each) for each in shown.plumb_px],
    }


def _student(live: LiveFrame) -> dict[str, Any]:
    if live.moment is None or live.hands_px is None:
        return {"points": None, "hands": None}
    person = live.moment.person
    points = np.round(np.column_stack([person.points_px, person.visibility]), 2)
    return {"points": np.nan_to_num(points, nan=-1.0).tolist(), "hands": _round(live.hands_px)}


def _round(point: Floats | tuple[float, float]) -> list[float]:
    return [round(float(each), _DECIMALS) for each in point]


def _step(step: LiveStep, *, say: Callable[[str], str], view: View) -> dict[str, Any]:
    numbers = [each for each in step.numbers if _is_of(each.quantity, view)]
    return {
        "name": step.name,
        "title": step.title,
        "do": step.do,
        "mark": step.mark,
        "limits": list(step.limits),
        "numbers": [_number(each, say=say) for each in numbers],
    }


def _is_of(quantity: str, view: View) -> bool:
    """Tell whether a view shows a number, or no view is needed for it."""
    if quantity == PUTTER_IN_USE:
        return True
    return view in MEASURES[MeasureName(quantity)].views


def _number(number: LiveNumber, *, say: Callable[[str], str]) -> dict[str, Any]:
    return {
        "quantity": number.quantity,
        "title": number.title,
        "filmed": say_in_shown_unit(number.filmed),
        "wanted": say_in_shown_unit(number.wanted),
        "margin": say_in_shown_unit(number.margin),
        "value": number.value,
        "mark": number.mark,
        "says": say(number.says) if number.says else "",
    }
