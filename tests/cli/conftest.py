"""A lesson made up for the command's tests, and the library functions that the command calls, replaced by it."""

import inspect
import json
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest

from putt_posture.cli import main
from putt_posture.lesson import measure_lesson
from putt_posture.report import store_lesson
from putt_posture.values import MEASURES, Estimate, Fit, Lesson, MeasureName, Posture, Student, absent

PRESENT: Mapping[MeasureName, Estimate] = {
    "spine_tilt": Estimate(value=31.26, standard_uncertainty=2.0, unit="deg", view="down_the_line", frames=12),
    "hand_offset": Estimate(value=-4.0, standard_uncertainty=0.5, unit="cm", view="down_the_line", frames=12),
    "elbow_gap_lead": Estimate(value=1.0, standard_uncertainty=2.0, unit="cm", view="face_on", frames=9, floor=0.0),
    "elbow_bend_lead": Estimate(value=24.0, standard_uncertainty=3.0, unit="deg"),
}
MEASURE = inspect.signature(measure_lesson)
STORE = inspect.signature(store_lesson)
NO_BALL = "No ball was found in the picture."


def made_up_lesson(student: Student) -> Lesson:
    estimates = {
        name: PRESENT.get(name) or absent(NO_BALL, unit=unit, view=views[0]) for name, (unit, views) in MEASURES.items()
    }
    fit = Fit(
        putter_length=Estimate(value=85.1, standard_uncertainty=1.5, unit="cm"),
        stock_length_in=33.5,
        lie=Estimate(value=71.0, standard_uncertainty=1.0, unit="deg"),
    )
    return Lesson(
        student=student, views={}, posture=Posture(estimates=estimates), fit=fit, warnings=("The lens stood low.",)
    )


class Calls:
    """What the command asked the library for, and what the library does then."""

    def __init__(self) -> None:
        self.measured: dict[str, Any] = {}
        self.stored: dict[str, Any] = {}
        self.before_measuring: Callable[[], None] = lambda: None
        self.before_storing: Callable[[], None] = lambda: None

    def measure_lesson(self, **arguments: Any) -> Lesson:
        MEASURE.bind(**arguments)
        self.measured = arguments
        self.before_measuring()
        if arguments["progress"] is not None:
            arguments["progress"]("Following the student", 0.5)
        return made_up_lesson(arguments["student"])

    def store_lesson(self, lesson: Lesson, folder: Path, **arguments: Any) -> Path:
        STORE.bind(lesson, folder, **arguments)
        self.stored = {"folder": folder, **arguments}
        self.before_storing()
        folder.mkdir(parents=True, exist_ok=True)
        document = {"schema": 2, "measures": {"spine_tilt": {"value": lesson.posture["spine_tilt"].value}}}
        (folder / "measures.json").write_text(json.dumps(document))
        (folder / "report.html").write_text("<!doctype html>")
        return folder


@pytest.fixture
def calls(monkeypatch: pytest.MonkeyPatch) -> Calls:
    calls = Calls()
    monkeypatch.setattr("putt_posture.lesson.measure_lesson", calls.measure_lesson)
    monkeypatch.setattr("putt_posture.report.store_lesson", calls.store_lesson)
    return calls


@pytest.fixture
def measure(calls: Calls, tmp_path: Path) -> Callable[..., int]:
    """Run ``putt-posture measure`` on two clips with the options that must be there, and some more."""

    def run(*more: str, clips: tuple[str, ...] = ("--down-the-line", "dtl.mov", "--face-on", "fo.mov")) -> int:
        needed = ("--stature", "178cm", "--handed", "right", "--out", str(tmp_path / "out"))
        return main(["measure", *clips, *needed, *more])

    return run
