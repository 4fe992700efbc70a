"""What is said of a clip that has arrived: whether it is one, its codec, size and rate, and whether the rate fell.

`check_clip` is run in a worker: a file that somebody made to harm the decoder harms that process and no more.
"""

from pathlib import Path
from typing import Final

import av

from putt_posture.clips import read_clip
from putt_posture.figures import format_number
from putt_posture.server.drafts import AboutClip
from putt_posture.values import VIEW_WORDS, Clip, View

__all__ = ["check_clip", "say_rates_differ"]

_FELL: Final = 0.9
"""A rate below this share of another is lower, and not the same rate measured twice (29.97 and 30)."""
_USUAL_HZ: Final = 45.0
"""Phones film at 60 frames a second or, converted to be compatible, at 30 or fewer (common practice)."""
_CAPTURE_RATE: Final = "com.android.capture.fps"
"""Android writes at how many frames a second it filmed (``kMetaKey_CaptureFps`` in its MPEG4Writer)."""
_KEEP_FORMAT: Final = (
    "Phones convert a clip when it is picked, if they are set so: choose the current format in the options of the "
    "picker, or copy the file."  # the options of the picker of iOS, from memory
)


def check_clip(path: Path, view: View, name: str) -> AboutClip:
    """Read a clip and say what it is.

    Parameters
    ----------
    path : Path
    view : View
    name : str
        As the file was called where it came from.

    Raises
    ------
    ClipError
        As `read_clip`, with that name in the sentence.
    """
    try:
        clip = read_clip(path, view=view)
    except Exception as error:
        # The name on this disk is not one that the coach knows.
        error.args = tuple(each.replace(path.name, name) if isinstance(each, str) else each for each in error.args)
        raise
    notes = [note.replace(path.name, name) for note in clip.notes]
    return AboutClip(name=name, sha256=clip.sha256, rate_hz=clip.rate_hz, says=(*_describe(clip, name), *notes))


def say_rates_differ(view: View, about: AboutClip, other_view: View, other: AboutClip) -> str:
    """Say that a clip has fewer frames a second than that of the other view; empty if it has not.

    Parameters
    ----------
    view : View
    about : AboutClip
        The clip that has arrived.
    other_view : View
    other : AboutClip
    """
    if not about.rate_hz or not other.rate_hz or about.rate_hz >= _FELL * other.rate_hz:
        return ""
    return (
        f"The {VIEW_WORDS[view]} clip has {_rate(about.rate_hz)}, and the {VIEW_WORDS[other_view]} clip has "
        f"{_rate(other.rate_hz)}. {_KEEP_FORMAT}"
    )


def _describe(clip: Clip, name: str) -> list[str]:
    size = f"{clip.width} × {clip.height} pixels"
    if clip.kind == "still":
        return [f"{name} is a still picture, {size}."]
    length = f"{format_number(clip.duration_s, decimals=1)} s"
    says = [f"{name}: {length}, {size}, {_rate(clip.rate_hz)}, {clip.codec}."]
    captured = _read_capture_rate(clip.path)
    if captured is not None and clip.rate_hz < _FELL * captured:
        says.append(
            f"It was filmed at {_rate(captured)} and arrived with {_rate(clip.rate_hz)}: it is slow motion that plays "
            f"stretched, or frames were lost. {_KEEP_FORMAT}"
        )
    elif clip.rate_hz < _USUAL_HZ:
        says.append(
            f"{_rate(clip.rate_hz)} are enough for the setup. If it was filmed at more, the rate fell on the way here. "
            f"{_KEEP_FORMAT}"
        )
    return says


def _read_capture_rate(path: Path) -> float | None:
    with av.open(str(path), metadata_errors="replace") as container:
        for found in (container.metadata, *(stream.metadata for stream in container.streams)):
            try:
                return float(found[_CAPTURE_RATE])
            except (KeyError, ValueError):
                continue
    return None


def _rate(rate_hz: float) -> str:
    return f"{format_number(rate_hz, decimals=0 if abs(rate_hz - round(rate_hz)) < 0.05 else 1)} frames a second"
