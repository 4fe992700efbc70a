"""What is drawn on the still of each view: the marks of the posture, joined up so that each measure can be seen.

Points are pixels of the full-size upright picture. "Up" and "level" are the true ones, with the camera's roll taken
out. A measure whose mark or number is missing is left out here and explained in the table.
"""

import math
from collections.abc import Callable, Mapping
from typing import Final

from putt_posture.figures import format_imperial, format_margin
from putt_posture.report.colours import PART_COLOURS
from putt_posture.report.front_sketch import draw_front
from putt_posture.report.pen import Pen, Wishes
from putt_posture.report.sheet import Sheet, Tag
from putt_posture.report.side_sketch import draw_side
from putt_posture.report.wording import WORDS
from putt_posture.values import MeasureName, Posture, Scene, View

__all__ = ["MOST_LABELS", "ORDER", "sketch"]

MOST_LABELS: Final = 7
"""More would hide the student; the table has them all."""

ORDER: Final[Mapping[View, tuple[MeasureName, ...]]] = {
    "down_the_line": (
        "spine_tilt", "hand_offset", "elbow_gap_trail", "balance", "eye_offset", "knee_flex", "shaft_lie", "head_drop",
        "back_rounding",
    ),
    "face_on": (
        "elbow_gap_lead", "elbow_gap_trail", "shoulder_level", "stance_width", "sideways_balance", "ball_position",
        "side_bend", "shaft_lean", "head_position",
    ),
}  # fmt: skip
"""Which measures get a label where there is room, the most important first."""

_DRAW: Final[Mapping[View, Callable[[Pen], Wishes]]] = {"down_the_line": draw_side, "face_on": draw_front}


def sketch(sheet: Sheet, *, view: View, posture: Posture, scene: Scene) -> None:
    """Draw the marks of one view on a sheet and ask for its labels.

    Parameters
    ----------
    sheet : Sheet
    view : View
    posture : Posture
        Its `marks` of this view are drawn.
    scene : Scene
        For the side on which the ball or the target is.
    """
    marks = {
        name: points
        for name, points in posture.marks.get(view, {}).items()
        if points and all(math.isfinite(each) for point in points for each in point)
    }
    present = tuple(name for name in ORDER[view] if _belongs(posture, name, view))
    pen = Pen(sheet=sheet, marks=marks, forward=scene.forward, shown=frozenset(present[:MOST_LABELS]))
    wishes = _DRAW[view](pen)
    for name in [name for name in present if name in wishes][:MOST_LABELS]:
        words, wish = WORDS[name], wishes[name]
        figure = format_margin(posture[name], signed=bool(words.plus))
        more = ""
        if name == "putter_length":  # as putters are sold, and beside it in the unit of the other lengths
            figure, more = format_imperial(posture[name]), figure
        sheet.tag(
            Tag(name=name, title=words.short, figure=figure, more=more, anchor=wish.anchor, wanted=wish.wanted,
                colour=PART_COLOURS[words.part])
        )  # fmt: skip


def _belongs(posture: Posture, name: MeasureName, view: View) -> bool:
    estimate = posture[name]
    return bool(estimate) and estimate.view in (view, None)
