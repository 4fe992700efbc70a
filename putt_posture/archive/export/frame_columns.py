"""The frames into which an archive is read: their columns, with kind, unit and meaning.

``student`` and ``lesson`` are the numbers in the archive and join all frames. If a column has a unit, its name ends
with it, or another column gives it. Columns that identify a person, or may do so because they are typed text, are
marked.
"""

from collections.abc import Sequence
from typing import Any, Final, Literal, get_args

from attrs import frozen
from sqlalchemy import ColumnElement, String, case, cast

from putt_posture.archive.db.tables import (
    Base,
    ClipRow,
    ConsentRow,
    Correction,
    FileRow,
    FitRow,
    LandmarkRow,
    LessonFile,
    LessonRow,
    MeasureRow,
    PracticeRow,
    PuttRow,
    SetupRow,
    StudentRow,
)
from putt_posture.archive.people.permissions import SCOPES, Relation
from putt_posture.measures import RECORDS, STROKE_MEASURES
from putt_posture.values import LANDMARK_NAMES, MOMENTS, SEXES, VIEWS, WEAK_PUTTS, Handed, ScaleSource

__all__ = ["FORMS", "LANDMARKS", "STROKES", "Column", "FrameForm", "Kind"]

Kind = Literal["number", "whole", "age", "day", "text", "json", "choice", "yes_no"]
"""``age``: whole years on the row's ``day``; ``json``: a JSON document as text."""


@frozen(kw_only=True)
class Column:
    """One column of a frame.

    Attributes
    ----------
    name : str
    source : SQL expression
    kind : Kind
    says : str
        What it is, as a part of a sentence.
    unit : str
        Empty if there is none, or if another column gives it.
    tells_who : bool
        Whether it is left out of an export without names.
    choices : tuple of str
        The known values of a choice, in order.
    """

    name: str
    source: Any
    kind: Kind
    says: str
    unit: str = ""
    tells_who: bool = False
    choices: tuple[str, ...] = ()


@frozen(kw_only=True)
class FrameForm:
    """One frame.

    Attributes
    ----------
    name : str
    says : str
        What one row is.
    tables : sequence of tables
        Joined by their keys in this order.
    sort : tuple of str
        The columns by which the rows are sorted.
        The first has one value for each owner of rows: a student, a lesson, a test. Rows are read owner by owner.
    columns : tuple of Column
    only : SQL condition or None
        Which rows are read; None for all.
    """

    name: str
    says: str
    tables: Sequence[type[Base]]
    sort: tuple[str, ...]
    columns: tuple[Column, ...]
    only: ColumnElement[bool] | None = None

    @property
    def owner(self) -> Any:
        """The column of the archive by which the rows are read, a few owners at a time."""
        return next(column.source for column in self.columns if column.name == self.sort[0])

    @property
    def day(self) -> Any:
        """The day of the lesson or test that a row belongs to; None where it belongs to none."""
        return next((table.day for table in self.tables if table in (LessonRow, PracticeRow)), None)


_HANDED: Final = get_args(Handed)
_SCALES: Final = get_args(ScaleSource)


def _whole(name: str, source: Any, says: str) -> Column:
    return Column(name=name, source=source, kind="whole", says=says)


_STUDENT: Final = _whole("student", LessonRow.student_id, "number of the student")
_LESSON: Final = _whole("lesson", LessonRow.id, "number of the lesson")


def _choice(name: str, source: Any, says: str, choices: Sequence[str] = ()) -> Column:
    return Column(name=name, source=source, kind="choice", says=says, choices=tuple(choices))


_UNITS: Final = ("deg", "cm", "%", "s", "ratio")
_VIEW: Final = _choice("view", ClipRow.view, "which way the camera looked", VIEWS)
_AGE: Final = Column(
    name="age_years",
    source=StudentRow.born,
    kind="age",
    says="age on that day in whole years; missing where only being grown up is known",
    unit="years",
)


def _day(name: str, source: Any, says: str) -> Column:
    return Column(name=name, source=source, kind="day", says=says)


def _json(name: str, source: Any, says: str, *, tells_who: bool = False) -> Column:
    return Column(name=name, source=cast(source, String), kind="json", says=f"{says}, as JSON", tells_who=tells_who)


def _number(name: str, source: Any, says: str, unit: str = "") -> Column:
    return Column(name=name, source=source, kind="number", says=says, unit=unit)


def _text(name: str, source: Any, says: str) -> Column:
    return Column(name=name, source=source, kind="text", says=says)


def _who(name: str, source: Any, says: str, kind: Kind = "text") -> Column:
    return Column(name=name, source=source, kind=kind, says=says, tells_who=True)


def _yes_no(name: str, source: Any, says: str) -> Column:
    return Column(name=name, source=source, kind="yes_no", says=says)


FORMS: Final[tuple[FrameForm, ...]] = (
    FrameForm(
        name="students",
        says="a student as enrolled",
        tables=(StudentRow,),
        sort=("student",),
        columns=(
            _whole("student", StudentRow.id, "number of the student"),
            _who("name", StudentRow.name, "name"),
            _who("born", StudentRow.born, "day of birth", "day"),
            _yes_no("adult", StudentRow.adult, "whether enrolled as grown up"),
            _choice("handed", StudentRow.handed, "which way the student putts", _HANDED),
            _choice("sex", StudentRow.sex, "which body table was picked; missing for the mean of both", SEXES),
            _number("stature_cm", StudentRow.stature_cm, "barefoot height", "cm"),
            _number("wrist_floor_cm", StudentRow.wrist_floor_cm, "wrist crease above the floor, standing", "cm"),
            _who("notes", StudentRow.notes, "the coach's notes"),
            _day("since", StudentRow.since, "day of enrolment"),
            _day("keep_until", StudentRow.keep_until, "day until which the student is kept, where one was set"),
        ),
    ),
    FrameForm(
        name="consents",
        says="a consent for one thing",
        tables=(ConsentRow,),
        sort=("consent",),
        columns=(
            _whole("consent", ConsentRow.id, "number of the consent"),
            _whole("student", ConsentRow.student_id, "number of the student"),
            _choice("scope", ConsentRow.scope, "what it is for", SCOPES),
            _day("given_on", ConsentRow.given_on, "day on which it was given"),
            _who("given_by", ConsentRow.given_by, "who gave it"),
            _choice("relation", ConsentRow.relation, "whether the student or a guardian gave it", get_args(Relation)),
            _day("withdrawn_on", ConsentRow.withdrawn_on, "day from which it counts no more"),
            _who("note", ConsentRow.note, "how it was given"),
        ),
    ),
    FrameForm(
        name="lessons",
        says="a filmed setup of a student on one day",
        tables=(LessonRow, StudentRow),
        sort=("lesson",),
        columns=(
            _LESSON,
            _STUDENT,
            _day("day", LessonRow.day, "day of the lesson"),
            _choice("moment", LessonRow.moment, "the setup as it was, as rebuilt, or looked at again later", MOMENTS),
            _AGE,
            _who("place", LessonRow.place, "where"),
            _who("coach", LessonRow.coach, "who taught"),
            _who("notes", LessonRow.notes, "the coach's notes"),
            _who("misses", LessonRow.misses, "which putts are missed, and which way"),
            _choice("weak_putts", LessonRow.weak_putts, "which putts go worst, as the student said", WEAK_PUTTS),
            _who("putter_story", LessonRow.putter_story, "how the putter came to be chosen"),
            _who("limits", LessonRow.limits, "pain, and what the body does not allow"),
            _number("stature_cm", LessonRow.stature_cm, "barefoot height as given that day", "cm"),
            _choice("handed", LessonRow.handed, "which way the student putted", _HANDED),
            _choice("sex", LessonRow.sex, "which body table was picked that day", SEXES),
            _number("wrist_floor_cm", LessonRow.wrist_floor_cm, "wrist crease above the floor, standing", "cm"),
            _number("putter_length_cm", LessonRow.putter_length_cm, "length of the putter in use, where given", "cm"),
            _number("putter_lie_deg", LessonRow.putter_lie_deg, "lie of the putter in use, where given", "deg"),
            _who("document", LessonRow.document, "digest of the lesson's measures.json"),
            _yes_no("faces_hidden", LessonRow.faces_hidden, "whether the faces in its pictures are hidden"),
            _json("versions", LessonRow.versions, "the program, its libraries and its weights"),
            _json("warnings", LessonRow.warnings, "what the program warned of", tells_who=True),
        ),
    ),
    FrameForm(
        name="measures",
        says="a measure of a lesson, or why there is none",
        tables=(MeasureRow, LessonRow),
        sort=("lesson", "measure"),
        columns=(
            _LESSON,
            _STUDENT,
            _choice("measure", MeasureRow.name, "which measure", tuple(RECORDS)),
            _choice(
                "family",
                case((MeasureRow.name.in_(STROKE_MEASURES), "stroke"), else_="setup"),
                "whether it is of the setup or of the stroke",
                ("setup", "stroke"),
            ),
            _number("value", MeasureRow.value, "the measure, in `unit`; missing where it is absent"),
            _number("standard_uncertainty", MeasureRow.standard_uncertainty, "one sigma, in `unit`"),
            _choice("unit", MeasureRow.unit, "unit of the measure", _UNITS),
            _choice("view", MeasureRow.view, "the view it came from", VIEWS),
            _whole("frames", MeasureRow.frames, "how many frames it was measured in"),
            _choice("method", MeasureRow.method, "how it was measured"),
            _choice("method_version", MeasureRow.method_version, "with which program and weights"),
            _text("absent", MeasureRow.absent, "why there is none"),
            _number("floor", MeasureRow.floor, "the least value that makes sense, in `unit`"),
            _number("raw_value", MeasureRow.raw_value, "the same from landmarks that were not moved, in `unit`"),
            _json("budget", MeasureRow.budget, "what the uncertainty is made of, one sigma each, in `unit`"),
            _json("repeats", MeasureRow.repeats, "the value of each setup alone, or of each stroke, in `unit`"),
        ),
    ),
    FrameForm(
        name="fits",
        says="the putter suggested in a lesson",
        tables=(FitRow, LessonRow),
        sort=("lesson",),
        columns=(
            _LESSON,
            _STUDENT,
            _number("length_cm", FitRow.length_cm, "suggested length, top of the grip to the sole", "cm"),
            _number("length_sd_cm", FitRow.length_sd_cm, "its standard uncertainty", "cm"),
            _text("length_absent", FitRow.length_absent, "why there is none"),
            _number("stock_length_in", FitRow.stock_length_in, "the nearest half inch", "in"),
            _number("lie_deg", FitRow.lie_deg, "suggested lie", "deg"),
            _number("lie_sd_deg", FitRow.lie_sd_deg, "its standard uncertainty", "deg"),
            _text("lie_absent", FitRow.lie_absent, "why there is none"),
            _json("spec", FitRow.spec, "the spec sheet for the club-builder"),
        ),
    ),
    FrameForm(
        name="practice",
        says="the putts of one length in a practice test",
        tables=(PuttRow, PracticeRow, StudentRow),
        sort=("test", "distance_cm"),
        columns=(
            _whole("test", PracticeRow.id, "number of the practice test"),
            _whole("student", PracticeRow.student_id, "number of the student"),
            _day("day", PracticeRow.day, "day of the test"),
            _AGE,
            _number("distance_cm", PuttRow.distance_cm, "from ball to the middle of the hole", "cm"),
            _whole("tried", PuttRow.tried, "how many were putted"),
            _whole("holed", PuttRow.holed, "how many of these fell"),
            _who("note", PracticeRow.note, "note to the test"),
        ),
    ),
    FrameForm(
        name="clips",
        says="a view of a lesson",
        tables=(ClipRow, LessonRow),
        sort=("lesson", "view"),
        columns=(
            _LESSON,
            _STUDENT,
            _VIEW,
            _who("file", ClipRow.file, "name of the clip that was measured"),
            _who("sha256", ClipRow.sha256, "its digest"),
            _choice("kind", ClipRow.kind, "moving or not", ("video", "still")),
            _whole("width_px", ClipRow.width, "width of the upright picture, pixels"),
            _whole("height_px", ClipRow.height, "height of the upright picture, pixels"),
            _choice("scale_source", ClipRow.scale_source, "where the scale came from", _SCALES),
            _number("px_per_cm", ClipRow.px_per_cm, "scale in the student's plane", "px/cm"),
            _number("px_per_cm_sd", ClipRow.px_per_cm_sd, "its standard uncertainty", "px/cm"),
            _number("roll_deg", ClipRow.roll_deg, "roll of the camera", "deg"),
            _number("yaw_deg", ClipRow.yaw_deg, "yaw of the camera", "deg"),
            _number("distance_cm", ClipRow.distance_cm, "distance of the camera", "cm"),
            _text("landmark_model", ClipRow.landmark_model, "which model found the landmarks"),
        ),
    ),
    FrameForm(
        name="setups",
        says="a quiet moment at address in a clip",
        tables=(SetupRow, ClipRow, LessonRow),
        sort=("lesson", "view", "setup"),
        columns=(
            _LESSON,
            _STUDENT,
            _VIEW,
            _whole("setup", SetupRow.number, "which setup of the clip, from 0"),
            _number("moment_s", SetupRow.moment_s, "clip time of its still frame", "s"),
            _number("starts_s", SetupRow.starts_s, "clip time at which the quiet stretch begins", "s"),
            _number("ends_s", SetupRow.ends_s, "clip time at which it ends", "s"),
            _choice("chosen_by", SetupRow.chosen_by, "who chose it", ("finder", "person")),
            _text("reason", SetupRow.reason, "why this moment"),
        ),
    ),
    FrameForm(
        name="corrections",
        says="a landmark corrected by hand; if one was corrected several times, the last counts",
        tables=(Correction, ClipRow, LessonRow),
        sort=("correction",),
        columns=(
            _whole("correction", Correction.id, "number of the correction"),
            _LESSON,
            _STUDENT,
            _VIEW,
            _whole("frame", Correction.frame, "which of the kept frames of the view, from 0"),
            _choice("landmark", Correction.landmark, "which landmark", LANDMARK_NAMES),
            _number("u_px", Correction.u_px, "right of the picture's left edge", "px"),
            _number("v_px", Correction.v_px, "below the picture's upper edge", "px"),
            _who("made_by", Correction.made_by, "who put it right"),
            _day("made_on", Correction.made_on, "day on which it was corrected"),
        ),
    ),
    FrameForm(
        name="files",
        says="a kept file of a lesson",
        tables=(LessonFile, FileRow, LessonRow),
        sort=("lesson", "name", "bytes"),
        columns=(
            _LESSON,
            _STUDENT,
            _who("name", LessonFile.name, "its place in the result folder"),
            _who("digest", LessonFile.digest, "SHA-256 of its content"),
            _whole("bytes", FileRow.size, "how large it is, bytes"),
            Column(
                name="shows_student",
                source=LessonFile.shows_student,
                kind="yes_no",
                says="whether the student can be seen in it",
            ),
        ),
    ),
)
"""The frames that are always read as they are kept."""
STROKES: Final = FrameForm(
    name="strokes",
    says="a measure of one stroke alone; `measures` has what follows from all strokes of the lesson",
    tables=(MeasureRow, LessonRow),
    sort=("lesson", "measure", "stroke"),
    columns=(
        _LESSON,
        _STUDENT,
        _choice("measure", MeasureRow.name, "which measure", tuple(STROKE_MEASURES)),
        _whole("stroke", MeasureRow.repeats, "which of the strokes in which it was measured, by time, from 0"),
        _number("value", MeasureRow.value, "the measure in this stroke, in `unit`"),
        _choice("unit", MeasureRow.unit, "unit of the measure", _UNITS),
    ),
    only=MeasureRow.name.in_(STROKE_MEASURES) & MeasureRow.value.is_not(None),
)
"""The long table of strokes, unpacked from ``repeats``, or from ``value`` where one stroke was measured."""
LANDMARKS: Final = FrameForm(
    name="landmarks",
    says="a landmark of one frame as the model gave it; corrections are a table of their own",
    tables=(LandmarkRow, ClipRow, LessonRow),
    sort=("lesson", "view", "frame"),
    columns=(
        _LESSON,
        _STUDENT,
        _VIEW,
        _whole("frame", LandmarkRow.frame, "which of the kept frames of the view, from 0"),
        _whole("setup", LandmarkRow.setup, "which setup of the clip, from 0"),
        _number("time_s", LandmarkRow.time_s, "clip time", "s"),
        _choice("landmark", LandmarkRow.points, "which landmark", LANDMARK_NAMES),
        _number("u_px", LandmarkRow.points, "right of the full-size picture's left edge; missing where unseen", "px"),
        _number("v_px", LandmarkRow.points, "below its upper edge; missing where unseen", "px"),
        _number("visibility", LandmarkRow.points, "0 to 1 as the model gives it; it is not accuracy"),
    ),
)
"""The long table of landmarks, only on request; its last four columns are unpacked from one."""
