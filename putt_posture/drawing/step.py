"""One step of a rebuild on the student's own still: what was filmed, and where it should be.

What was filmed has the colour of its part of the body; what is wanted is white, as the ghost is: a wash over the whole
band and a line in its middle, or at its end where the other end is open. Each has one short label. The picture is as
wide as a phone shows it twice over, so that many steps fit on a page.
"""

import math
from typing import Final

import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from putt_posture.drawing.colours import PART_COLOURS
from putt_posture.drawing.feet import Standing, find_feet_and_ball
from putt_posture.drawing.placing import Crop
from putt_posture.drawing.sheet import Sheet, Tag
from putt_posture.drawing.step_plans import STEP_PLANS, Band, StepPlan, StepView
from putt_posture.drawing.stills import find_still_crop
from putt_posture.errors import ArgumentError
from putt_posture.measures import MEASURES, Measure, say_band, say_value, split_band, split_value
from putt_posture.values import (
    VIEW_WORDS,
    Estimate,
    Floats,
    Handed,
    KeptView,
    Lesson,
    MeasureName,
    Picture,
    Point,
    RebuildStep,
    StepNumber,
    View,
)

__all__ = [
    "StepDrawing",
    "choose_drawn",
    "draw_kept_step",
    "draw_rebuild",
    "draw_step",
    "find_step_crop",
    "wanted_of_number",
]

STEP_SHORT_SIDE: Final = 800
"""Pixels: two for each of a phone that is 390 wide."""
_ROOM: Final = 1.7
"""How much more than the plan itself is shown."""
_LEAST_SHARE: Final = 0.5
"""Of the still's height that is shown at least, so that one sees where on the body it is."""
_ASPECT: Final = 0.9
"""Width over height, where the still is wide enough."""
_WANTED: Final = "#FFFFFF"
_WASH: Final = 0.45
_OPEN: Final[dict[str, float]] = {"deg": 10.0, "cm": 5.0, "%": 25.0}
"""How far a band with an open end is shown past its end and what was filmed, by the unit."""
_Ends = tuple[float | None, float | None]
_Band = float | _Ends


@frozen(kw_only=True, eq=False)
class StepDrawing:
    """The picture of a step.

    Attributes
    ----------
    view : View
    picture : (H, W, 3) uint8
        RGB; its short side is `STEP_SHORT_SIDE` pixels.
    says : str
        What it shows, in one sentence, for people who do not see it.
    """

    view: View
    picture: Picture = field(repr=False)
    says: str


def draw_step(lesson: Lesson, name: str, *, wanted: _Band) -> StepDrawing | None:
    """Draw a step of a rebuild on the still of a lesson that was just measured.

    Parameters
    ----------
    lesson : Lesson
    name : str
        The measure that the step is about: one of `STEP_PLANS`.
    wanted : float or (float or None, float or None)
        The wanted value, or both ends of the wanted band, the lower one first; in the unit of the measure. One end may
        be open: None.

    Returns
    -------
    StepDrawing or None
        None where the measure is absent, or something that is drawn is hidden, out of the picture or without a scale.

    Raises
    ------
    ArgumentError
        If the measure cannot be drawn as a step, or `wanted` is no number or band.
    """
    planned = _plan(lesson, name, wanted)
    if planned is None:
        return None
    return _draw(planned.crop.cut(lesson.views[planned.view]), planned)


def draw_rebuild(lesson: Lesson) -> dict[MeasureName, StepDrawing]:
    """Draw the steps of a lesson's rebuild, one number of each, by the measure that is drawn.

    Parameters
    ----------
    lesson : Lesson
    """
    numbers = filter(None, map(choose_drawn, lesson.steps))
    drawn = {
        MeasureName(each.quantity): draw_step(lesson, each.quantity, wanted=wanted_of_number(each)) for each in numbers
    }
    return {name: drawing for name, drawing in drawn.items() if drawing is not None}


def find_step_crop(lesson: Lesson, name: str, *, wanted: _Band) -> Crop | None:
    """Find the part of the picture that the drawing of a step shows; None where there is no drawing.

    Parameters
    ----------
    lesson : Lesson
    name : str
    wanted : float or (float or None, float or None)
        As for `draw_step`.
    """
    planned = _plan(lesson, name, wanted)
    return None if planned is None else planned.part


def choose_drawn(step: RebuildStep) -> StepNumber | None:
    """Choose the number of a step that is drawn: the first that lies outside its band, else the first that is known.

    Parameters
    ----------
    step : RebuildStep

    Returns
    -------
    StepNumber or None
        None where no number of the step can be drawn.
    """
    can = [
        each
        for each in step.numbers
        if each.quantity in STEP_PLANS and each.filmed and wanted_of_number(each) != (None, None)
    ]
    return next((each for each in can if each.lies == "outside"), can[0] if can else None)


def wanted_of_number(number: StepNumber) -> _Ends:
    """Return what is wanted of a number: the coach's band, else what it should be near.

    Parameters
    ----------
    number : StepNumber
    """
    if number.low is None and number.high is None:
        return number.wanted, number.wanted
    return number.low, number.high


def draw_kept_step(kept: KeptView, name: str, *, filmed: Estimate, wanted: _Band, handed: Handed) -> StepDrawing | None:
    """Draw a step of a rebuild on the still of a kept lesson; see `draw_step`.

    Parameters
    ----------
    kept : KeptView
        The view that shows the measure.
    name : str
        One of `STEP_PLANS`.
    filmed : Estimate
        The measure in that lesson.
    wanted : float or (float or None, float or None)
    handed : Handed
        How the student putts.

    Raises
    ------
    ArgumentError
        If the measure cannot be drawn as a step, or not in this view, or `wanted` is no number or band.
    """
    measure, band = _check(name, wanted)
    record, view = kept.record, _view_of(measure)
    if record.view != view:
        raise ArgumentError(
            f"{measure.title} was to be drawn on the {VIEW_WORDS[record.view]} still, and only the "
            f"{VIEW_WORDS[view]} one shows it; give that view."
        )
    if not filmed:
        return None
    high, wide = kept.still.shape[:2]
    seen = _see(
        Standing.of(kept), roll_deg=record.roll.value if record.roll else 0.0, forward=record.forward, handed=handed,
        shaft_px=record.shaft_px,
    )  # fmt: skip
    crop = Crop(box_px=record.still_box_px, size=(wide, high))
    planned = _plan_on(crop, seen, measure, filmed=filmed, band=band)
    return None if planned is None else _draw(kept.still, planned)


@frozen(kw_only=True, eq=False)
class _Planned:
    """A step that can be drawn: `part` of the still that `crop` cut out."""

    measure: Measure
    filmed: Estimate
    band: _Ends
    seen: StepView
    plan: StepPlan
    crop: Crop
    part: Crop

    @property
    def view(self) -> View:
        return _view_of(self.measure)


def _plan(lesson: Lesson, name: str, wanted: _Band) -> _Planned | None:
    measure, band = _check(name, wanted)
    filmed, view = lesson.posture[measure.name], _view_of(measure)
    result = lesson.views.get(view)
    if not filmed or result is None:
        return None
    roll = result.scene.roll
    seen = _see(
        Standing.of(result), roll_deg=roll.value if roll else 0.0, forward=result.scene.forward,
        handed=lesson.student.handed, shaft_px=result.scene.shaft_px,
    )  # fmt: skip
    return _plan_on(find_still_crop(lesson, view), seen, measure, filmed=filmed, band=band)


def _plan_on(crop: Crop, seen: StepView, measure: Measure, *, filmed: Estimate, band: _Ends) -> _Planned | None:
    plan = STEP_PLANS[measure.name](seen, filmed.value, _shown_band(measure, band, filmed.value))
    if not np.isfinite(plan.points).all():
        return None
    part = _find_window(plan.points, crop)
    return _Planned(measure=measure, filmed=filmed, band=band, seen=seen, plan=plan, crop=crop, part=part)


def _check(name: str, wanted: _Band) -> tuple[Measure, _Ends]:
    if name not in STEP_PLANS:
        raise ArgumentError(
            f"There is no drawing of a step for {name!r}; there is one for {', '.join(STEP_PLANS)}. Name one of these."
        )
    ends = wanted if isinstance(wanted, tuple) else (wanted, wanted)
    known = [each for each in ends if each is not None]
    if len(ends) != 2 or not known or not all(isinstance(each, int | float) and math.isfinite(each) for each in known):
        raise ArgumentError(f"wanted is {wanted!r}; a number or the two ends of a band are needed. Give one of these.")
    if known[0] > known[-1]:
        raise ArgumentError(f"The wanted band runs from {known[0]:g} to {known[1]:g}; the lower end must come first.")
    return MEASURES[name], ends


def _view_of(measure: Measure) -> View:
    return measure.still_view or measure.views[0]


def _shown_band(measure: Measure, ends: _Ends, filmed: float) -> Band:
    """Return what is drawn of a band: one with an open end goes on past what was filmed, and its line is its end."""
    low, high = ends
    beyond = _OPEN[measure.unit]
    if low is not None and high is not None:
        return Band(low, high, (low + high) / 2)
    if low is not None:
        return Band(low, max(low, filmed) + beyond, low)
    end = high or 0.0
    least = min(end, filmed) - beyond
    return Band(least if measure.floor is None else max(least, measure.floor), end, end)


def _see(
    standing: Standing, *, roll_deg: float, forward: int, handed: Handed, shaft_px: tuple[Point, Point] | None
) -> StepView:
    roll = math.radians(roll_deg)
    return StepView(
        standing=standing,
        up=np.array([math.sin(roll), -math.cos(roll)]),
        ahead=forward * np.array([math.cos(roll), math.sin(roll)]),
        forward=forward,
        handed=handed,
        shaft_px=shaft_px,
    )


def _draw(still: Picture, planned: _Planned) -> StepDrawing:
    measure, seen, part = planned.measure, planned.seen, planned.part
    shown = _cut(still, planned.crop, part)
    sheet = Sheet(shown, crop=part, roll_deg=math.degrees(math.atan2(seen.up[0], -seen.up[1])))
    sheet.keep_labels_off(find_feet_and_ball(seen.standing, part))
    _draw_plan(sheet, part, planned.plan, colour=PART_COLOURS[measure.part])
    for tag in _tags(seen, planned.plan, measure, filmed=planned.filmed, band=planned.band):
        sheet.tag(tag)
    picture, _ = sheet.finish()
    value = say_value(measure, planned.filmed, short=not measure.signed, margin=True)
    says = f"{measure.title}: filmed {value}, wanted {say_band(measure, *planned.band, short=not measure.signed)}."
    return StepDrawing(view=planned.view, picture=picture, says=says)


def _find_window(points: Floats, crop: Crop) -> Crop:
    """Return the part of a still that shows a plan with some of the body about it."""
    left, top, right, bottom = crop.box_px
    low, high = points.min(axis=0), points.max(axis=0)
    tall = min(max(_ROOM * (high[1] - low[1]), _LEAST_SHARE * (bottom - top)), bottom - top)
    wide = min(max(_ROOM * (high[0] - low[0]), _ASPECT * tall), right - left)
    u = min(max((low[0] + high[0] - wide) / 2, left), right - wide)
    v = min(max((low[1] + high[1] - tall) / 2, top), bottom - tall)
    box = math.floor(u), math.floor(v), math.floor(u) + max(round(wide), 1), math.floor(v) + max(round(tall), 1)
    share = STEP_SHORT_SIDE / min(box[2] - box[0], box[3] - box[1])
    return Crop(box_px=box, size=(round((box[2] - box[0]) * share), round((box[3] - box[1]) * share)))


def _cut(still: Picture, crop: Crop, part: Crop) -> Picture:
    (left, top), (right, bottom) = crop.place(part.box_px[:2]), crop.place(part.box_px[2:])
    box = left, top, min(right, crop.size[0]), min(bottom, crop.size[1])
    return np.asarray(Image.fromarray(still).resize(part.size, Image.Resampling.LANCZOS, box=box))


def _draw_plan(sheet: Sheet, crop: Crop, plan: StepPlan, *, colour: str) -> None:
    for area in plan.band:
        sheet.wash(_fill(area, crop), colour=_WANTED, alpha=_WASH)
    for line in plan.reference:
        sheet.line(*_points(line), width=0.09, dashed=True)
    for line in plan.wanted:
        sheet.line(*_points(line), colour=_WANTED, width=0.2)
    for line in plan.filmed:
        sheet.line(*_points(line), colour=colour, width=0.2)
    if plan.bracket is not None:
        sheet.bracket(*_points(plan.bracket), colour=colour, width=0.18)
    for dot in plan.dots:
        sheet.dot(_points(dot[None])[0], colour=colour)


def _tags(seen: StepView, plan: StepPlan, measure: Measure, *, filmed: Estimate, band: _Ends) -> tuple[Tag, Tag]:
    """Return the two labels: what is wanted comes first."""
    value, side = split_value(measure, filmed, short=True)
    wanted, wanted_side = split_band(measure, *band, short=True)
    return (
        Tag(name="wanted", title="Wanted", figure=wanted, side=wanted_side, anchor=_points(plan.wanted_at[None])[0],
            wanted=_way(seen, plan.wanted_way), colour=_WANTED),
        Tag(name="filmed", title="As filmed", figure=value, side=side, anchor=_points(plan.filmed_at[None])[0],
            wanted=_way(seen, plan.filmed_way), colour=PART_COLOURS[measure.part]),
    )  # fmt: skip


def _way(seen: StepView, way: tuple[float, float]) -> Point:
    u, v = way[0] * seen.ahead + way[1] * seen.up
    return float(u), float(v)


def _points(line: Floats) -> list[Point]:
    return [(float(u), float(v)) for u, v in line]


def _fill(area: Floats, crop: Crop) -> NDArray[np.bool_]:
    canvas = Image.new("1", crop.size)
    ImageDraw.Draw(canvas).polygon([crop.place(point) for point in _points(area)], fill=1)
    return np.asarray(canvas)
