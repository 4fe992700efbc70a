"""What the README says can be done."""

import re
import runpy
import shlex
from pathlib import Path

from PIL import Image

import putt_posture
from putt_posture.cli import main
from putt_posture.cli.stopping import FAULT, STOPPED, USAGE_FAULT
from putt_posture.filming import load_page
from putt_posture.guide.make_options import PAGE, write_options

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
GUIDE = ROOT / "putt_posture" / "guide"
PAGES = ("README.md", "DEVELOPERS.md", *(f"putt_posture/guide/{each.name}" for each in sorted(GUIDE.glob("*.md"))))


def run_example(about: str) -> dict:
    """Run the one example in Python that names something, and return what it made."""
    pages = README + (GUIDE / "archive.md").read_text(encoding="utf-8")
    (example,) = (each for each in re.findall(r"```python\n(.*?)```", pages, re.S) if about in each)
    names: dict = {}
    exec(compile(example, "README.md", "exec"), names)
    return names


def test_python_example_runs_and_prints_the_tilt(calls, capsys, monkeypatch, tmp_path) -> None:
    monkeypatch.setattr(putt_posture, "measure_lesson", lambda **more: calls.measure_lesson(progress=None, **more))
    monkeypatch.setattr(putt_posture, "store_lesson", calls.store_lesson)
    monkeypatch.chdir(tmp_path)
    run_example("measure_lesson")
    assert capsys.readouterr().out == "31.3 ± 3.9 deg\n"
    assert calls.measured["student"].stature_cm == 177.8
    assert (tmp_path / "report" / "measures.json").exists()


def test_two_lines_read_the_archive_into_pandas(monkeypatch, tmp_path) -> None:
    monkeypatch.setenv("PUTT_POSTURE_ARCHIVE", str(tmp_path / "archive"))
    frames = run_example("read_frames")["frames"]
    assert {"students", "lessons", "measures", "fits", "practice"} <= set(frames)
    assert frames["measures"].empty


def test_links_lead_to_files_that_are_there() -> None:
    for name in PAGES:
        text = (ROOT / name).read_text(encoding="utf-8")
        for link in re.findall(r"\]\((?!http)([^)#]+)\)|src=\"([^\"]+)\"", text):
            assert ((ROOT / name).parent / "".join(link)).exists(), (name, link)


def test_each_set_up_command_follows_its_marker_and_makes_its_own_environment() -> None:
    for mark in ("main", "test"):
        (command,) = re.findall(rf"<!-- {mark} command -->\n```sh\n(.*)\n```", README)
        assert command.startswith("python3 -m venv .venv && .venv/bin/pip install ")


def block_after(mark: str) -> str:
    """Return the one code block that follows a marker."""
    (block,) = re.findall(rf"<!-- {mark} -->\n```\w+\n(.*?)\n```", README, re.S)
    return block


def test_second_command_can_be_pasted_and_measures_the_clips_that_it_names(calls, monkeypatch, tmp_path) -> None:
    program, *arguments = shlex.split(block_after("second command").replace("\\\n", " "))
    assert program == ".venv/bin/putt-posture"
    clips = [each for each in arguments if each.endswith(".mp4")]
    assert len(clips) == 2
    assert all((ROOT / each).is_file() for each in clips)
    monkeypatch.chdir(tmp_path)
    assert main(arguments) == 0
    assert [calls.measured["down_the_line"], calls.measured["face_on"]] == list(map(Path, clips))
    assert (tmp_path / "report" / "report.html").exists()


def test_rules_of_filming_are_those_of_the_page_on_filming() -> None:
    (rules,) = re.findall(r"<!-- five rules -->\n(.*?)\n\n", README, re.S)
    assert re.findall(r"^\d", rules, re.M) == list("12345")
    assert rules in load_page()


def test_page_of_options_is_what_the_help_says() -> None:
    assert PAGE.read_text(encoding="utf-8") == write_options()


def test_exit_codes_are_on_the_page() -> None:
    page = (GUIDE / "running.md").read_text(encoding="utf-8")
    assert re.findall(r"^\| (\d+) \|", page, re.M) == ["0", str(FAULT), str(USAGE_FAULT), str(STOPPED)]


def test_pictures_are_small_and_as_wide_as_their_maker_makes_them() -> None:
    folder = ROOT / "sample_clips" / "pictures"
    maker = runpy.run_path(str(folder / "make_pictures.py"))
    pictures = sorted(folder.glob("*.jpg"))
    assert {each.name for each in pictures} == set(maker["PICTURES"])
    assert sum(each.stat().st_size for each in pictures) < 430_000
    for each in pictures:
        assert f'src="sample_clips/pictures/{each.name}"' in README
        with Image.open(each) as image:
            image.load()
            assert image.width == maker["WIDE_PX"][each.name]


def test_prose_is_wrapped() -> None:
    for page in (ROOT / "README.md", ROOT / "putt_posture" / "CHANGELOG.md", *GUIDE.glob("*.md")):
        inside = False
        for line in page.read_text(encoding="utf-8").splitlines():
            inside ^= line.startswith("```")
            assert inside or line.startswith(("|", "<img", "```", "## `")) or len(line) <= 100, (page, line)
