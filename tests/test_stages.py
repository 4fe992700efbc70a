"""Lessons laid side by side in order: the same numbers and the same judgement as between any two of them."""

import html
import io
import re
import shutil

import numpy as np
import pytest
from attrs import evolve
from changed_lesson import make_changed_lesson
from compared import AFTER_ON, make_after
from invented import MADE_ON, make_lesson
from pdf_text import read_pdf
from pypdf import PdfReader

from putt_posture.changes import find_changes
from putt_posture.comparison import compare
from putt_posture.drawing.side_by_side import cut_alike
from putt_posture.drawing.stills import as_jpeg
from putt_posture.errors import ArgumentError, OutputError, UsageError
from putt_posture.pages import store_lesson
from putt_posture.pages.stages import draw_stages, stages_as_html, stages_as_pdf, write_stages
from putt_posture.records import load_view, read_result_folder
from putt_posture.stages import MOST_STAGES, lay_out_stages
from putt_posture.values import LANDMARK_INDEX, VIEWS

STEPS = ("Putter out of the hands", "Shoulders back", None)


def tilted(lesson, by):
    """Return a lesson with another spine tilt."""
    estimates = dict(lesson.posture.estimates)
    estimates["spine_tilt"] = evolve(estimates["spine_tilt"], value=estimates["spine_tilt"].value + by)
    return evolve(lesson, posture=evolve(lesson.posture, estimates=estimates))


def verdicts(changes):
    """Return what is said of each measure, in a form in which no number is unequal to itself."""
    return {name: repr((each.change, each.chance, each.real)) for name, each in changes.measures.items()}


def shown_on_paper(drawn):
    return {name: as_jpeg(still, most_bytes=30_000) for name, still in drawn.stills.items()}


@pytest.fixture(scope="module")
def folders(tmp_path_factory):
    """Three lessons: as it was without a putter, a little more tilt, and the rebuilt setup with the putter."""
    place = tmp_path_factory.mktemp("steps")
    lessons = (
        evolve(make_lesson(), without_putter=True, step=STEPS[0]),
        evolve(tilted(make_lesson(), 0.2), without_putter=True, step=STEPS[1]),
        make_after(),
    )
    days = (MADE_ON, MADE_ON, AFTER_ON)
    return [
        store_lesson(each, place / f"{number}", made_on=day)
        for number, (each, day) in enumerate(zip(lessons, days, strict=True), start=1)
    ]


@pytest.fixture(scope="module")
def stages(folders):
    return lay_out_stages(folders)


@pytest.fixture(scope="module")
def drawn(stages):
    return draw_stages(stages)


@pytest.fixture(scope="module")
def report(stages, drawn):
    return write_stages(stages, pictures=drawn, made_on=AFTER_ON)


def test_whole_way_is_judged_as_a_comparison_of_its_ends(stages, folders) -> None:
    ends = compare(folders[0], folders[-1])
    assert verdicts(stages.whole) == verdicts(ends.changes)


def test_each_stage_is_judged_against_the_one_before_it(stages, folders) -> None:
    records = [read_result_folder(folder).record.measured for folder in folders]
    assert stages.stages[0].moved is None
    for place in (1, 2):
        assert verdicts(stages.stages[place].moved) == verdicts(find_changes(records[place - 1], records[place]))


def test_step_names_the_stage_and_putter_or_none_where_there_is_no_step(report) -> None:
    assert [each.title for each in report.stages] == [STEPS[0], STEPS[1], "With the putter"]
    assert "without a putter" in report.stages[0].how
    assert "without" not in report.stages[2].how


def test_change_within_the_noise_is_not_named_at_its_stage(report) -> None:
    assert report.stages[0].says == ""
    assert report.stages[1].says == "Nothing moved by more than the noise."
    assert report.stages[2].says.startswith("Hands to shoulders")


def test_numbers_under_the_stills_are_those_that_moved_most(report, stages) -> None:
    moved = {each.name for each in stages.whole.measures.values() if each.real}
    shown = [number.name for number in report.stages[0].numbers]
    assert moved == {"spine_tilt", "hand_offset"}
    assert shown == ["Spine tilt", "Hands to shoulders"]
    for text in report.stages:
        assert [number.name for number in text.numbers] == shown


def test_number_stands_under_the_view_that_shows_it(drawn) -> None:
    for row, view in zip(drawn.rows, VIEWS, strict=True):
        for plate in row.plates:
            assert all(view in number.views for number in plate.numbers)


def test_stills_have_one_size_one_scale_and_the_feet_at_one_place(folders) -> None:
    views = [load_view(read_result_folder(folder), "down_the_line") for folder in folders]
    larger = evolve(views[1], record=evolve(views[1].record, px_per_cm=evolve(views[1].record.px_per_cm, value=7.0)))
    cut = cut_alike([views[0], larger, views[2]], wide_px=400)
    assert len({picture.shape for picture in cut.pictures}) == 1
    assert cut.pictures[0].shape[1] == 400
    assert 0 < cut.ground_px < cut.pictures[0].shape[0]
    lines = [picture[round(cut.ground_px)].astype(int) for picture in cut.with_ground()]
    bare = [picture[round(cut.ground_px)].astype(int) for picture in cut.pictures]
    assert all(np.abs(one - other).max() > 40 for one, other in zip(lines, bare, strict=True))


def test_nothing_is_laid_together_where_one_has_no_feet(folders) -> None:
    views = [load_view(read_result_folder(folder), "down_the_line") for folder in folders]
    joints = views[1].joints_px.copy()
    joints[[LANDMARK_INDEX["left_ankle"], LANDMARK_INDEX["right_ankle"]]] = np.nan
    assert cut_alike([views[0], evolve(views[1], joints_px=joints)], wide_px=400) is None


def test_page_has_every_still_in_order_with_its_words(report, drawn) -> None:
    page = stages_as_html(report, pictures=dict.fromkeys(drawn.stills, b"\xff\xd8"))
    assert "default-src 'none'" in page
    assert not re.search(r'(?:src|href)="(?!data:|#)', page)
    assert re.findall(r'<h3>(\d) [^<]*</h3>\n<div class="large"', page) == ["1", "2", "3"] * 2
    said = re.findall(r'<img src="data:[^"]*" alt="([^"]+)"', page)
    assert len(said) == 6
    assert all("spine tilt" in each for each in said)


@pytest.mark.parametrize("name", ["<script>alert(1)</script>", "{{ 7 * 7 }}", "עדי רזי", "A" * 400])
def test_step_is_shown_as_text_in_both(report, drawn, name) -> None:
    stages = (evolve(report.stages[0], title=name), *report.stages[1:])
    hostile = evolve(report, stages=stages)
    shown = dict.fromkeys(drawn.stills, b"\xff\xd8")
    page = stages_as_html(hostile, pictures=shown)
    assert "<script>" not in page
    assert html.unescape(page).count(name) > report.stages[0].says.count(name)
    assert stages_as_pdf(hostile, pictures=shown_on_paper(drawn)).startswith(b"%PDF")


def test_paper_holds_the_stages_and_their_words(report, drawn) -> None:
    pdf = stages_as_pdf(report, pictures=shown_on_paper(drawn), made_on=AFTER_ON)
    paper, text = PdfReader(io.BytesIO(pdf)), read_pdf(pdf)
    assert "1 Putter out of the hands" in text
    assert "3 With the putter" in text
    assert "Before you practise" in text
    assert sum(len(page.images) for page in paper.pages) == len({still.tobytes() for still in drawn.stills.values()})


@pytest.mark.parametrize("count", [2, MOST_STAGES])
def test_two_to_eight_are_laid_out(folders, count, tmp_path) -> None:
    lessons = [tilted(make_lesson(), float(number)) for number in range(count)]
    found = lay_out_stages(lessons, tmp_path / "out", made_on=AFTER_ON)
    assert len(found.stages) == count
    assert len(list((tmp_path / "out" / "stills").iterdir())) == 2 * count
    assert (tmp_path / "out" / "steps.pdf").stat().st_size > 10_000


@pytest.mark.parametrize("count", [0, 1, MOST_STAGES + 1])
def test_other_numbers_of_lessons_are_refused(folders, count) -> None:
    with pytest.raises(UsageError, match="2 to 8 are needed"):
        lay_out_stages([folders[0]] * count)


def test_same_lesson_twice_is_refused_wherever_it_stands(folders) -> None:
    with pytest.raises(UsageError, match="are the same lesson"):
        lay_out_stages([folders[0], folders[1], folders[0]])


def test_other_hand_is_refused(folders) -> None:
    with pytest.raises(UsageError, match="cannot be compared"):
        lay_out_stages([folders[0], folders[1], make_lesson(handed="left")])


def test_folder_that_is_no_list_is_refused(folders) -> None:
    with pytest.raises(ArgumentError, match="a list of lessons"):
        lay_out_stages(str(folders[0]))


def test_lesson_without_pictures_is_said_and_the_others_are_drawn(folders, tmp_path) -> None:
    bare = shutil.copytree(folders[1], tmp_path / "bare")
    shutil.rmtree(bare / "stills")
    drawn = draw_stages(lay_out_stages([folders[0], bare, folders[2]]))
    assert sorted(drawn.stills) == ["down_the_line_1", "down_the_line_3", "face_on_1", "face_on_3"]
    assert any("there is no picture of 2" in each for each in drawn.missing)


def test_lesson_with_one_view_is_said(folders, tmp_path) -> None:
    side = make_lesson(views=("down_the_line",))
    drawn = draw_stages(lay_out_stages([folders[0], folders[1], side]))
    assert "3 was not filmed face on." in drawn.missing


def test_hidden_heads_stay_hidden_on_the_page(folders) -> None:
    shown, hidden = lay_out_stages(folders), lay_out_stages(folders, hide_faces=True)
    assert all(stage.lesson.record.faces_hidden for stage in hidden.stages)
    for one, other in zip(shown.stages, hidden.stages, strict=True):
        assert (one.lesson.views["face_on"].still != other.lesson.views["face_on"].still).any()


def test_result_is_replaced_and_a_lesson_never(folders, tmp_path) -> None:
    lay_out_stages(folders, tmp_path / "out")
    with pytest.raises(OutputError):
        lay_out_stages(folders, tmp_path / "out")
    lay_out_stages(folders, tmp_path / "out", replace=True)
    with pytest.raises(OutputError):
        lay_out_stages(folders, folders[0], replace=True)
    assert (folders[0] / "measures.json").exists()


def test_one_clip_at_two_times_is_not_called_the_same_clip() -> None:
    lesson = make_changed_lesson()
    later = {
        view: evolve(result, setups=tuple(evolve(each, moment_s=each.moment_s + 3.0) for each in result.setups))
        for view, result in lesson.views.items()
    }
    other = evolve(tilted(lesson, 5.0), views=later)
    same = "A clip is the same in both lessons"
    assert not any(same in each for each in lay_out_stages([lesson, other]).whole.warnings)
    assert any(same in each for each in lay_out_stages([lesson, tilted(lesson, 5.0)]).whole.warnings)
