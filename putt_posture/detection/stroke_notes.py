"""Sentences for the coach on how well a stroke could be seen in its clip."""

from typing import Final

import numpy as np

from putt_posture.detection.stroke_windows import StrokeWindow
from putt_posture.figures import count_of
from putt_posture.landmarks import EveryFrame
from putt_posture.values import HAND_POINTS, LANDMARK_INDEX, Clip, Floats, Handed, Track, View

__all__ = ["END_S", "say_direction", "say_ends", "say_hidden", "say_lost"]

END_S: Final = 0.05
"""A finish this near to the end of the clip was not seen whole, real seconds."""
_OTHERS_MOVE: Final = (
    " Someone else was in the picture, and what moves around the student may hide a swing. Film with no one else in "
    "the picture."
)
_WORTH_SAYING: Final = 2
"""So many lost frames are reported."""
_SHORT_ADDRESS_S: Final = 0.25
"""Less stillness before a stroke hardly shows the noise, real seconds."""
_UNSEEN_S: Final = 0.45
"""A student who is out of sight for longer may have putted in that time, real seconds: so short is a through-swing."""
_LEAVES: Final = 0.3
"""The hands have left their place at this share of their farthest way."""


def say_hidden(track: Track, clip: Clip) -> str:
    """Say what may have hidden a stroke: a student out of sight, or someone else who moved.

    Parameters
    ----------
    track : Track
        Of a clip in which no stroke was seen.
    clip : Clip

    Returns
    -------
    str
        A sentence with a space before it; empty where neither was so.
    """
    seen = np.flatnonzero(np.isfinite(track.boxes_px).all(axis=1))
    gaps_s = np.diff(track.times_s[seen])
    if not len(gaps_s) or gaps_s.max() < _UNSEEN_S * clip.time_stretch:
        return _OTHERS_MOVE if track.people > 1 else ""
    longest = int(np.argmax(gaps_s))
    first_s, last_s = track.times_s[seen[longest]], track.times_s[seen[longest + 1]]
    return (
        f" The student was not seen between {first_s:.1f} and {last_s:.1f} s; a stroke there is missed. Film with "
        "nothing in front of the student."
    )


def say_lost(student: EveryFrame, *, people: int) -> list[str]:
    """Say in how many frames the student was not seen, where that is worth saying.

    Parameters
    ----------
    student : EveryFrame
    people : int
        How many were in the clip.

    Returns
    -------
    list of str
    """
    lost = int(student.lost.sum())
    if lost < _WORTH_SAYING:
        return []
    why = " Someone else was in the picture." if people > 1 else ""
    return [f"The student was not seen in {lost} of {count_of(len(student.times_s), 'frame')} around the stroke.{why}"]


def say_ends(clip: Clip, window: StrokeWindow, address_s: tuple[float, float]) -> list[str]:
    """Say where the clip begins too late or ends too early for a stroke.

    Parameters
    ----------
    clip : Clip
    window : StrokeWindow
    address_s : (float, float)
        The quiet part before the stroke that was followed.

    Returns
    -------
    list of str
    """
    said = []
    stretch = clip.time_stretch
    if address_s[1] - address_s[0] < _SHORT_ADDRESS_S * stretch:
        said.append(
            "Hardly any stillness shows before the stroke, so that its uncertainty is little known. Let the clip begin "
            "a second earlier, and stand still for it."
        )
    if window.stroke_s[1] > clip.duration_s - END_S * stretch:
        said.append("The clip ends before the stroke does, so that its finish is not seen.")
    return said


def say_direction(student: EveryFrame, window: StrokeWindow, view: View, handed: Handed) -> list[str]:
    """Say where the hands first move toward the target, which is on the right of a right-hander's picture face on.

    Parameters
    ----------
    student : EveryFrame
    window : StrokeWindow
    view : View
    handed : {"right", "left"}

    Returns
    -------
    list of str
    """
    if view != "face_on":
        return []
    hands = _hands(student.points_px)[:, 0]
    still = (student.times_s >= window.address_s[0]) & (student.times_s <= window.address_s[1])
    during = (student.times_s >= window.stroke_s[0]) & (student.times_s <= window.stroke_s[1])
    way = hands[during & np.isfinite(hands)]
    if not len(way) or not np.isfinite(hands[still]).any():
        return []
    way = way - np.nanmedian(hands[still])
    first = way[np.abs(way) >= _LEAVES * np.abs(way).max()][0]
    if (first > 0) != (handed == "right"):
        return []
    return [f"The hands first move toward the target. Check that the student putts {handed}-handed."]


def _hands(points_px: Floats) -> Floats:
    names = [LANDMARK_INDEX[f"{side}_{part}"] for side in ("left", "right") for part in HAND_POINTS]
    return np.asarray(points_px[:, names].mean(axis=1))
