"""Lessons that are quick to make: one invented result folder, and copies of it with other numbers."""

import hashlib
import json
from collections.abc import Mapping
from datetime import date
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

import numpy as np

from putt_posture.archive import SCOPES, Archive, add_consent, add_student, file_lesson
from putt_posture.documents import read_record
from putt_posture.documents.json_values import document_as_text
from putt_posture.drawing.stills import as_png
from putt_posture.measures import MEASURES
from putt_posture.records import KeptLesson
from putt_posture.values import LessonRecord, Student

TODAY = date(2026, 11, 25)
NAME = "Parker Puttwell"
PLAYER = Student(name=NAME, stature_cm=178.0, handed="right", sex="female", wrist_floor_cm=85.5)
MINE = ("measures.json", "measures.csv", "landmarks.npz")
"""The files of a lesson that are of every invented lesson the same, but for the document."""
STILL_SIZE = (60, 84)
"""Width and height of the one still that such a lesson keeps, pixels; the document's box has nearly that shape."""
_PAGE = """<!doctype html>
<html lang="en"><head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src data:; style-src 'unsafe-inline'">
<meta name="referrer" content="no-referrer">
<title>Putting posture</title></head><body><p>report of {tag}</p></body></html>
"""


@cache
def still_of(tag: str) -> bytes:
    """Return the bytes of the still of a lesson: a picture that no other tag has."""
    wide, high = STILL_SIZE
    seed = list(hashlib.sha256(tag.encode()).digest())
    return as_png(np.random.default_rng(seed).integers(0, 256, (high, wide, 3), dtype=np.uint8))


def report_of(tag: str) -> bytes:
    """Return the bytes of the page of a lesson."""
    return _PAGE.format(tag=tag).encode()


def make_lesson_of(
    stored: Mapping[str, bytes],
    *,
    tag: str,
    shift: float = 0.0,
    clips: Mapping[str, Path] | None = None,
    change: Any = None,
) -> KeptLesson:
    """Return a lesson with a still and a page of its own, as a result folder would be read.

    `tag` makes its files unlike those of other lessons; `shift` is added to every measure; `clips` are those that it
    says it was measured from; `change` is called with the document. The same lesson is made once.
    """
    measured_from = {
        view: (path.name, hashlib.sha256(path.read_bytes()).hexdigest()) for view, path in (clips or {}).items()
    }
    content = _make_document(stored, tag, shift, measured_from, change)
    files = {name: stored[name] for name in MINE} | {
        "measures.json": content,
        "stills/face_on.png": still_of(tag),
        "report.html": report_of(tag),
    }
    return KeptLesson(title=tag, record=_read(content, tag), names=frozenset(files), read=files.__getitem__)


def _make_document(
    stored: Mapping[str, bytes], tag: str, shift: float, measured_from: Mapping[str, tuple[str, str]], change: Any
) -> bytes:
    document = json.loads(stored["measures.json"])
    document["warnings"].append(f"This is lesson {tag}.")
    document["views"]["face_on"]["still"]["size"] = list(STILL_SIZE)
    for name in MEASURES:
        entry = document["measures"][name]
        if entry["value"] is not None:
            entry.update({each: entry[each] + shift for each in ("value", "low", "high")})
    for view, (name, digest) in measured_from.items():
        document["views"][view].update(file=name, sha256=digest)
    if change is not None:
        change(document)
    return document_as_text(document).encode()


@lru_cache(maxsize=64)
def _read(content: bytes, where: str) -> LessonRecord:
    """A record cannot be changed, so tests share those of the same document."""
    return read_record(content, where=where)


def with_tilt(stored: Mapping[str, bytes], tag: str, tilt_deg: float) -> KeptLesson:
    """Return a lesson with this spine tilt, its findings and its plan."""
    from attrs import evolve
    from invented import make_lesson

    from putt_posture.documents.json_values import as_json
    from putt_posture.findings import find_findings, make_plan
    from putt_posture.values import Estimate

    lesson = make_lesson()
    tilt = Estimate(value=tilt_deg, standard_uncertainty=1.5, unit="deg", view="down_the_line", method="made up")
    posture = evolve(lesson.posture, estimates={**lesson.posture.estimates, "spine_tilt": tilt})
    fit = evolve(lesson.fit, setup={"spine_tilt": evolve(tilt, value=36.0)})
    findings = find_findings(posture, fit, lesson.student)

    def change(document):
        document["measures"]["spine_tilt"].update(as_json(tilt), budget={}, repeats=[])
        document.update(findings=as_json(findings), plan=as_json(make_plan(findings)))

    return make_lesson_of(stored, tag=tag, change=change)


def make_clips(folder: Path, tag: str) -> dict[str, Path]:
    """Write two clips that hold a few bytes of their own."""
    folder.mkdir(parents=True, exist_ok=True)
    clips = {view: folder / f"{view}_{tag}.mov" for view in ("down_the_line", "face_on")}
    for view, path in clips.items():
        path.write_bytes(f"clip {view} of {tag}. ".encode() * 100)
    return clips


def add_player(
    archive: Archive, *, name: str = NAME, born: date = date(1990, 1, 1), guardian: str = "", **about: Any
) -> int:
    """Add a student for whom everything was consented to, and return their number."""
    student = Student(name=name, stature_cm=178.0, handed="right", sex="female", wrist_floor_cm=85.5)
    number = add_student(archive, student, today=date(2020, 1, 1), born=born, **about)
    add_consent(
        archive,
        number,
        scopes=SCOPES,
        given_on=date(2020, 1, 1),
        given_by=guardian or name,
        relation="guardian" if guardian else "self",
        today=TODAY,
    )
    return number


def file_one(archive: Archive, number: int, lesson: KeptLesson, **about: Any) -> int:
    """File a lesson of today, before anything was rebuilt, where nothing else is said."""
    return file_lesson(archive, number, lesson, **{"day": TODAY, "moment": "before", "today": TODAY, **about})
