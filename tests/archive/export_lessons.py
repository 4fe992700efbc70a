"""An archive of invented students in which every table that belongs to students holds something."""

import hashlib
from datetime import date
from pathlib import Path

from attrs import evolve
from invented import MADE_ON, make_lesson

from putt_posture.archive import (
    SCOPES,
    Archive,
    LessonNotes,
    add_consent,
    add_practice_test,
    add_student,
    correct_landmark,
    file_lesson,
)
from putt_posture.archive.people.permissions import grown_up_on
from putt_posture.club_spec import find_club_spec
from putt_posture.pages import store_lesson
from putt_posture.records import read_result_folder
from putt_posture.values import PuttCount, Student

TODAY = date(2026, 11, 25)
DAY = date(2026, 5, 17)
NAME = 'Robin "Rob", Example 🏌 محمد'
NOTES = LessonNotes(
    place="The green; by the oak",
    coach="Kim Coach",
    notes='Said: "too long",\nthen laughed',
    misses="short ones, left",
    weak_putts="lag",
    putter_story="=a gift",
    limits="a stiff back",
)
CLIPS = {"down_the_line": b"side" * 9000, "face_on": b"front" * 9000}
"""Nobody decodes these: an archive keeps clips as they are."""


def store_invented(folder: Path) -> Path:
    """Store the invented lesson with a spec sheet into a result folder, its clips beside it."""
    lesson = make_lesson()
    views = {}
    for view, result in lesson.views.items():
        path = folder / f"{view}.mov"
        path.write_bytes(CLIPS[view])
        clip = evolve(result.clip, path=path, sha256=hashlib.sha256(CLIPS[view]).hexdigest())
        views[view] = evolve(result, clip=clip)
    student = evolve(lesson.student, putter_length_cm=88.9)
    lesson = evolve(lesson, views=views, student=student, spec=find_club_spec(lesson.fit, student))
    return store_lesson(lesson, folder / "result", made_on=MADE_ON)


def enrol(archive: Archive, *, name: str = NAME, born: date | None = date(2008, 5, 18), **about) -> int:
    """Add a student with every consent: a minor's of a guardian, and their own from the day they are grown up on."""
    student = Student(name=name, stature_cm=178.0, handed="right", sex="female", wrist_floor_cm=85.5)
    number = add_student(archive, student, today=TODAY, born=born, adult=born is None, **about)
    asked, grown = date(2020, 1, 1), date(2020, 1, 1) if born is None else grown_up_on(born=born, grown_at=18)
    given = {"scopes": SCOPES, "today": TODAY, "note": "on paper"}
    if asked < grown:
        add_consent(archive, number, given_on=asked, given_by="A. Guardian", relation="guardian", **given)
    if grown <= TODAY:
        add_consent(archive, number, given_on=max(asked, grown), given_by=name, relation="self", **given)
    return number


def fill(archive: Archive, folder: Path, *, name: str = NAME, day: date = DAY, clips: bool = True, **about) -> int:
    """Add a student with a lesson, a correction and a practice test; return the student's number."""
    number = enrol(archive, name=name, **about)
    lesson = file_lesson(
        archive, number, read_result_folder(folder), day=day, moment="before", today=TODAY, notes=NOTES,
        clips={view: folder.parent / f"{view}.mov" for view in CLIPS} if clips else None,
    )  # fmt: skip
    correct_landmark(
        archive, lesson, view="face_on", frame=1, landmark="left_hip", point_px=(500.1, 900.7), made_by="Kim Coach",
        today=TODAY,
    )  # fmt: skip
    counts = [PuttCount(distance_cm=91.44, tried=20, holed=19), PuttCount(distance_cm=304.8, tried=20, holed=8)]
    add_practice_test(archive, number, day=day, counts=counts, today=TODAY, note="@home, windy")
    return number
