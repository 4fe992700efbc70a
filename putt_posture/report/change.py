"""What the wanted setup changes: the ghost, the curves and the arc, drawn and put into words."""

from typing import Final

from attrs import field, frozen

from putt_posture.report.arc_chart import ArcNames, draw_arc_chart
from putt_posture.report.curves_chart import describe_curves, draw_curves_chart
from putt_posture.report.ghost import Ghost, draw_ghost
from putt_posture.report.parts import Plate
from putt_posture.report.stroke_content import StrokeSection, write_stroke_section
from putt_posture.values import Lesson, Picture, PutterCurves

__all__ = ["Change", "ChangeSection", "draw_change"]

NAMES: Final = ArcNames(before="as filmed", after="wanted setup")


@frozen(kw_only=True)
class ChangeSection:
    """The text of the section, from top to bottom; what could not be had is None.

    Attributes
    ----------
    ghost, curves : Plate or None
    stroke : StrokeSection or None
        With the picture ``arc``.
    """

    ghost: Plate | None
    curves: Plate | None
    stroke: StrokeSection | None


@frozen(kw_only=True, eq=False)
class Change:
    """The pictures and their text.

    Attributes
    ----------
    ghost : (H, W, 3) uint8 or None
        RGB.
    charts : mapping of str to str
        SVG of ``curves`` and ``arc``, where they can be drawn.
    section : ChangeSection
    """

    ghost: Picture | None = field(repr=False)
    charts: dict[str, str] = field(repr=False)
    section: ChangeSection


def draw_change(lesson: Lesson) -> Change | None:
    """Draw what the wanted setup changes and put it into words; None where nothing of it can be said."""
    fit, stroke = lesson.fit, lesson.stroke
    ghost = curves = arc = None
    if fit.figure is not None and fit.putter_length:
        ghost = draw_ghost(lesson, fit.figure, wanted=fit.setup, putter_cm=fit.putter_length.value)
    charts = {}
    if fit.curves is not None and (chart := draw_curves_chart(fit.curves)):
        charts["curves"], curves = chart, _curves_plate(fit.curves)
    if stroke is not None and (chart := draw_arc_chart(stroke, names=NAMES)):
        charts["arc"], arc = chart, write_stroke_section(stroke, names=NAMES)
    if ghost is None and not charts:
        return None
    section = ChangeSection(ghost=_ghost_plate(ghost) if ghost else None, curves=curves, stroke=arc)
    return Change(ghost=ghost.picture if ghost else None, charts=charts, section=section)


def _ghost_plate(ghost: Ghost) -> Plate:
    high, wide = ghost.picture.shape[:2]
    says = ghost.says
    return Plate(file="ghost", aspect=wide / high, title="The wanted setup over this one", caption=says, says=says)


def _curves_plate(curves: PutterCurves) -> Plate:
    says = describe_curves(curves)
    return Plate(file="curves", aspect=1.0, title="What the length of the putter does", caption=says, says=says)
