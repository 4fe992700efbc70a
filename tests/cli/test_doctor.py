"""The command ``doctor``: it says what is missing and how to get it."""

import subprocess
import sys

import pytest

from putt_posture import doctor
from putt_posture.cli import main
from putt_posture.errors import InstallationError


def test_whole_installation_passes(capsys) -> None:
    assert main(["doctor"]) == 0
    said = capsys.readouterr().out
    for part in ("mediapipe", "H.264", "HEVC, 10 bit", "HEIC", "Pose model, large", "PDF report", "Font"):
        assert part in said
    assert "MISSING" not in said


def test_altered_pose_model_is_missing(capsys, monkeypatch) -> None:
    def refuse(size: str) -> None:
        raise InstallationError("The pose model has another digest.")

    monkeypatch.setattr("putt_posture.landmarks.model.load_weights", refuse)
    assert main(["doctor"]) == 1
    said = capsys.readouterr()
    assert "MISSING" in said.out
    assert "The pose model has another digest." in " ".join(said.out.split())
    assert "pip install" in said.out
    assert said.err.startswith("putt-posture: ")


@pytest.mark.parametrize(
    "lost",
    [
        *("attrs", "numpy", "rich"),
        *(
            pytest.param(each, marks=pytest.mark.whole)
            for each in ("av", "cv2", "matplotlib", "mediapipe", "packaging", "typst")
        ),
    ],
)
def test_doctor_works_whichever_library_is_lost(lost) -> None:
    script = f"import sys; sys.modules[{lost!r}] = None; from putt_posture.cli import run; run()"
    done = subprocess.run([sys.executable, "-c", script, "doctor"], capture_output=True, text=True, check=False)
    assert done.returncode == (0 if lost == "rich" else 1)
    assert ("MISSING" in done.stdout) == (lost != "rich")
    assert "Traceback" not in done.stderr
    assert "Font of the stills" in done.stdout


def test_other_command_sends_to_the_doctor_where_a_library_is_lost() -> None:
    script = "import sys; sys.modules['cv2'] = None; from putt_posture.cli import run; run()"
    command = [sys.executable, "-c", script, "measure", "--face-on", "a.mov", "--height", "178cm", "--handed", "right"]
    done = subprocess.run([*command, "--out", "never"], capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert done.stderr.count("\n") == 1
    assert "putt-posture doctor" in done.stderr


@pytest.mark.parametrize("columns", [60, 80])
def test_findings_fit_a_narrow_terminal(capsys, monkeypatch, columns) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    assert main(["doctor"]) == 0
    assert max(map(len, capsys.readouterr().out.splitlines())) <= columns


def test_rare_codec_may_be_absent(capsys, monkeypatch) -> None:
    monkeypatch.setattr(doctor, "_CODECS", (("A rare one", "no_such_decoder", "none", "yuv420p", False),))
    assert main(["doctor"]) == 0
    said = capsys.readouterr().out
    assert "absent" in said
    assert "A rare one: " in said


def test_needed_codec_may_not_be_absent(capsys, monkeypatch) -> None:
    monkeypatch.setattr(doctor, "_CODECS", (("A common one", "no_such_decoder", "none", "yuv420p", True),))
    assert main(["doctor"]) == 1
    assert "A common one" in capsys.readouterr().out


def test_codec_that_decodes_wrongly_is_found_out(monkeypatch) -> None:
    monkeypatch.setattr(doctor, "_decode_what_was_encoded", lambda *_: 60.0)
    (finding,) = (found for found in doctor.read_installation() if found.part == "H.264")
    assert not finding.works
    assert "60 grey levels" in finding.found


def test_library_that_is_too_old_is_named_with_its_remedy(monkeypatch) -> None:
    monkeypatch.setattr(doctor.metadata, "requires", lambda _: ["click>=999"])
    (finding,) = (found for found in doctor.read_installation() if found.part == "click")
    assert not finding.works
    assert finding.remedy == "pip install 'click>=999'"


def test_library_that_is_not_installed_is_named(monkeypatch) -> None:
    monkeypatch.setattr(doctor.metadata, "requires", lambda _: ["surely-not-installed>=1"])
    (finding,) = (found for found in doctor.read_installation() if found.part == "surely-not-installed")
    assert finding.found == "not installed"


@pytest.mark.parametrize("extra", ["checks"])
def test_libraries_of_the_checks_are_not_asked_for(extra) -> None:
    assert "pytest" not in {finding.part for finding in doctor.read_installation()}
