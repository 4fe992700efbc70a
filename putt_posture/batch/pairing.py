"""Clips that arrived, joined to lessons: whose each is, which side it shows, and which two belong together.

Whose a clip is, says its name by the rule of `lessons`, or a folder that is named by the student's number (``12``, and
in it perhaps ``before`` or ``after``), or what was given for all. Two clips are one lesson where only the view differs
in their names; or where they are of one student and one moment, show both views, and were filmed within some minutes.
"""

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date
from pathlib import Path, PurePath
from typing import Final, cast

import numpy as np
from attrs import frozen
from scipy.optimize import linear_sum_assignment

from putt_posture.batch.lessons import read_name
from putt_posture.errors import UsageError
from putt_posture.figures import count_of
from putt_posture.values import MOMENTS, VIEW_TITLES, VIEWS, Moment, View

__all__ = ["Filmed", "Owner", "Paired", "find_owner", "pair_clips", "view_in_name"]

_VIEWS: Final = {
    "down_the_line": re.compile(r"down[-_ ]?the[-_ ]?line", re.IGNORECASE),
    "face_on": re.compile(r"face[-_ ]?on", re.IGNORECASE),
}
_MEANT_BY_RULE: Final = re.compile(r"\d{1,9}_\d{4}-\d\d-\d\d_")
_STUDENT: Final = re.compile(r"\d{1,9}")
_WHOSE: Final = (
    "It does not say whose it is. Move it to a folder that is named by the student's number, name it like "
    "12_2026-11-07_before_down-the-line.mov, or give --student."
)
_WHICH_SIDE: Final = (
    "The picture does not show from which side it was filmed. Add down-the-line or face-on to its name, and move it "
    "back."
)


@frozen(kw_only=True)
class Owner:
    """Whose a clip is.

    Attributes
    ----------
    student : int
    moment : Moment
    day : date or None
        None for the day of the clip.
    name : str
        What clips of one lesson share where they are named by the rule; empty for those that are joined by their time.
    """

    student: int
    moment: Moment
    day: date | None = None
    name: str = ""


@frozen(kw_only=True)
class Filmed:
    """A clip that arrived whole.

    Attributes
    ----------
    path : Path
    owner : Owner or None
        None where it does not say whose it is.
    view : View or None
        None where it cannot be told.
    filmed_s : float
        When it was filmed, seconds since 1970.
    since : float
        When it was found whole, s.
    fault : str
        Why it can be in no lesson; empty where it can.
    is_readable : bool
        Whether it can be read to its end.
    """

    path: Path
    owner: Owner | None
    view: View | None
    filmed_s: float
    since: float
    fault: str = ""
    is_readable: bool = True


@frozen(kw_only=True)
class Paired:
    """Clips that are done with waiting: those of one lesson, or one that lies aside.

    Attributes
    ----------
    clips : tuple of Filmed
    fault : str
        Why it lies aside; empty for a lesson.
    """

    clips: tuple[Filmed, ...]
    fault: str = ""


def find_owner(path: PurePath, *, student: int | None, moment: Moment) -> Owner:
    """Find whose a clip is.

    Parameters
    ----------
    path : PurePath
        From the folder that is watched.
    student : int or None
        Of all clips that do not say it.
    moment : Moment
        Of all clips that do not say it.

    Raises
    ------
    UsageError
        If it does not say it, or its name and its folder say different things.

    Examples
    --------
    >>> find_owner(PurePath("12/before/IMG_2041.MOV"), student=None, moment="check")
    Owner(student=12, moment='before', day=None, name='')
    """
    numbers = [part for part in path.parts[:-1] if _STUDENT.fullmatch(part)]
    moments = [part.lower() for part in path.parts[:-1] if part.lower() in MOMENTS]
    in_folder = int(numbers[-1]) if numbers else None
    named = read_name(PurePath(path.name))
    if isinstance(named, str):
        if _MEANT_BY_RULE.match(path.name):
            raise UsageError(named)
        whose = in_folder or student
        if not whose:
            raise UsageError(_WHOSE)
        return Owner(student=whose, moment=cast(Moment, moments[-1]) if moments else moment)
    name, _, lesson = named
    if in_folder not in (None, lesson.student):
        raise UsageError(
            f"Its name says student {lesson.student}, and its folder student {in_folder}. Put one of them right, and "
            "move it back."
        )
    return Owner(student=lesson.student, moment=lesson.moment, day=lesson.day, name=str(path.with_name(name)))


def view_in_name(path: PurePath) -> View | None:
    """Return the view that a file's name has in it; None where it has none or both.

    Parameters
    ----------
    path : PurePath

    Examples
    --------
    >>> view_in_name(PurePath("Kim, face on.mov"))
    'face_on'
    """
    found = [view for view in VIEWS if _VIEWS[view].search(path.stem)]
    return found[0] if len(found) == 1 else None


def pair_clips(clips: Sequence[Filmed], *, now: float, apart_s: float, wait_s: float) -> list[Paired]:
    """Join clips to lessons, and say which lie aside; those that are in neither go on waiting for the other view.

    Parameters
    ----------
    clips : sequence of Filmed
    now : float
        By the clock of `Filmed.since`, s.
    apart_s : float
        How far apart two clips of a lesson may be filmed, s.
    wait_s : float
        How long a clip waits for the other view, s; then it is a lesson by itself.
    """
    done: list[Paired] = []
    together: dict[Owner, list[Filmed]] = defaultdict(list)
    for clip in clips:
        if clip.fault or clip.owner is None or clip.view is None:
            done.append(Paired(clips=(clip,), fault=clip.fault or (_WHOSE if clip.owner is None else _WHICH_SIDE)))
        else:
            together[clip.owner].append(clip)
    for owner, group in together.items():
        ordered = sorted(group, key=lambda clip: (clip.filmed_s, clip.path))
        apart = np.inf if owner.name else apart_s
        pairs = _find_pairs(ordered, apart)
        done += [Paired(clips=pair) for pair in pairs]
        left = [clip for clip in ordered if all(clip not in pair for pair in pairs)]
        done += _settle_rest(left, pairs, now=now, apart_s=apart, wait_s=wait_s)
    return done


def _find_pairs(clips: Sequence[Filmed], apart_s: float) -> list[tuple[Filmed, Filmed]]:
    """Return as many pairs as there can be, and of those with the smallest times between them; in order of time."""
    sides, fronts = ([clip for clip in clips if clip.view == view] for view in VIEWS)
    if not sides or not fronts:
        return []
    gaps = np.abs(np.subtract.outer([clip.filmed_s for clip in sides], [clip.filmed_s for clip in fronts]))
    impossible = 1.0 + gaps.sum()
    costs = np.where(gaps <= apart_s, gaps, impossible)
    chosen = zip(*linear_sum_assignment(costs), strict=True)
    return sorted(
        ((sides[i], fronts[j]) for i, j in chosen if gaps[i, j] <= apart_s), key=lambda pair: pair[0].filmed_s
    )


def _settle_rest(
    left: Sequence[Filmed], pairs: Sequence[tuple[Filmed, Filmed]], *, now: float, apart_s: float, wait_s: float
) -> Iterable[Paired]:
    """Say what becomes of clips without a partner: filmed again, alone, or waiting."""
    for place, clip in enumerate(left):
        others = [other for pair in pairs for other in pair] + list(left[place + 1 :])
        again = [other for other in others if other.view == clip.view and _is_again(clip, other, apart_s)]
        if again and (pairs or now - clip.since >= wait_s):
            yield Paired(clips=(clip,), fault=_say_again(clip, again[0]))
        elif now - clip.since >= wait_s:
            yield Paired(clips=(clip,))


def _is_again(clip: Filmed, other: Filmed, apart_s: float) -> bool:
    """Whether the other clip takes this one's place: of the same name, or filmed soon after it."""
    if clip.owner is not None and clip.owner.name:
        return True
    return (other.filmed_s, other.path) > (clip.filmed_s, clip.path) and other.filmed_s - clip.filmed_s <= apart_s


def _say_again(clip: Filmed, other: Filmed) -> str:
    if clip.owner is not None and clip.owner.name:
        return f"There are two clips of this lesson of one view; {other.path.name} was taken. Keep one of them."
    assert clip.view is not None
    minutes = max(round((other.filmed_s - clip.filmed_s) / 60.0), 1)
    return (
        f"{other.path.name} was filmed {count_of(minutes, 'minute')} later from the same side "
        f"({VIEW_TITLES[clip.view].lower()}), and was taken. To have this one filed too, name it like "
        "12_2026-11-07_before_down-the-line.mov, and move it back."
    )
