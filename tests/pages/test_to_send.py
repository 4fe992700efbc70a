"""One picture to send: portrait, a sentence, stills as they may be shown, three numbers, and no name."""

import io
from datetime import date

import numpy as np
import pytest
from attrs import evolve
from changed_lesson import make_changed_lesson
from compared import AFTER_ON, make_after
from invented import advise, make_lesson
from made_up_students import LONG_NAME, named, three_findings, without, without_pictures
from PIL import Image

from putt_posture.comparison import compare
from putt_posture.drawing.to_send import SIZE, SentNumber, draw_to_send
from putt_posture.pages import store_comparison, store_lesson
from putt_posture.pages import to_send as module
from putt_posture.pages.to_send import TO_SEND, lesson_to_send


@pytest.fixture
def drawn(monkeypatch):
    """What is asked of the drawing, by its keywords."""
    asked = []

    def draw(stills, **more):
        asked.append({"stills": stills, **more})
        return draw_to_send(stills, **more)

    monkeypatch.setattr(module, "draw_to_send", draw)
    return asked


def open_picture(data):
    picture = Image.open(io.BytesIO(data))
    picture.load()
    return picture


def test_a_lesson_gives_one_portrait_picture_with_its_lead_three_numbers_and_what_to_change(drawn) -> None:
    lesson = advise(three_findings())
    picture = open_picture(lesson_to_send(lesson, made_on=date(2026, 5, 17)))
    assert picture.size == SIZE == (1080, 1350)
    (asked,) = drawn
    assert asked["says"] == lesson.findings.lead
    assert len(asked["numbers"]) == 3
    assert asked["below"] == f"Change: {lesson.findings.first.change}"
    assert asked["small"].startswith("17 May 2026.")


def test_numbers_fill_up_to_three_and_never_with_an_absent_one(drawn) -> None:
    lesson = without(make_lesson(), "spine_tilt", why="Hidden.")
    lesson_to_send(lesson)
    titles = [each.title for each in drawn[0]["numbers"]]
    assert len(titles) == 3
    assert "Spine tilt" not in titles


def test_a_name_is_in_no_picture_to_send(drawn) -> None:
    one, two = (lesson_to_send(named(make_lesson(), name)) for name in (LONG_NAME, "Lee"))
    assert one == two


def test_the_still_is_the_one_of_the_lesson_so_a_head_that_is_hidden_in_it_is_hidden_here(drawn) -> None:
    lesson = make_lesson()
    painted = {
        view: evolve(result, still=evolve(result.still, picture=np.full_like(result.still.picture, 99)))
        for view, result in lesson.views.items()
    }
    lesson_to_send(evolve(lesson, views=painted, faces_hidden=True))
    assert (drawn[0]["stills"][0][1] == 99).all()


def test_a_lesson_whose_pictures_were_erased_gives_none() -> None:
    lesson = make_lesson(views=("face_on",))
    bare = {view: evolve(result, still=evolve(result.still, erased=True)) for view, result in lesson.views.items()}
    assert lesson_to_send(evolve(lesson, views=bare)) is None


def test_a_comparison_gives_before_and_after_at_one_scale_with_what_changed(drawn, tmp_path) -> None:
    compared = compare(make_changed_lesson(), make_after())
    place = store_comparison(compared, tmp_path / "out", made_on=AFTER_ON)
    assert open_picture((place / TO_SEND).read_bytes()).size == SIZE
    (asked,) = drawn
    assert [name.split()[0] for name, _ in asked["stills"]] == ["before", "after"]
    assert len({picture.shape for _, picture in asked["stills"]}) == 1
    assert asked["says"] == "Changed: spine tilt and hands to shoulders."
    assert [each.says for each in asked["numbers"]] == ["changed", "changed", "within the noise"]


def test_without_consent_for_pictures_there_is_none(tmp_path) -> None:
    compared = without_pictures(compare(make_changed_lesson(), make_after()))
    place = store_comparison(compared, tmp_path / "out")
    assert not (place / TO_SEND).exists()


def test_a_result_folder_holds_it_and_the_archive_does_not_read_it(tmp_path) -> None:
    from putt_posture.records import read_result_folder

    place = store_lesson(make_lesson(), tmp_path / "report")
    assert (place / TO_SEND).is_file()
    assert TO_SEND not in read_result_folder(place).names


@pytest.mark.parametrize("says", ["", "short", "word " * 200, "W" * 300])
def test_whatever_is_written_stays_inside_the_picture(says) -> None:
    numbers = [SentNumber(title=says, figure=says, says=says)] * 3
    tall, wide = np.zeros((1600, 400, 3), np.uint8), np.zeros((300, 1600, 3), np.uint8)
    for stills in ([("", tall)], [("", wide)], [("before " + says, tall), ("after", wide)]):
        picture = draw_to_send(stills, says=says, numbers=numbers, below=says, small=says)
        assert picture.shape == (SIZE[1], SIZE[0], 3)
        assert len(np.unique(picture[20:, -4:].reshape(-1, 3), axis=0)) == 1, "the right edge is paper"
        assert len(np.unique(picture[-4:].reshape(-1, 3), axis=0)) == 1, "and so is the foot"
