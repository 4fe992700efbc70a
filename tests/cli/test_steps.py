"""The command ``steps``: lessons side by side, in order."""

import shutil
from datetime import date

import pytest
from compared import AFTER_ON, make_after

from putt_posture.cli import main
from putt_posture.pages import store_lesson


@pytest.fixture(scope="module")
def lessons(folder, tmp_path_factory):
    place = tmp_path_factory.mktemp("lessons")
    shutil.copytree(folder, place / "before")
    store_lesson(make_after(step="Tilt from the hips"), place / "after", made_on=AFTER_ON)
    return place


def test_page_is_written_and_what_moved_is_printed(lessons, tmp_path, capsys) -> None:
    out = tmp_path / "out"
    assert main(["steps", str(lessons / "before"), str(lessons / "after"), "--out", str(out)]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "2 Tilt from the hips" in said
    assert "taken in the first and in the last changed by more than the noise" in said
    assert f"Open {out / 'steps.html'}" in said
    assert (out / "steps.html").exists()
    assert (out / "stills" / "down_the_line_2.png").exists()


@pytest.mark.parametrize(
    ("given", "says"),
    [
        (["before"], "1 lesson was given; 2 to 8 are needed"),
        (["before"] * 9, "9 lessons were given; 2 to 8 are needed"),
        (["before", "before"], "are the same lesson"),
        (["before", "nowhere"], "nowhere"),
    ],
)
def test_what_cannot_be_laid_out_is_one_sentence(lessons, tmp_path, capsys, given, says) -> None:
    out = tmp_path / "out"
    assert main(["steps", *(str(lessons / each) for each in given), "--out", str(out)]) == 2
    assert says in " ".join(capsys.readouterr().err.split())
    assert not out.exists()


@pytest.mark.parametrize(
    ("more", "named"), [(["--coach-file", "mine.toml"], "--coach-file"), (["--day", "2026-11-03"], "--day")]
)
def test_options_of_clips_are_refused_beside_lessons(lessons, tmp_path, capsys, more, named) -> None:
    places = [str(lessons / each) for each in ("before", "after")]
    assert main(["steps", *places, *more, "--out", str(tmp_path / "out")]) == 2
    assert f"{named} is for clips" in " ".join(capsys.readouterr().err.split())


@pytest.fixture
def marked(monkeypatch):
    """What `lay_out_marked` is given; it ends there."""
    from putt_posture import services
    from putt_posture.errors import UsageError

    given = {}

    def stop(*_all, **named):
        given.update(named)
        raise UsageError("This is far enough.")

    monkeypatch.setattr(services, "lay_out_marked", stop)
    return given


def test_marked_steps_are_those_of_the_coachs_file_and_of_the_day(marked, tmp_path) -> None:
    clip, mine = tmp_path / "clip.mp4", tmp_path / "mine.toml"
    clip.write_bytes(b"")
    mine.write_text('[steps.shoulders_back]\ntitle = "Wide chest"\n', encoding="utf-8")
    command = [
        "steps",
        "--down-the-line",
        str(clip),
        "--height",
        "173cm",
        "--handed",
        "right",
        "--out",
        str(tmp_path / "o"),
    ]
    command += ["--at", "2 putter down", "--at", "4 wide chest", "--coach-file", str(mine), "--day", "2026-11-03"]
    assert main(command) == 2
    assert "Wide chest" in [step.title for step in marked["coach"].steps]
    assert marked["day"] == date(2026, 11, 3)


def test_number_that_is_none_is_refused_before_the_archive_is_opened(tmp_path, capsys) -> None:
    assert main(["steps", "lesson:one", "lesson:2", "--out", str(tmp_path / "out")]) == 2
    assert "is not a lesson of the archive" in capsys.readouterr().err


def test_lessons_of_the_archive_are_laid_out(academy, archive_place, tmp_path, capsys) -> None:
    assert main(["steps", "lesson:1", "lesson:2", "lesson:3", "--out", str(tmp_path / "out")]) == 0
    assert "3 With the putter" in capsys.readouterr().out
