"""Conversion of a lesson's values to rows and back, without loss."""

from collections.abc import Iterable, Sequence
from typing import Any, cast

import numpy as np
from sqlalchemy.orm import Session

from putt_posture.archive.db.tables import ClipRow, FitRow, LandmarkRow, LessonRow, MeasureRow, SetupRow
from putt_posture.archive.db.texts import clean
from putt_posture.documents import StoredArrays, read_json
from putt_posture.errors import NotInArchive
from putt_posture.measures import RECORDS
from putt_posture.measures.club import PUTTER_LENGTH, typed_length
from putt_posture.values import (
    Estimate,
    Floats,
    Handed,
    LessonRecord,
    Measured,
    MeasureName,
    Moment,
    ScaleSource,
    Sex,
    Student,
    View,
    Visit,
    absent,
    read_by_hand,
)

__all__ = [
    "as_clip_row",
    "as_estimate",
    "as_fit_row",
    "as_landmark_rows",
    "as_measure_rows",
    "as_measured",
    "as_points",
    "as_setup_rows",
    "as_visit",
    "row_of_lesson",
    "unpack_points",
]

_POINTS = np.dtype("<f4")


def as_measure_rows(record: LessonRecord) -> list[MeasureRow]:
    """Return one row for each measure of the setup and of the stroke; the lesson's number is set later.

    Parameters
    ----------
    record : LessonRecord
    """
    version = method_version(record)
    return [
        MeasureRow(
            name=name,
            value=_number(each, each.value),
            standard_uncertainty=_number(each, each.standard_uncertainty),
            unit=each.unit,
            view=each.view,
            frames=each.frames,
            method=each.method,
            method_version=version,
            absent=each.absent,
            floor=each.floor,
            raw_value=each.raw_value,
            budget=dict(each.budget),
            repeats=list(each.repeats),
        )
        for name, each in record.numbers.items()
    ]


def method_version(record: LessonRecord) -> str:
    """Return the versions that measured: of the program and of the landmark model.

    Parameters
    ----------
    record : LessonRecord
    """
    versions = record.versions
    return f"putt_posture {versions.get('putt_posture', '?')}; {versions.get('weights', '?')}"


def as_estimate(row: MeasureRow) -> Estimate:
    """Return the estimate of a row.

    Parameters
    ----------
    row : MeasureRow
    """
    view = cast("View | None", row.view)
    if row.absent is not None:
        return absent(row.absent, unit=row.unit, view=view, method=row.method)
    assert row.value is not None  # a row has a value or a reason
    assert row.standard_uncertainty is not None
    return Estimate(
        value=row.value,
        standard_uncertainty=row.standard_uncertainty,
        unit=row.unit,
        view=view,
        frames=row.frames,
        method=row.method,
        floor=row.floor,
        raw_value=row.raw_value,
        budget=row.budget,
        repeats=tuple(row.repeats),
        by_hand=read_by_hand(row.method),
    )


def as_measured(lesson: LessonRow, rows: Iterable[MeasureRow], clips: Sequence[ClipRow]) -> Measured:
    """Return the measures of one lesson, in the order of `RECORDS`: of the setup, then of the stroke.

    The putter has one length: if it was typed, that replaces the length from the picture.

    Parameters
    ----------
    lesson : LessonRow
    rows : Iterable[MeasureRow]
    clips : Sequence[ClipRow]
    """
    found = {MeasureName(row.name): as_estimate(row) for row in rows}
    if lesson.putter_length_cm is not None and found.get(PUTTER_LENGTH.name):
        found[PUTTER_LENGTH.name] = typed_length(lesson.putter_length_cm)
    return Measured(
        measures={name: found[name] for name in RECORDS if name in found},
        scale_sources={cast(View, clip.view): cast(ScaleSource, clip.scale_source) for clip in clips},
        landmark_models={cast(View, clip.view): clip.landmark_model for clip in clips},
        student=Student(
            stature_cm=lesson.stature_cm,
            handed=cast(Handed, lesson.handed),
            sex=cast(Sex | None, lesson.sex),
            wrist_floor_cm=lesson.wrist_floor_cm,
            putter_length_cm=lesson.putter_length_cm,
            putter_lie_deg=lesson.putter_lie_deg,
        ),
    )


def as_fit_row(record: LessonRecord, spec: bytes | None) -> FitRow:
    """Return the row of the suggested putter; `spec` is the text of the lesson's ``spec_sheet.json``.

    Parameters
    ----------
    record : LessonRecord
    spec : bytes or None
        None where the lesson has no spec sheet.
    """
    length, lie = record.putter_length, record.lie
    return FitRow(
        length_cm=_number(length, length.value),
        length_sd_cm=_number(length, length.standard_uncertainty),
        length_absent=length.absent,
        stock_length_in=record.stock_length_in,
        lie_deg=_number(lie, lie.value),
        lie_sd_deg=_number(lie, lie.standard_uncertainty),
        lie_absent=lie.absent,
        spec=None if spec is None else read_json(spec, where="The spec sheet"),
    )


def as_visit(lesson: LessonRow, fit: FitRow | None, rows: Sequence[MeasureRow], clips: Sequence[ClipRow]) -> Visit:
    """Return a lesson as a point on the time axis.

    Parameters
    ----------
    lesson : LessonRow
    fit : FitRow or None
        None where the lesson suggests no putter.
    rows : Sequence[MeasureRow]
    clips : Sequence[ClipRow]
    """
    if fit is None or fit.length_cm is None or fit.length_sd_cm is None:
        suggested = absent((fit and fit.length_absent) or "No length was suggested.", unit="cm")
    else:
        suggested = Estimate(value=fit.length_cm, standard_uncertainty=fit.length_sd_cm, unit="cm")
    return Visit(
        lesson=lesson.id,
        day=lesson.day,
        moment=cast(Moment, lesson.moment),
        measured=as_measured(lesson, rows, clips),
        putter_in_use_cm=lesson.putter_length_cm,
        suggested=suggested,
        coach=lesson.coach,
        place=lesson.place,
    )


def as_clip_row(record: LessonRecord, view: View) -> ClipRow:
    """Return the row of one view.

    Parameters
    ----------
    record : LessonRecord
    view : View
    """
    seen = record.views[view]
    return ClipRow(
        view=view,
        file=clean(seen.file),
        sha256=seen.sha256,
        kind=seen.kind,
        width=seen.size_px[0],
        height=seen.size_px[1],
        scale_source=seen.scale_source,
        landmark_model=seen.landmark_model,
        px_per_cm=_number(seen.px_per_cm, seen.px_per_cm.value),
        px_per_cm_sd=_number(seen.px_per_cm, seen.px_per_cm.standard_uncertainty),
        roll_deg=_number(seen.roll, seen.roll.value),
        yaw_deg=_number(seen.yaw, seen.yaw.value),
        distance_cm=_number(seen.distance_cm, seen.distance_cm.value),
    )


def as_setup_rows(clip: int, setups: Iterable[dict[str, Any]]) -> list[SetupRow]:
    """Return the rows of the setups of one view in ``measures.json``.

    Parameters
    ----------
    clip : int
        Number of the clip's row.
    setups : Iterable[dict[str, Any]]
        As in the document.
    """
    return [
        SetupRow(
            clip_id=clip,
            number=number,
            moment_s=each["moment_s"],
            starts_s=each["window_s"][0],
            ends_s=each["window_s"][1],
            chosen_by=each["chosen_by"],
            reason=" ".join(filter(None, (each["reason"], each.get("doubt", "")))),
        )
        for number, each in enumerate(setups)
    ]


def as_landmark_rows(clip: int, view: View, arrays: StoredArrays) -> list[LandmarkRow]:
    """Return the rows of one view's landmarks, read from the arrays of ``landmarks.npz``.

    Parameters
    ----------
    clip : int
        Number of the clip's row.
    view : View
    arrays : StoredArrays
    """
    points, seen = arrays[f"{view}.points_px"], arrays[f"{view}.visibility"]
    times, setups = arrays[f"{view}.times_s"], arrays[f"{view}.setup_index"]
    packed = np.concatenate([points, seen[..., None]], axis=-1).astype(_POINTS)
    return [
        LandmarkRow(clip_id=clip, frame=frame, setup=int(setup), time_s=float(time), points=each.tobytes())
        for frame, (time, setup, each) in enumerate(zip(times, setups, packed, strict=True))
    ]


def as_points(row: LandmarkRow) -> Floats:
    """Return the landmarks of a frame, (33, 3): u and v in full-size pixels, visibility.

    Parameters
    ----------
    row : LandmarkRow
    """
    return unpack_points(row.points)


def unpack_points(packed: bytes) -> Floats:
    """Return the landmarks of a packed row, (33, 3), or of several rows one after another.

    Parameters
    ----------
    packed : bytes
        As `pack_points` made them.
    """
    points: Floats = np.frombuffer(packed, dtype=_POINTS).reshape(-1, 3).astype(np.float64)
    return points


def _number(estimate: Estimate, value: float) -> float | None:
    return float(value) if estimate else None


def row_of_lesson(session: Session, number: int) -> LessonRow:
    """Return a lesson's row. Raises NotInArchive.

    Parameters
    ----------
    session : Session
        Open transaction.
    number : int
        Number of the lesson.
    """
    row = session.get(LessonRow, number)
    if row is None:
        raise NotInArchive(f"There is no lesson {number} in the archive. Look for it with archive show.")
    return row
