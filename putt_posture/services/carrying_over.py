"""What was put right by hand in a lesson is used once more where its clips are measured again.

A point belongs to a frame of one clip. It is used again where the clip is the same file, byte by byte, and is looked at
in the same way, as the same frame stands for the lesson then.
"""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from attrs import field, frozen

from putt_posture.documents.arrays import ARRAYS, open_arrays
from putt_posture.documents.lesson_reading import DOCUMENT, read_document
from putt_posture.documents.seen_json import SeenInView, read_seen
from putt_posture.findings import read_coach_file
from putt_posture.records import KeptLesson, read_result_folder
from putt_posture.shown import join_words
from putt_posture.values import VIEW_TITLES, Given, View

__all__ = ["CarriedOver", "carry_over"]


@frozen(kw_only=True)
class CarriedOver:
    """What of an earlier result counts when its clips are measured again.

    Attributes
    ----------
    given : mapping of str to object
        Arguments of `measure_lesson`, by name: what was by hand in each view, other frames that were chosen, and the
        wanted setup where the coach kept another than that of the coach's file.
    says : tuple of str
        Of each view in which something was by hand that will not be used: what it is, and why.
    """

    given: Mapping[str, Any] = field(factory=dict)
    says: tuple[str, ...] = ()


def carry_over(folder: Path | str, digests: Mapping[View, str], *, without_putter: bool) -> CarriedOver:
    """Find what was put right by hand in a result folder, for the clips of its lesson as they are now.

    Parameters
    ----------
    folder : Path or str
        The earlier result.
    digests : mapping of View to str
        SHA-256 of the clips that will be measured, hexadecimal. A view that is not there any more has no entry.
    without_putter : bool
        Whether the clips will be looked at as filmed without putter and ball.

    Returns
    -------
    CarriedOver
        Empty where nothing was by hand, or the result was kept without what was seen.

    Raises
    ------
    UsageError, ArchiveError
        As `read_result_folder` does, and where what is kept is damaged.
    """
    kept = read_result_folder(folder)
    if ARRAYS not in kept.names:
        return CarriedOver()
    document = read_document(kept.read(DOCUMENT), where=f"{DOCUMENT} of {kept.title}")
    place = f"The landmarks of {kept.title}"
    arrays = open_arrays(kept.read(ARRAYS), record=kept.record, where=place)
    seen, wanted, coach_text = read_seen(
        arrays.seen(), strokes=arrays.strokes(), record=kept.record, measures=document, where=place
    )
    given: dict[str, Any] = {}
    says = []
    for view, entry in seen.items():
        by_hand, names = _as_arguments(entry), _name(entry)
        if view not in digests or not names:
            continue
        why_not = _why_not(kept, view, digests[view], without_putter=without_putter)
        if why_not:
            says.append(f"{VIEW_TITLES[view]}: {why_not}, so what was by hand will not be used: {join_words(names)}.")
            continue
        for name, value in by_hand.items():
            given.setdefault(name, {})[view] = value
    if wanted is not None and wanted != read_coach_file(coach_text, where=f"The coach's file of {kept.title}").wanted:
        given["wanted"] = wanted
    return CarriedOver(given=given, says=tuple(says))


def _why_not(kept: KeptLesson, view: View, digest: str, *, without_putter: bool) -> str:
    if kept.record.views[view].sha256 != digest:
        return "the clip is another than the one that was measured"
    if kept.record.without_putter != without_putter:
        return "whether there is a putter was changed, and another frame may stand for the lesson"
    return ""


def _name(seen: SeenInView) -> list[str]:
    return [*seen.given.names(), *(["another frame"] if _chosen(seen) else [])]


def _chosen(seen: SeenInView) -> tuple[float, ...]:
    """Return the times that a person chose; a still has one moment, which is not chosen."""
    if seen.clip.kind == "still":
        return ()
    return tuple(each.moment_s for each in seen.setups if each.chosen_by == "person")


def _as_arguments(seen: SeenInView) -> dict[str, Any]:
    """Return what is by hand in a view under the names of the arguments of `measure_lesson`."""
    said: Given = seen.given
    found = {
        "scale_object": said.scale_object,
        "camera_roll_deg": said.roll_deg,
        "camera_distance_cm": said.distance_cm,
        "shaft_at": said.shaft_px,
        "ball_at": said.ball_px,
        "ground_at": said.ground_px,
        "back_at": said.back_px,
        "target_at": said.target_px,
        "landmark_at": tuple((each.landmark, each.point_px) for each in said.landmarks if each.time_s is None),
        "setup_at": _chosen(seen),
        "event_at": tuple((each.stroke, each.event, each.time_s) for each in said.event_times),
    }
    return {name: value for name, value in found.items() if value is not None and value != ()}
