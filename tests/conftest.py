"""What all tests share: the stick golfer's folder on the path, one thread for each small matrix, a state folder."""

import functools
import gc
import hashlib
import os
import pickle
import shutil
import sys
from datetime import date
from pathlib import Path

import pytest
from filelock import FileLock
from hypothesis import settings

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the command has it; numpy reads it when it is first imported
sys.path.insert(0, str(Path(__file__).parent / "archive"))
sys.path.insert(0, str(Path(__file__).parent / "accuracy"))
sys.path.insert(0, str(Path(__file__).parent / "strokes"))
sys.path.insert(0, str(Path(__file__).parent))

from changed_lesson import make_changed_lesson
from compared import AFTER_ON, make_after
from events_once import found_once
from invented import MADE_ON, make_lesson
from kept_detections import detect_or_take, parts_of_detection
from remembered import remember_checks, remember_statements

from putt_posture.archive.db import engine
from putt_posture.comparison import compare
from putt_posture.detection.detect import detect_in_clips
from putt_posture.drawing.stills import draw_stills
from putt_posture.landmarks import heads
from putt_posture.lesson import measure_lesson
from putt_posture.pages import store_lesson
from putt_posture.pages.comparison import draw_pictures, write_comparison
from putt_posture.records import read_result_folder
from putt_posture.strokes.events import find_events
from putt_posture.strokes.measure import measure_strokes
from putt_posture.values import Student

DETECTIONS = "PUTT_POSTURE_TEST_DETECTIONS"
"""Where this variable is set, it names the folder of the detections of a run of several steps, with the same code."""

settings.register_profile("project", deadline=None, max_examples=25)
settings.load_profile("project")


@pytest.hookimpl(wrapper=True)
def pytest_collect_file(file_path):
    """Search only those test files for doctests that have any. Only for speed; the program's files are all searched."""
    found = yield
    if file_path.suffix != ".py" or ">>>" in file_path.read_text(encoding="utf-8"):
        return found
    return [each for each in found if type(each) is pytest.Module]  # a module of doctests is a kind of its own


def pytest_collection_finish():
    """Keep what is there for good, modules and tests, out of every later search for garbage. Only for speed."""
    gc.collect()
    gc.freeze()


@pytest.fixture(scope="session", autouse=True)
def own_state(tmp_path_factory):
    """A state folder of this run's own, so that nobody's notes of unfinished work are touched, and no defaults."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_STATE_HOME", str(tmp_path_factory.mktemp("state")))
        patch.setenv("PUTT_POSTURE_DEFAULTS", str(tmp_path_factory.mktemp("defaults") / "defaults.toml"))
        yield


@pytest.fixture(scope="session", autouse=True)
def no_power_cuts():
    """No test in this process waits for the disk: a process may die, but not the machine. Only for speed.

    Tests of what is forced to the disk, and in which order, replace `os.fsync` by their own.
    """

    def set_up(connection, record, _set_up=engine._set_up_sqlite):
        _set_up(connection, record)
        connection.execute("PRAGMA synchronous=OFF")

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(engine, "_set_up_sqlite", set_up)
        patch.setattr(os, "fsync", lambda _number: None)
        yield


@pytest.fixture(scope="session")
def run_folder(tmp_path_factory):
    """A folder of this run alone, the same in all its processes."""
    base = tmp_path_factory.getbasetemp()
    return base.parent if os.environ.get("PYTEST_XDIST_WORKER") else base


@pytest.fixture(scope="session")
def made_once(run_folder):
    """Return what has a folder filled once in a run, for all its processes. Tests read what is in it, or copy it."""

    def make_or_take(name, fill):
        place = run_folder / "made" / name
        place.parent.mkdir(exist_ok=True)
        with FileLock(f"{place}.lock"):
            if not place.exists():
                begun = place.with_name(f"{name}.begun")
                shutil.rmtree(begun, ignore_errors=True)
                begun.mkdir()
                fill(begun)
                begun.rename(place)
        return place

    return make_or_take


@pytest.fixture(scope="session")
def detections_folder(run_folder):
    """Where detections of this run are kept, for all its processes, and for both steps where `.ci/run` names it."""
    return Path(os.environ.get(DETECTIONS) or run_folder / "detections")


@pytest.fixture(scope="session", autouse=True)
def detected_once(detections_folder):
    """What is in a clip is detected once in a run, for all tests in all processes that measure it as the command does.

    The folder is of this run alone, so that no result of other code is ever taken, but for the few that travel with
    the tests and are compared with fresh ones in the second step. While a test has replaced a part of detection,
    nothing is kept or taken. Tests of detection itself call `detect_in_clips`, which is not replaced, and what runs in
    a process of its own detects as usual.
    """
    written = parts_of_detection()

    def detect(clips, **given):
        now = parts_of_detection()
        if any(now.get(name) is not part for name, part in written.items()):
            return detect_in_clips(clips, **given)
        return detect_or_take(clips, cache=detections_folder, **given)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("putt_posture.lesson.detect_in_clips", detect)
        yield


@pytest.fixture(scope="session", autouse=True)
def events_found_once():
    """Events of strokes that a lesson measures are found once in a process for the same frames. Only for speed."""
    measured = functools.partial(measure_strokes, events_by=found_once(find_events))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("putt_posture.measuring.measure_strokes", measured)
        yield


@pytest.fixture(scope="session", autouse=True)
def heads_searched_once(run_folder):
    """Each picture is searched for heads once in a run, for all its processes. Only for speed."""
    folder = run_folder / "heads"
    folder.mkdir(exist_ok=True)

    def search(picture, _search=heads._search):
        place = folder / hashlib.sha256(repr(picture.shape).encode() + picture.tobytes()).hexdigest()
        if not place.exists():
            begun = place.with_suffix(f".{os.getpid()}")
            begun.write_bytes(pickle.dumps(_search(picture)))
            begun.rename(place)
        return pickle.loads(place.read_bytes())

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(heads, "_search", search)
        yield


@pytest.fixture(scope="session", autouse=True)
def checked_once():
    """The same stored file is checked once in a process, and the same statement of SQL translated. Only for speed."""
    with pytest.MonkeyPatch.context() as patch:
        remember_checks(patch)
        remember_statements(patch)
        yield


@pytest.fixture(scope="session")
def databases():
    """The PostgreSQL databases of this run's own, or None."""
    from places import own_databases

    with own_databases() as found:
        yield found


@pytest.fixture(scope="session")
def bucket_server():
    """A bucket server of this run's own."""
    from bucket_server import serve_buckets

    with serve_buckets() as server:
        yield server


@pytest.fixture
def bucket(bucket_server, monkeypatch):
    """The URL of a new bucket, with the keys to it in the environment."""
    for name, value in bucket_server.environment.items():
        monkeypatch.setenv(name, value)
    return bucket_server.make_bucket()


@pytest.fixture(scope="session")
def lesson():
    """The invented lesson."""
    return make_lesson()


@pytest.fixture(scope="session")
def one_view_lesson():
    return make_lesson(views=("face_on",), handed="left")


@pytest.fixture(scope="session")
def stills(lesson):
    return draw_stills(lesson)


@pytest.fixture(scope="session")
def invented_folder(made_once):
    """The result folder of the invented lesson."""

    def fill(place):
        store_lesson(make_lesson(), place / "report", made_on=MADE_ON)

    return made_once("invented", fill) / "report"


@pytest.fixture(scope="session")
def folder(invented_folder):
    """The same, for tests that have no folder of their own of this name."""
    return invented_folder


@pytest.fixture(scope="session")
def after_folder(made_once):
    """The result folder of a second lesson of the same student."""
    return made_once("after", lambda place: store_lesson(make_after(), place / "report", made_on=AFTER_ON)) / "report"


@pytest.fixture(scope="session")
def comparison(folder, after_folder):
    return compare(read_result_folder(folder), read_result_folder(after_folder))


@pytest.fixture(scope="session")
def pictures(comparison):
    return draw_pictures(comparison)


@pytest.fixture(scope="session")
def report(comparison, pictures):
    """The page of the comparison."""
    return write_comparison(comparison, pictures=pictures, made_on=date(2026, 8, 1))


@pytest.fixture(scope="session")
def whole(made_once):
    """The result folder of the invented lesson with ghost, curves, arcs and spec."""

    def fill(place):
        store_lesson(make_changed_lesson(), place / "report", made_on=MADE_ON)

    return made_once("whole", fill) / "report"


@pytest.fixture(scope="session")
def document(whole):
    """The text of its `measures.json`."""
    return (whole / "measures.json").read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def golfer_stills():
    """A still of a rendered golfer from each view."""
    pictures = Path(__file__).parent / "landmarks" / "pictures"
    return {view: pictures / f"golfer_{view}.jpg" for view in ("down_the_line", "face_on")}


@pytest.fixture(scope="session")
def golfer_folder(golfer_stills, made_once):
    """The result folder of a rendered golfer, measured from a still of each view, with all that measuring needs."""

    def fill(place):
        student = Student(stature_cm=175.0, handed="right", sex="male", putter_length_cm=88.9)
        store_lesson(measure_lesson(student=student, **golfer_stills), place / "report", made_on=MADE_ON)

    return made_once("golfer", fill) / "report"
