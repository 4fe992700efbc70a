"""A lesson made up for the command's tests, and the library functions that the command calls, replaced by it."""

import inspect
import json
import shutil
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest
from attrs import evolve

sys.path.insert(0, str(Path(__file__).parent))

from academy import contents_of, find_academy, make_result_folders

from putt_posture.cli import main
from putt_posture.disk.folders import fresh_folder
from putt_posture.lesson import measure_lesson
from putt_posture.measures import MEASURES
from putt_posture.pages import store_lesson
from putt_posture.values import Estimate, Fit, Interview, Lesson, MeasureName, Posture, Student, absent

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
        name: PRESENT.get(name) or absent(NO_BALL, unit=measure.unit, view=measure.views[0])
        for name, measure in MEASURES.items()
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
        return evolve(made_up_lesson(arguments["student"]), interview=arguments.get("interview") or Interview())

    def store_lesson(self, lesson: Lesson, folder: Path, **arguments: Any) -> Path:
        STORE.bind(lesson, folder, **arguments)
        self.stored = {"folder": folder, **arguments}
        self.before_storing()
        document = {"schema": 2, "measures": {"spine_tilt": {"value": lesson.posture["spine_tilt"].value}}}
        with fresh_folder(folder, replace=arguments.get("replace", False)) as part:
            (part / "measures.json").write_text(json.dumps(document))
            (part / "report.html").write_text("<!doctype html>")
        return folder


@pytest.fixture
def calls(monkeypatch: pytest.MonkeyPatch) -> Calls:
    calls = Calls()
    monkeypatch.setattr("putt_posture.lesson.measure_lesson", calls.measure_lesson)
    monkeypatch.setattr("putt_posture.pages.store_lesson", calls.store_lesson)
    return calls


@pytest.fixture
def measure(calls: Calls, tmp_path: Path) -> Callable[..., int]:
    """Run ``putt-posture measure`` on two clips with the options that must be there, and some more."""

    def run(*more: str, clips: tuple[str, ...] = ("--down-the-line", "dtl.mov", "--face-on", "fo.mov")) -> int:
        needed = ("--height", "178cm", "--handed", "right", "--out", str(tmp_path / "out"))
        return main(["measure", *clips, *needed, *more])

    return run


@pytest.fixture(autouse=True)
def archive_place(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """Where the command finds its archive; nothing is there yet, and nobody's own archive is touched."""
    place = tmp_path / "archive"
    monkeypatch.setenv("PUTT_POSTURE_ARCHIVE", str(place))
    monkeypatch.delenv("PUTT_POSTURE_ARCHIVE_FILES", raising=False)
    return place


@pytest.fixture(scope="session")
def results(made_once: Callable[..., Path]) -> Path:
    """The folder with ``result``, ``rebuilt`` and ``later``, which measure might have written, and two clips."""
    return made_once("results", make_result_folders)


@pytest.fixture(scope="session")
def made_academy(made_once: Callable[..., Path]) -> Path:
    return find_academy(made_once)


@pytest.fixture
def academy(made_academy: Path, archive_place: Path) -> Path:
    """The archive of two students, where the command finds it."""
    shutil.copytree(made_academy, archive_place)
    return archive_place


@pytest.fixture
def archive(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Callable[..., str]:
    """Run ``putt-posture archive`` with words, see that it went well, and return what it printed."""
    monkeypatch.setenv("COLUMNS", "80")

    def run(*words: object) -> str:
        code = main(["archive", *map(str, words)])
        said = capsys.readouterr()
        assert code == 0, said.err
        assert said.err == ""
        return said.out

    return run


@pytest.fixture
def refused(archive_place: Path, capsys: pytest.CaptureFixture[str]) -> Callable[..., str]:
    """Run the command with words, see that it refuses in one sentence and leaves the archive alone; return that."""

    def run(*words: object, code: int) -> str:
        held = contents_of(archive_place)
        assert main([str(word) for word in words]) == code
        said = capsys.readouterr().err
        assert said.count("putt-posture: ") == 1, said
        sentence = said[said.index("putt-posture: ") :]
        assert sentence.endswith("\n")
        assert sentence.count("\n") == 1, said
        assert "Traceback" not in said
        assert contents_of(archive_place) == held
        return sentence

    return run
