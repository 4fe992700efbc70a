"""One frozen record for each measure: all that the program knows about it, except its value.

Everything that is written, printed, drawn and described of a measure is made from its record, so that a measure is
added or changed in one place. Axes, signs and joints are described in ``measures.md``, which is made from the records
too.
"""

import re
from collections.abc import Callable, Mapping
from typing import Final, Literal, get_args

from attrs import field, frozen, validators

from putt_posture.measures.sketch import Sketch
from putt_posture.posture.budget import FrameMeasure
from putt_posture.posture.marks import Marks
from putt_posture.posture.seen_setup import SeenSetup
from putt_posture.values import Estimate, MeasureName, View

__all__ = [
    "BOTH_VIEWS",
    "DOWN_THE_LINE",
    "FACE_ON",
    "FIRST_VERSION",
    "STROKE_VERSION",
    "Measure",
    "NotSeen",
    "Part",
    "Reading",
    "Record",
    "Said",
    "Shift",
    "StrokeGroup",
    "StrokeMeasure",
    "Thing",
    "Unit",
    "Words",
    "read_plane",
]

Unit = Literal["deg", "cm", "%", "s", "ratio"]
Part = Literal["trunk", "head", "arms", "legs", "balance", "club", "stroke"]
"""Part of the body (or the club, or the stroke) that a measure belongs to: it decides the colour, and the file of the
record of a setup."""
StrokeGroup = Literal["timing", "hands", "putter", "stillness", "change", "ball"]
"""What a measure of a stroke is about: it decides the heading that it stands under."""
Thing = Literal["shaft", "ball"]
DOWN_THE_LINE: Final[tuple[View, ...]] = ("down_the_line",)
FACE_ON: Final[tuple[View, ...]] = ("face_on",)
BOTH_VIEWS: Final[tuple[View, ...]] = ("down_the_line", "face_on")
FIRST_VERSION: Final = "0.1.0"
"""The measures of each released version."""
STROKE_VERSION: Final = "0.2.0"
"""The version that first measures strokes."""

_NAME: Final = re.compile(r"[a-z][a-z0-9]*(_[a-z0-9]+)*")


@frozen(kw_only=True)
class Said:
    """What is said behind the size of a value, in place of its sign; see `putt_posture.measures.saying`.

    Sides are named as lead and trail, ahead and behind, so that the same words hold for left-handers.

    Attributes
    ----------
    plus, minus : str
        In a sentence, for a value above zero and below it: ``9.1 cm`` *outside the shoulders*. A measure with one
        direction only has no `minus`.
    short_plus, short_minus : str
        The same on a still, at most 17 letters; empty where the name of the measure says enough.
    """

    plus: str = ""
    minus: str = ""
    short_plus: str = ""
    short_minus: str = ""


@frozen(kw_only=True)
class Words:
    """What a student reads of a measure; nothing here says good or bad.

    Attributes
    ----------
    what : str
        One sentence: what the number is.
    direction : str
        One sentence or two: which way is more, and where zero lies.
    stroke : str
        One sentence: what it tends to do to the stroke (common practice).
    plus, minus, zero : str
        For a measure with two directions: a few words for a value certainly above zero, certainly below it, and one
        whose interval contains zero; empty where the measure has one direction only.
    said : Said
        How a value is said without a sign.
    """

    what: str
    direction: str
    stroke: str
    plus: str = ""
    minus: str = ""
    zero: str = ""
    said: Said = field(factory=Said)


@frozen(kw_only=True)
class Shift:
    """What a change looks like and what it does to the stroke (common practice): one sentence for each direction.

    Attributes
    ----------
    more : str
        For a measure that rose.
    less : str
        For one that fell.
    """

    more: str
    less: str


@frozen(kw_only=True, eq=False)
class Reading:
    """How a measure is read from one view.

    Attributes
    ----------
    of : callable
        Plane to (T,) values in the unit of the measure; NaN where a frame does not show it.
    view : View
        The view of the plane.
    method : str
        One short phrase on how it was found.
    unseen : str
        The sentence that says why the measure is absent where too few frames have it.
    other : mapping of str to float
        Further causes of uncertainty, one sigma each, in the unit of the measure.
    """

    of: FrameMeasure
    view: View
    method: str
    unseen: str
    other: Mapping[str, float] = field(factory=dict)


@frozen(kw_only=True)
class NotSeen:
    """Why a measure cannot be read: one sentence that a coach understands, and the view that would have shown it."""

    reason: str
    view: View


def _as_name(text: str) -> MeasureName:
    return MeasureName(text)


def _as_found(found: Estimate, _seen: SeenSetup) -> Estimate:
    return found


def _no_marks(_seen: SeenSetup, _view: View) -> Marks:
    return {}


@frozen(kw_only=True, eq=False)
class Record:
    """What is known of any measure, of a setup or of a stroke.

    Attributes
    ----------
    name : MeasureName
        Of the documents and tables: small letters, digits and single underlines.
    order : int
        Its place in every list, table and report; smaller comes first. No two measures have the same.
    part : Part
    unit : Unit
    views : tuple of View
        The views that it can come from, the one that is tried first in front; one of them is enough.
    axes : str
        The plane or axis of the golfer in which it is measured, as in ``measures.md``.
    title : str
        Its name, in tables and on stills.
    definition : str
        What it is by anatomy and geometry; ``words.direction`` adds the signs.
    words : Words
    shift : Shift
    floor : float or None
        The least value that makes sense, in `unit`; a value below is raised to it.
    model_sd : float
        Error of the measure itself, one sigma, in `unit`, with all points correct. Of a setup: what remains of the root
        mean square error of the accuracy study's tuning part (tests/accuracy/study.py; the table is in DEVELOPERS.md)
        without joints, scale, ground, roll and yaw, rounded up. The errors of the joints are added with the joints.
        For shaft and ball: how well a person points at them. Of a stroke: see `StrokeMeasure`.
    scatter_sd : float or None
        Scatter between single setups or single strokes of one student, one sigma, in `unit`; None where there is none.
        Judged, see `putt_posture.changes.repeats`.
    of_setup : bool
        Whether it belongs to the setup, so that it may go back or hold after a rebuild; the putter's own length and
        what is measured of a stroke do not.
    since : str
        The version of the program that first measured it; lessons of earlier ones lack it.
    """

    name: MeasureName = field(converter=_as_name)
    order: int
    part: Part
    unit: Unit = field(validator=validators.in_(get_args(Unit)))
    views: tuple[View, ...] = field(validator=validators.min_len(1))
    axes: str
    title: str
    definition: str
    words: Words
    shift: Shift
    floor: float | None = None
    model_sd: float = field(validator=validators.ge(0.0))
    scatter_sd: float | None = None
    of_setup: bool = True
    since: str = FIRST_VERSION

    @name.validator
    def _check_name(self, _attribute: object, name: str) -> None:
        if not _NAME.fullmatch(name):
            raise ValueError(f"A measure is named {name!r}; small letters, digits and single underlines were needed.")

    @property
    def signed(self) -> bool:
        """Whether it has two directions, so that its sign is printed."""
        return bool(self.words.plus)


@frozen(kw_only=True, eq=False)
class Measure(Record):
    """All that is known of one measure of a setup.

    Attributes
    ----------
    name, order, part, unit, views, axes, title, definition, words, shift, floor, model_sd, scatter_sd, of_setup, since
        As in `Record`.
    reading : callable
        From a seen setup to how the measure is read from it, or why it cannot be.
    needs : Thing or None
        Without a shaft or a ball in its only view the measure is absent, with that reason.
    settle : callable
        A last check of the estimate, with the setup, which may replace it.
    found_sd : float
        Uncertainty from finding the shaft or ball in the picture, one sigma, in `unit`: on rendered golfers and the
        sample clips 0.3° and 0.15° of the shaft's direction, 0.1 cm of the ball's centre; real balls and shafts shine,
        wear lines and stand on longer grass, so twice that for the ball.
    marks : callable
        From a seen setup and one of its views to points of its still that only this measure's sketches need, by the
        names of marks, pixels; used where the measure is present.
    sketches : mapping of View to Sketch
        How it is drawn on the stills of these views.
    """

    reading: Callable[[SeenSetup], Reading | NotSeen] = field(repr=False)
    needs: Thing | None = None
    settle: Callable[[Estimate, SeenSetup], Estimate] = field(default=_as_found, repr=False)
    found_sd: float = field(default=0.0, validator=validators.ge(0.0))
    marks: Callable[[SeenSetup, View], Marks] = field(default=_no_marks, repr=False)
    sketches: Mapping[View, Sketch] = field(factory=dict, repr=False)

    def __attrs_post_init__(self) -> None:
        if self.needs is not None and len(self.views) != 1:
            raise ValueError(f"{self.name} needs the {self.needs} in one view, and {len(self.views)} views are named.")

    @property
    def still_view(self) -> View | None:
        """The view on whose still it is drawn; None where it is not."""
        return next(iter(self.sketches), None)


@frozen(kw_only=True, eq=False)
class StrokeMeasure(Record):
    """All that is known of one measure of a stroke; `putt_posture.strokes` measures it.

    Its `model_sd` is what the method itself misses, one sigma: what remained on rendered strokes when all that is known
    of a clip had been added up, or judged where the comment beside it says so. Its `scatter_sd` is how much one stroke
    of a student differs from the next to the same hole, judged: published scatter is between players, not within one.

    Attributes
    ----------
    name, order, part, unit, views, axes, title, definition, words, shift, floor, model_sd, scatter_sd, of_setup, since
        As in `Record`.
    group : StrokeGroup
    """

    part: Part = "stroke"
    of_setup: bool = False
    since: str = STROKE_VERSION
    group: StrokeGroup


def read_plane(of: FrameMeasure, *, view: View, method: str, unseen: str) -> Callable[[SeenSetup], Reading]:
    """Return the reading of a measure that needs only the plane of one view; see `Reading`.

    Parameters
    ----------
    of : FrameMeasure
        Plane to (T,) values.
    view : View
    method : str
        One short phrase.
    unseen : str
        The sentence that says why the measure is absent.
    """
    reading = Reading(of=of, view=view, method=method, unseen=unseen)
    return lambda _seen: reading
