"""What the wanted setup changes, in the body and in the arc: drawn and put into words."""

from typing import Final

from attrs import evolve, field, frozen

from putt_posture.drawing.ghost import Ghost, draw_ghost
from putt_posture.drawing.setup_charts import ArcNames, describe_curves, draw_arc_chart, draw_curves_chart
from putt_posture.figures import format_change, format_given, format_margin
from putt_posture.pages.setting import Fact, Plate
from putt_posture.setup_arc import FACE_SHARE, find_capture_share
from putt_posture.shown import begin_upper
from putt_posture.shown_units import in_shown_unit
from putt_posture.values import Arc, ArcComparison, Estimate, Lesson, Picture, PutterCurves

__all__ = ["ArcSection", "Change", "ChangeSection", "draw_change", "write_arc_section"]

_NO_BREAK: Final = "\N{NO-BREAK SPACE}"
PAST_CM: Final = 40.0
"""How far past the hole a putt is often meant to roll (common practice: a foot or two)."""


def _say_narrower() -> str:
    fast, slow = (100 * (1 - find_capture_share(PAST_CM, stimp_ft=stimp)) for stimp in (12.0, 8.0))
    return f"{fast:.0f} to {slow:.0f}{_NO_BREAK}%"


ARC_TITLE: Final = "From setup to stroke, if the arms swing square about the shoulders"
HOW_WINDOWS: Final = (
    "While the face looks between the lines for a putt, a ball that is struck there starts on a line into the hole. "
    f"The start line follows mostly the face (about {100 * FACE_SHARE:.0f}{_NO_BREAK}%, common practice: 80 to "
    f"90{_NO_BREAK}%). How much does not matter here, since a face square to the arc points along the arc. The lines "
    f"are for a ball that dies at the hole. For a ball that would roll {PAST_CM:.0f}{_NO_BREAK}cm past it, they are "
    f"about {_say_narrower()} nearer to each other (greens of 12 to 8 on the stimpmeter; Holmes 1991 and Penner 2002, "
    "from memory). Slope and grain are left out."
)


@frozen(kw_only=True)
class ArcSection:
    """The text of the section, from top to bottom.

    Attributes
    ----------
    title : str
        With what it assumes.
    says : str
        What it is and what it is not.
    facts : tuple of Fact
        The arc of each setup, and the change.
    how : str
        How to read the edges of the hole in the picture; empty where there are none.
    assumptions : tuple of str
    alt : str
        The picture in words.
    """

    title: str
    says: str
    facts: tuple[Fact, ...]
    how: str
    assumptions: tuple[str, ...]
    alt: str


NAMES: Final = ArcNames(before="as filmed", after="wanted setup")


@frozen(kw_only=True)
class ChangeSection:
    """The text of the section, from top to bottom; what could not be had is None.

    Attributes
    ----------
    ghost, curves : Plate or None
    arcs : ArcSection or None
        With the picture ``arc``.
    """

    ghost: Plate | None
    curves: Plate | None
    arcs: ArcSection | None


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


def write_arc_section(comparison: ArcComparison, *, names: ArcNames | None = None) -> ArcSection:
    """Return the text on two arcs side by side.

    Parameters
    ----------
    comparison : ArcComparison
    names : ArcNames or None
    """
    names = names or ArcNames()
    facts = [
        Fact(name=begin_upper(names.before), says=_say_arc(comparison.before)),
        Fact(name=begin_upper(names.after), says=_say_arc(comparison.after)),
    ]
    if comparison.depth_change:
        before, after, size = map(
            in_shown_unit, (comparison.before.depth, comparison.after.depth, comparison.depth_change)
        )
        change = format_change(before.value, after.value, margin=size.margin, unit=size.unit)
        facts.append(Fact(name="Change of depth", says=f"{change}."))
    assumed = dict.fromkeys((*comparison.before.assumptions, *comparison.after.assumptions))
    return ArcSection(
        title=ARC_TITLE,
        says=comparison.says,
        facts=tuple(facts),
        how=HOW_WINDOWS if any(one or two for one, two in comparison.windows) else "",
        assumptions=tuple(each for each in assumed if each != comparison.says),
        alt=f"The path of the putter head from above, and where a square face looks, {names.before} and {names.after}.",
    )


def draw_change(lesson: Lesson) -> Change | None:
    """Draw what the wanted setup changes and put it into words; None where nothing of it can be said.

    Parameters
    ----------
    lesson : Lesson
    """
    fit, arcs = lesson.fit, lesson.arcs
    ghost = curves = arc = None
    if fit.figure is not None and fit.putter_length:
        ghost = draw_ghost(lesson, fit.figure, wanted=fit.setup, putter_cm=fit.putter_length.value)
    charts = {}
    if fit.curves is not None and (chart := draw_curves_chart(fit.curves)):
        charts["curves"], curves = chart, _curves_plate(fit.curves, lesson)
    if arcs is not None and (chart := draw_arc_chart(arcs, names=NAMES)):
        charts["arc"], arc = chart, write_arc_section(arcs, names=NAMES)
    if ghost is None and not charts:
        return None
    section = ChangeSection(ghost=_ghost_plate(ghost) if ghost else None, curves=curves, arcs=arc)
    return Change(ghost=ghost.picture if ghost else None, charts=charts, section=section)


def _say_arc(arc: Arc) -> str:
    if not arc:
        return arc.depth.absent or ""
    depth, face = arc.depth, arc.face
    reach = f"{format_given(arc.half_stroke_cm, 'cm')} to either side"
    lean = f"The swing plane leans {format_margin(arc.lean, signed=True)} from the vertical"
    if depth.low <= 0 <= depth.high:
        figure = format_margin(depth, signed=True)
        return f"{lean}; {reach} the putter head runs along the target line as far as can be measured ({figure})."
    side, way = ("inside", "open") if depth.value > 0 else ("outside", "closed")
    return (
        f"{lean}; {reach} the putter head runs {format_margin(_size(depth))} {side} the target line. A face square to "
        f"the arc is {format_margin(_size(face))} {way} at the end of the backswing, and as much the other way at the "
        "end of the follow-through."
    )


def _size(estimate: Estimate) -> Estimate:
    """Return an estimate without its sign."""
    return evolve(estimate, value=abs(estimate.value), floor=None)


def _ghost_plate(ghost: Ghost) -> Plate:
    high, wide = ghost.picture.shape[:2]
    says = ghost.says
    return Plate(file="ghost", aspect=wide / high, title="The wanted setup over this one", caption=says, says=says)


def _curves_plate(curves: PutterCurves, lesson: Lesson) -> Plate:
    says = describe_curves(curves, filmed=lesson.posture.estimates)
    return Plate(file="curves", aspect=1.0, title="What the length of the putter does", caption=says, says=says)
