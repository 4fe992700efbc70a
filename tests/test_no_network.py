"""No command looks up a name, opens a connection or runs a foreign program; the notebooks' tests watch theirs."""

import os
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from network_watch import needs_watch, run_watched

pytestmark = needs_watch

PICTURES = Path(__file__).parent / "landmarks" / "pictures"
SIDE, FRONT = (str(PICTURES / f"golfer_{view}.jpg") for view in ("down_the_line", "face_on"))
SEEN = ["--down-the-line", SIDE, "--face-on", FRONT]
PYTHON = Path(sys.executable).resolve()
STUDENT = ["--height", "178cm", "--handed", "right"]


@pytest.fixture(scope="module")
def place(tmp_path_factory) -> Path:
    return tmp_path_factory.mktemp("no_network")


@pytest.fixture(scope="module")
def putt_posture(place):
    """Run the command watched, in a folder of its own with an archive of its own."""
    environment = {**os.environ, "PUTT_POSTURE_ARCHIVE": str(place / "archive")}

    def run(*arguments: str, code: int = 0, before: str = "pass") -> str:
        script = f"from putt_posture.cli import run; {before}; run()"
        done, reached, programs = run_watched([sys.executable, "-c", script, *arguments], cwd=place, env=environment)
        assert reached == []
        others = {Path(program).name for program in programs if Path(program).resolve() != PYTHON}
        assert others <= {"fc-list"}  # which asks, once, where the system's fonts are
        assert done.returncode == code, done.stderr
        return done.stdout + done.stderr

    return run


@pytest.fixture(scope="module")
def measured(putt_posture) -> str:
    putt_posture("measure", *SEEN, *STUDENT, "--out", "measured")
    return "measured"


def test_the_watch_sees_a_name_that_is_looked_up_and_a_connection() -> None:
    lookup = "import socket\ntry:\n    socket.getaddrinfo('putting.invalid', 80)\nexcept OSError:\n    pass"
    connection = "import socket; socket.socket().connect_ex(('127.0.0.1', 9))"
    for script in (lookup, connection):
        assert run_watched([sys.executable, "-c", script]).reached


def test_measuring_reaches_nothing(measured, place) -> None:
    assert (place / measured / "report.html").is_file()


@pytest.mark.whole
def test_filing_with_hidden_heads_and_comparing_reach_nothing(putt_posture, measured) -> None:
    """One view of two: each takes the same way."""
    putt_posture("archive", "enrol", "Parker Puttwell", *STUDENT, "--born", "1990-04-01")
    consent = ("--for", "filming,measures,pictures", "--given-by", "Parker Puttwell")
    putt_posture("archive", "consent", "1", *consent)
    putt_posture("archive", "file", "1", "--face-on", FRONT, "--moment", "before", "--without-clips")
    putt_posture("archive", "history", "1", "--out", "history")
    putt_posture("archive", "export", "1", "--out", "export.zip")
    putt_posture("compare", measured, "lesson:1", "--out", "comparison")


@pytest.mark.whole
def test_the_demo_reaches_nothing(putt_posture) -> None:
    """One sample of four: each takes the same way."""
    few = "import putt_posture.demo as demo; all = demo.load_samples; demo.load_samples = lambda: all()[:1]"
    assert "true values" in putt_posture("demo", "--out", "demo", before=few)


def test_errors_reach_nothing(putt_posture) -> None:
    putt_posture("measure", "--face-on", "not_there.mov", *STUDENT, "--out", "never", code=1)
    nobody = "import numpy, PIL.Image; PIL.Image.fromarray(numpy.full((640, 480, 3), 99, 'u1')).save('empty.png')"
    putt_posture("measure", "--face-on", "empty.png", *STUDENT, "--out", "never", code=1, before=nobody)


def test_a_stopped_run_reaches_nothing(putt_posture) -> None:
    """Ctrl-C comes while the large model is at work."""
    stop = (
        "import os, signal, putt_posture.landmarks.find as find; look = find.detect_in_crop; "
        "find.detect_in_crop = lambda *given, **more: (look(*given, **more), os.kill(os.getpid(), signal.SIGINT))[0]"
    )
    said = putt_posture("measure", *SEEN, *STUDENT, "--out", "stopped", code=130, before=stop)
    assert "Stopped" in said


def test_the_doctor_reaches_nothing(putt_posture) -> None:
    putt_posture("doctor")
