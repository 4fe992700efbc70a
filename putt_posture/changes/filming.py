"""Differences in how two lessons were filmed or described, one sentence each."""

import math
from collections.abc import Iterator
from typing import Final

from putt_posture.figures import format_given, format_stature, format_value
from putt_posture.values import NORMAL_95, VIEW_TITLES, VIEWS, Estimate, LessonRecord, ScaleSource, ViewRecord

__all__ = ["warn_filming"]

_SCALES: Final[dict[ScaleSource, str]] = {
    "object": "an object of known length",
    "putter": "the putter's length",
    "stature": "the student's height",
    "other_view": "the other view",
    "none": "nothing",
}
_MANY: Final = 2
"""Setups needed to find their scatter."""


def warn_filming(before: LessonRecord, after: LessonRecord) -> tuple[str, ...]:
    """Say what makes two lessons hard to compare.

    Parameters
    ----------
    before, after : LessonRecord

    Returns
    -------
    tuple of str
        One sentence for each difference, those of the student first; empty where there is none.
    """
    return tuple(dict.fromkeys((*_student(before, after), *_lessons(before, after), *_views(before, after))))


def _student(before: LessonRecord, after: LessonRecord) -> Iterator[str]:
    one, two = before.student, after.student
    if one.name is not None and two.name is not None and one.name.casefold() != two.name.casefold():
        yield f"The lessons have two names, {one.name} and {two.name}: check that both are of the same student."
    if one.stature_cm != two.stature_cm:
        heights = " before and ".join(format_stature(each.stature_cm) for each in (one, two))
        yield f"The height given was {heights} after: lengths that depend on it differ for that reason alone."
    if one.sex != two.sex:
        yield "Different body tables were used (women, men or both), so lengths from the height differ a little."
    wrists = [format_given(each.wrist_floor_cm, "cm") for each in (one, two) if each.wrist_floor_cm is not None]
    if one.wrist_floor_cm != two.wrist_floor_cm and len(wrists) == 2:
        yield (f"The wrist height given was {wrists[0]} before and {wrists[1]} after: measure it again, barefoot.")


def _lessons(before: LessonRecord, after: LessonRecord) -> Iterator[str]:
    if before.made_on and after.made_on and after.made_on < before.made_on:
        yield "The lesson given as after is the older one: check whether the two were swapped."
    filmed = [{(view.sha256, view.setup_times_s) for view in each.views.values()} for each in (before, after)]
    if filmed[0] & filmed[1]:
        yield "A clip is the same in both lessons, so its differences come from the measuring alone."
    versions = [each.versions.get("putt_posture", "an unknown version") for each in (before, after)]
    if versions[0] != versions[1]:
        yield (
            f"The lessons were measured with different versions of the program ({versions[0]} and {versions[1]}): "
            "measure the older clips again."
        )
    setups = [max((view.setups for view in each.views.values()), default=0) for each in (before, after)]
    if max(setups) < _MANY:
        yield (
            "Only one setup was measured in each lesson, so the scatter from one setup to the next is judged and not "
            "measured (each point comes back to within about 1 cm): film three setups in one clip."
        )
    elif setups[0] != setups[1]:
        yield (
            f"The number of setups measured was {setups[0]} before and {setups[1]} after: three or more in each lesson "
            "show a change sooner."
        )


def _views(before: LessonRecord, after: LessonRecord) -> Iterator[str]:
    for view in VIEWS:
        one, two = before.views.get(view), after.views.get(view)
        if one is not None and two is not None:
            yield from _view(one, two)
        elif one is not None or two is not None:
            lacking = "before" if one is None else "after"
            yield f"{VIEW_TITLES[view]} there is no clip {lacking}, so the measures of this view cannot be compared."


def _view(one: ViewRecord, two: ViewRecord) -> Iterator[str]:
    title = VIEW_TITLES[one.view]
    if one.landmark_model != two.landmark_model:
        yield f"{title} two different landmark models were used: their errors differ; measure the older clip again."
    if one.kind != two.kind:
        kinds = [f"a {each.kind}" if each.kind == "video" else "a still picture" for each in (one, two)]
        yield f"{title} there was {kinds[0]} before and {kinds[1]} after: a still has one frame and one moment."
    if one.scale_source != two.scale_source:
        yield (
            f"{title} the scale is from {_SCALES[one.scale_source]} before and from {_SCALES[two.scale_source]} after: "
            "lengths are compared on two scales."
        )
    if one.forward != two.forward:
        yield f"{title} the camera stood on the other side, so the near side of the body is the other one."
    for what, first, second in (
        ("was turned", one.roll, two.roll),
        ("stood off square", one.yaw, two.yaw),
        ("stood away", one.distance_cm, two.distance_cm),
    ):
        if _differ(first, second):
            yield (
                f"{title} the camera {what} by {_say(first)} before and by {_say(second)} after. This is corrected, "
                "but film from the same place next time."
            )


def _differ(one: Estimate, two: Estimate) -> bool:
    """Whether two readings of the camera differ by more than their 95 % margin."""
    if not (one and two):
        return False
    return abs(two.value - one.value) > NORMAL_95 * math.hypot(one.standard_uncertainty, two.standard_uncertainty)


def _say(reading: Estimate) -> str:
    if reading.unit == "cm":
        return format_value(reading.value / 100, "m")
    return format_value(reading.value, reading.unit)
