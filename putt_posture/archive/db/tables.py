"""The tables of an archive.

Lengths are centimetres, angles degrees, clip times seconds. Dates are the coach's own calendar days. Nothing is
stored that follows from other rows, except `SummaryRow`, so that the overview need not read every lesson, and
`DigestRow`, so that a check sees what was altered.

Three tables were named before their classes and keep their names: `PendingAdd` is ``arrivals``, `PendingDelete` is
``departures``, `SummaryRow` is ``standings``.
"""

from datetime import date
from typing import Any, Final

from sqlalchemy import (
    JSON,
    BigInteger,
    CheckConstraint,
    ForeignKey,
    Index,
    LargeBinary,
    MetaData,
    String,
    UniqueConstraint,
    text,
)
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column

__all__ = [
    "CLIPS",
    "Base",
    "ClipRow",
    "ConsentRow",
    "Correction",
    "DigestRow",
    "Erasure",
    "FileRow",
    "FitRow",
    "LandmarkRow",
    "LessonFile",
    "LessonRow",
    "MeasureRow",
    "NameWord",
    "PendingAdd",
    "PendingDelete",
    "PracticeRow",
    "PuttRow",
    "Setting",
    "SetupRow",
    "StudentRow",
    "SummaryRow",
]

_NAMES: Final = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}
_DIGEST: Final = String(64)
_SORTED: Final = String().with_variant(String(collation="C"), "postgresql")
"""Compared character by character, as SQLite does, and not by the rules of a language."""
_NEVER_AGAIN: Final = {"sqlite_autoincrement": True}
"""The number of an erased student or lesson is not used again."""


class Base(DeclarativeBase):
    """What all tables share."""

    metadata = MetaData(naming_convention=_NAMES)


class StudentRow(Base):
    """A student. Unless they are known to be an adult, the day of birth says when they are."""

    __tablename__ = "students"
    __table_args__ = (
        CheckConstraint("adult OR born IS NOT NULL", name="age_known"),
        Index(None, "id", "born"),
        _NEVER_AGAIN,
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    name_key: Mapped[str] = mapped_column(_SORTED, index=True)
    """The name without case and accents, as it is searched and sorted."""
    born: Mapped[date | None]
    adult: Mapped[bool]
    handed: Mapped[str]
    stature_cm: Mapped[float]
    sex: Mapped[str | None]
    wrist_floor_cm: Mapped[float | None]
    notes: Mapped[str] = mapped_column(default="")
    since: Mapped[date] = mapped_column(index=True)
    keep_until: Mapped[date | None] = mapped_column(index=True)
    """Overrules the archive's retention time for this student."""


def _of(column: str) -> Any:
    """Return a foreign key whose rows are deleted with the row that they point to."""
    return ForeignKey(column, ondelete="CASCADE")


class NameWord(Base):
    """One word of a student's name, for searching by the start of any word."""

    __tablename__ = "name_words"

    word: Mapped[str] = mapped_column(_SORTED, primary_key=True)
    student_id: Mapped[int] = mapped_column(_of("students.id"), primary_key=True, index=True)


class ConsentRow(Base):
    """What a student or guardian allowed, from when, and until when."""

    __tablename__ = "consents"
    __table_args__ = (
        Index(
            "ix_consents_guardian",
            "student_id",
            sqlite_where=text("relation = 'guardian'"),
            postgresql_where=text("relation = 'guardian'"),
        ),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    student_id: Mapped[int] = mapped_column(_of("students.id"), index=True)
    scope: Mapped[str]
    given_on: Mapped[date]
    given_by: Mapped[str]
    relation: Mapped[str]
    """``self`` or ``guardian``."""
    withdrawn_on: Mapped[date | None] = mapped_column(index=True)
    note: Mapped[str] = mapped_column(default="")


class LessonRow(Base):
    """One filmed setup of a student on one day, with what the student said."""

    __tablename__ = "lessons"
    __table_args__ = (
        Index(None, "student_id", "day", "id"),
        UniqueConstraint("student_id", "document"),
        _NEVER_AGAIN,
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    student_id: Mapped[int] = mapped_column(_of("students.id"))
    day: Mapped[date] = mapped_column(index=True)
    moment: Mapped[str]
    place: Mapped[str] = mapped_column(default="")
    coach: Mapped[str] = mapped_column(default="")
    notes: Mapped[str] = mapped_column(default="")
    misses: Mapped[str] = mapped_column(default="")
    """Which putts are missed, and which way."""
    putter_story: Mapped[str] = mapped_column(default="")
    """How the putter came to be chosen."""
    limits: Mapped[str] = mapped_column(default="")
    """Pain, and what the body does not allow."""
    stature_cm: Mapped[float]
    handed: Mapped[str]
    sex: Mapped[str | None]
    wrist_floor_cm: Mapped[float | None]
    putter_length_cm: Mapped[float | None]
    putter_lie_deg: Mapped[float | None]
    faces_hidden: Mapped[bool] = mapped_column(default=False)
    """Whether the heads in the kept pictures are hidden."""
    document: Mapped[str] = mapped_column(_DIGEST)
    """Digest of the lesson's ``measures.json``, so that no lesson is filed twice."""
    versions: Mapped[dict[str, Any]] = mapped_column(JSON)
    warnings: Mapped[list[Any]] = mapped_column(JSON)
    weak_putts: Mapped[str | None]
    """``short``, ``lag`` or ``both``; None where it was not said."""


class ClipRow(Base):
    """One view of a lesson: its clip, whether that is kept or not, and its scene."""

    __tablename__ = "clips"
    __table_args__ = (UniqueConstraint("lesson_id", "view"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    lesson_id: Mapped[int] = mapped_column(_of("lessons.id"))
    view: Mapped[str]
    file: Mapped[str]
    sha256: Mapped[str] = mapped_column(_DIGEST, index=True)
    kind: Mapped[str]
    width: Mapped[int]
    height: Mapped[int]
    scale_source: Mapped[str]
    landmark_model: Mapped[str] = mapped_column(default="")
    """The pose model; its errors are shared by all clips that it measured."""
    px_per_cm: Mapped[float | None]
    px_per_cm_sd: Mapped[float | None]
    roll_deg: Mapped[float | None]
    yaw_deg: Mapped[float | None]
    distance_cm: Mapped[float | None]


class SetupRow(Base):
    """One setup in a clip."""

    __tablename__ = "setups"

    clip_id: Mapped[int] = mapped_column(_of("clips.id"), primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True)
    moment_s: Mapped[float]
    starts_s: Mapped[float]
    ends_s: Mapped[float]
    chosen_by: Mapped[str]
    reason: Mapped[str]


class LandmarkRow(Base):
    """The landmarks of one frame as the model gave them: 33 × 3 numbers, u, v and visibility, float32 little-endian."""

    __tablename__ = "landmarks"

    clip_id: Mapped[int] = mapped_column(_of("clips.id"), primary_key=True)
    frame: Mapped[int] = mapped_column(primary_key=True)
    setup: Mapped[int]
    time_s: Mapped[float]
    points: Mapped[bytes] = mapped_column(LargeBinary)


class Correction(Base):
    """A landmark corrected by hand; it is stored beside the automatic one and does not replace it."""

    __tablename__ = "corrections"

    id: Mapped[int] = mapped_column(primary_key=True)
    clip_id: Mapped[int] = mapped_column(_of("clips.id"), index=True)
    frame: Mapped[int]
    landmark: Mapped[str]
    u_px: Mapped[float]
    v_px: Mapped[float]
    made_by: Mapped[str]
    made_on: Mapped[date]


class MeasureRow(Base):
    """One measure of a lesson, or why there is none."""

    __tablename__ = "measures"
    __table_args__ = {"sqlite_with_rowid": False}  # noqa: RUF012

    lesson_id: Mapped[int] = mapped_column(_of("lessons.id"), primary_key=True)
    name: Mapped[str] = mapped_column(primary_key=True)
    value: Mapped[float | None]
    standard_uncertainty: Mapped[float | None]
    unit: Mapped[str]
    view: Mapped[str | None]
    frames: Mapped[int]
    method: Mapped[str]
    method_version: Mapped[str]
    absent: Mapped[str | None]
    floor: Mapped[float | None]
    raw_value: Mapped[float | None]
    budget: Mapped[dict[str, float]] = mapped_column(JSON)
    repeats: Mapped[list[float]] = mapped_column(JSON)


class FitRow(Base):
    """The suggested putter, and the spec sheet for the club-builder."""

    __tablename__ = "fits"

    lesson_id: Mapped[int] = mapped_column(_of("lessons.id"), primary_key=True)
    length_cm: Mapped[float | None]
    length_sd_cm: Mapped[float | None]
    length_absent: Mapped[str | None]
    stock_length_in: Mapped[float | None]
    lie_deg: Mapped[float | None]
    lie_sd_deg: Mapped[float | None]
    lie_absent: Mapped[str | None]
    spec: Mapped[dict[str, Any] | None] = mapped_column(JSON(none_as_null=True))


class PracticeRow(Base):
    """A practice test: putts tried and holed on one day."""

    __tablename__ = "practice_tests"
    __table_args__ = (Index(None, "student_id", "day", "id"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    student_id: Mapped[int] = mapped_column(_of("students.id"))
    day: Mapped[date]
    note: Mapped[str] = mapped_column(default="")


class PuttRow(Base):
    """Putts of one length in a practice test."""

    __tablename__ = "putts"
    __table_args__ = (CheckConstraint("holed >= 0 AND holed <= tried AND distance_cm > 0", name="counts"),)

    test_id: Mapped[int] = mapped_column(_of("practice_tests.id"), primary_key=True)
    distance_cm: Mapped[float] = mapped_column(primary_key=True)
    tried: Mapped[int]
    holed: Mapped[int]


class FileRow(Base):
    """A stored file, once for each digest."""

    __tablename__ = "files"

    digest: Mapped[str] = mapped_column(_DIGEST, primary_key=True)
    size: Mapped[int] = mapped_column(BigInteger)


CLIPS: Final = "clips/"
"""Where a lesson keeps its clips, among the files of the result folder."""


class LessonFile(Base):
    """The files of a lesson, each with its name in it: ``stills/face_on.png``, ``clips/face_on.mov``."""

    __tablename__ = "lesson_files"
    __table_args__ = (
        Index(
            "ix_lesson_files_shown",
            "lesson_id",
            sqlite_where=text("shows_student = 1"),
            postgresql_where=text("shows_student"),
        ),
    )

    lesson_id: Mapped[int] = mapped_column(_of("lessons.id"), primary_key=True)
    name: Mapped[str] = mapped_column(primary_key=True)
    digest: Mapped[str] = mapped_column(ForeignKey("files.digest"), index=True)
    shows_student: Mapped[bool]


class PendingAdd(Base):
    """A file that is being added; see `putt_posture.archive.files.pending`."""

    __tablename__ = "arrivals"

    token: Mapped[str] = mapped_column(primary_key=True)
    digest: Mapped[str] = mapped_column(_DIGEST, primary_key=True, index=True)


class PendingDelete(Base):
    """A file that is to be deleted; see `putt_posture.archive.files.pending`."""

    __tablename__ = "departures"

    digest: Mapped[str] = mapped_column(_DIGEST, primary_key=True)


class DigestRow(Base):
    """The digest of all rows of one table that belong to one owner; see `row_digests`."""

    __tablename__ = "digests"
    __table_args__ = {"sqlite_with_rowid": False}  # noqa: RUF012

    part: Mapped[str] = mapped_column(primary_key=True)
    owner: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    digest: Mapped[str] = mapped_column(_DIGEST)


class SummaryRow(Base):
    """The summary of a student for the overview; `putt_posture.archive.lessons.histories` updates it."""

    __tablename__ = "standings"
    __table_args__ = (
        Index(None, "last_day", "student_id"),
        Index(
            "ix_standings_drifted",
            "last_day",
            "student_id",
            sqlite_where=text("drifted > 0"),
            postgresql_where=text("drifted > 0"),
        ),
    )

    student_id: Mapped[int] = mapped_column(_of("students.id"), primary_key=True)
    lessons: Mapped[int]
    last_day: Mapped[date]
    drifted: Mapped[int]
    """How many measures went back by more than the noise."""
    drifts: Mapped[list[str]] = mapped_column(JSON)


class Erasure(Base):
    """The record of an erasure: how much was erased, but not of whom."""

    __tablename__ = "erasures"

    id: Mapped[int] = mapped_column(primary_key=True)
    day: Mapped[date]
    lessons: Mapped[int]
    files: Mapped[int]
    reason: Mapped[str]


class Setting(Base):
    """A setting of the archive."""

    __tablename__ = "settings"

    name: Mapped[str] = mapped_column(primary_key=True)
    value: Mapped[str]
