"""The command as a whole: its help, its exit codes, and what becomes of errors."""

import os
import re
import shutil
import subprocess
import sys
from importlib import metadata
from pathlib import Path

import click
import pytest

import putt_posture
from putt_posture.cli import main
from putt_posture.cli.program import program

README = Path(__file__).parents[2] / "README.md"
OPTIONS = Path(putt_posture.__file__).parent / "guide" / "options.md"
COMMANDS = sorted(program.commands)
HEAVY = ("av", "cv2", "matplotlib", "mediapipe", "numpy", "pandas", "rich", "scipy")


def run(*arguments: str, **more: object) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "putt_posture", *arguments]
    return subprocess.run(command, capture_output=True, text=True, stdin=subprocess.DEVNULL, check=False, **more)  # type: ignore[call-overload,no-any-return]


def test_help_imports_nothing_heavy() -> None:
    script = (
        "import sys; from putt_posture.cli import main; main(['measure', '--help']); "
        f"print([name for name in {HEAVY!r} if name in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stderr.strip() == "[]"
    assert "--down-the-line" in done.stdout


@pytest.mark.parametrize("arguments", [["--help"], ["-h"], *([name, "--help"] for name in COMMANDS)])
def test_help_exits_with_nought(arguments, capsys) -> None:
    assert main(arguments) == 0
    assert "Usage: putt-posture" in capsys.readouterr().out


def test_version_is_that_of_the_package(capsys) -> None:
    assert main(["--version"]) == 0
    assert capsys.readouterr().out.strip() == f"putt-posture {metadata.version('putt_posture')}"


def test_call_without_a_command_shows_the_help_and_exits_with_two(capsys) -> None:
    assert main([]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "Commands:" in said.err


NEEDED = ["--height", "178cm", "--handed", "right", "--out", "never"]


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["measure", *NEEDED], "No clip was given. Give --down-the-line CLIP, --face-on CLIP, or both."),
        (["measure", "--face-on", "a.mov", "--handed", "right", "--out", "never"], "Missing option '--height'."),
        (["measure", "--face-on", "a.mov", *NEEDED, "--height", "178"], "has no unit"),
        (["measure", "--face-on", "a.mov", *NEEDED, "--height", "178 bananas"], "unknown unit 'bananas'"),
        (["measure", "--face-on", "a.mov", *NEEDED, "--putter-length", "long"], "'--putter-length'"),
        (["measure", "--face-on", "a.mov", *NEEDED, "--handed", "both"], "'both' is not one of"),
        (["measure", "--face-on", "a.mov", *NEEDED, "--setup-at", "soon"], "The time 'soon' cannot be read."),
        (["measure", "--face-on", "a.mov", *NEEDED, "--setup-at", "1:75"], "The time '1:75' cannot be read."),
        (["measure", "--face-on", "a.mov", *NEEDED, "--capture-rate", "0"], "The capture rate '0' cannot be read."),
        (["measure", "--face-on", "a.mov", *NEEDED, "--camera-roll", "200"], "The angle '200' cannot be read."),
        (["measure", "--face-on", "a.mov", *NEEDED, "--ball-at", "12"], "The picture point '12' cannot be read."),
        (["measure", "--face-on", "a.mov", *NEEDED, "--shaft-at", "1,2"], "where two picture points were needed"),
        (["measure", "--face-on", "a.mov", *NEEDED, "--scale-object", "120cm"], "The scale object '120cm' cannot be"),
        (["measure", "--face-on", "a.mov", *NEEDED, "--colour", "red"], "No such option"),
        (["measur"], "No such command"),
    ],
)
def test_mistake_in_the_call_is_one_sentence_and_exit_code_two(arguments, says, capsys) -> None:
    assert main(arguments) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith("putt-posture: ")
    assert said.err.count("\n") == 1
    assert says in said.err
    assert "Traceback" not in said.err
    assert not Path("never").exists()


@pytest.mark.parametrize("name", COMMANDS)
def test_each_command_is_in_the_readme(name) -> None:
    assert f"putt-posture {name}" in README.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("name", "option"),
    [
        (name, option)
        for name in COMMANDS
        for parameter in program.commands[name].params
        if isinstance(parameter, click.Option)
        for option in parameter.opts
        if option not in ("--stature", "--settings")  # old names, which are not shown
    ],
)
def test_each_option_is_on_the_page_of_options_and_has_help(name, option) -> None:
    assert re.search(rf"`[^`]*{option}\b", OPTIONS.read_text(encoding="utf-8"))
    (parameter,) = (each for each in program.commands[name].params if option in each.opts)
    assert isinstance(parameter, click.Option)
    assert parameter.help


def test_reader_that_leaves_early_gets_no_traceback() -> None:
    reading, writing = os.pipe()
    os.close(reading)
    done = subprocess.run(
        [sys.executable, "-m", "putt_posture", "filming"],
        stdout=writing,
        stderr=subprocess.PIPE,
        text=True,
        check=False,
    )
    os.close(writing)
    assert done.stderr == ""
    assert done.returncode == 1


def test_terminal_without_the_signs_gets_others_in_their_place() -> None:
    done = run("filming", env={**os.environ, "PYTHONIOENCODING": "ascii"})
    assert done.returncode == 0
    assert "spine tilt of 40? reads 39.6?" in " ".join(done.stdout.split())


def test_missing_clip_leaves_no_folder(tmp_path) -> None:
    out = tmp_path / "out"
    arguments = ["measure", "--face-on", str(tmp_path / "none.mov"), *NEEDED, "--out", str(out)]
    done = run(*arguments)
    assert done.returncode == 1
    assert done.stderr.count("\n") == 1
    assert "none.mov" in done.stderr
    assert not out.exists()


@pytest.mark.skipif(os.name == "nt", reason="Windows has no interrupt signal for one process")
def test_interrupt_stops_the_process_with_one_sentence(tmp_path) -> None:
    script = (
        "import os, signal, sys, time; import putt_posture.lesson as lesson; from putt_posture.cli import run; "
        "lesson.measure_lesson = lambda **_: (os.kill(os.getpid(), signal.SIGINT), time.sleep(60)); run()"
    )
    command = [sys.executable, "-c", script, "measure", "--face-on", "a.mov", *NEEDED, "--out", str(tmp_path / "out")]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 130
    assert done.stderr.strip() == "putt-posture: Stopped. Nothing was written."
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("arguments", "missing"),
    [
        (
            ["measure"],
            "Missing: --down-the-line CLIP or --face-on CLIP, --height LENGTH, --handed [right|left] and --out DIR.",
        ),
        (
            ["measure", "--face-on", "a.mov"],
            "Missing: --height LENGTH, --handed [right|left] and --out DIR.",
        ),
        (["archive", "enrol"], "Missing: NAME..., --height LENGTH and --handed [right|left]."),
        (["archive", "file"], "Missing: NUMBER and --moment [before|after|check]."),
    ],
)
def test_all_that_is_missing_is_named_in_one_sentence(arguments, missing, capsys) -> None:
    assert main(arguments) == 2
    said = capsys.readouterr().err
    assert said.startswith(f"putt-posture: {missing} See: ")
    assert said.count("\n") == 1


@pytest.mark.skipif(shutil.which("bash") is None, reason="the completion of bash is tried in bash")
def test_bash_completes_options_and_values() -> None:
    script = run_with("bash_source").stdout
    assert "complete" in script
    for typed, at, expected in (
        ("putt-posture measure --fa", "2", "plain,--face-on"),
        ("putt-posture archive overv", "2", "plain,overview"),
        ("putt-posture measure --handed R", "3", "plain,right"),
    ):
        done = run_with("bash_complete", COMP_WORDS=typed, COMP_CWORD=at)
        assert done.stdout.split() == [expected], done.stderr


def run_with(instruction: str, **more: str) -> subprocess.CompletedProcess[str]:
    program = Path(sys.executable).parent / "putt-posture"
    environment = {**os.environ, "_PUTT_POSTURE_COMPLETE": instruction, **more}
    return subprocess.run([program], env=environment, capture_output=True, text=True, check=False)
