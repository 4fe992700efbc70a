"""A stored lesson is put right by hand and kept, with the automatic values beside."""

import shutil

import pytest
from filed import TODAY, add_player, file_one

from putt_posture.archive import correct_landmark, load_first_and_newest, open_lesson, withdraw_consent
from putt_posture.errors import NotAllowed, SetupNotFound
from putt_posture.records import read_result_folder
from putt_posture.services import measure_again
from putt_posture.services.correcting import (
    correct,
    keep_corrected,
    keep_filed_corrected,
    open_filed_for_correcting,
    open_folder_for_correcting,
)
from putt_posture.values import Given, PlacedLandmark

VIEW = "down_the_line"


@pytest.fixture
def folder(golfer_folder, tmp_path):
    return shutil.copytree(golfer_folder, tmp_path / "report")


def shoulder_moved(opened, by, *, down=0.0):
    result = opened.found.views[VIEW]
    u, v = result.joints.point("right_shoulder")[result.still_index]
    placed = PlacedLandmark(landmark="right_shoulder", point_px=(float(u) + by, float(v) + down))
    return {VIEW: Given(landmarks=(placed,))}


def test_an_opened_lesson_shows_what_was_found(folder) -> None:
    opened = open_folder_for_correcting(folder)
    record = read_result_folder(folder).record
    assert {name: each.value for name, each in opened.found.posture.items() if each} == {
        name: each.value for name, each in record.measures.items() if each
    }
    assert set(opened.stills) == set(record.views)
    assert opened.stills[VIEW].jpeg == (folder / "stills" / f"{VIEW}_plain.jpg").read_bytes()


def test_a_moved_shoulder_moves_numbers_and_ghost(folder) -> None:
    opened = open_folder_for_correcting(folder)
    corrected = correct(opened, shoulder_moved(opened, 15.0))
    forward = opened.found.views[VIEW].scene.forward
    change = corrected.lesson.posture["spine_tilt"].value - opened.found.posture["spine_tilt"].value
    assert change * forward > 0.5  # deg; a shoulder farther toward the ball is more tilt
    assert "spine_tilt" in corrected.by_hand
    assert "shoulder_level" not in corrected.by_hand  # it is measured face on
    assert corrected.ghost is not None
    assert corrected.ghost.outlines


def test_points_that_make_no_address_are_refused_and_the_lesson_stays_open(folder) -> None:
    opened = open_folder_for_correcting(folder)
    with pytest.raises(SetupNotFound, match="hands are as high as the chest"):
        correct(opened, shoulder_moved(opened, 0.0, down=200.0))
    assert correct(opened, {}).by_hand == frozenset()


def test_what_is_kept_has_the_automatic_values_beside_and_can_be_put_back(folder) -> None:
    opened = open_folder_for_correcting(folder)
    given = shoulder_moved(opened, 15.0)
    keep_corrected(opened, given, folder)
    kept = read_result_folder(folder).record.measures["spine_tilt"]
    assert kept.by_hand == ("right shoulder",)
    assert kept.automatic == opened.found.posture["spine_tilt"].value
    again = open_folder_for_correcting(folder)
    assert again.given[VIEW] == given[VIEW]
    assert again.found.posture["spine_tilt"] == opened.found.posture["spine_tilt"]
    keep_corrected(again, {}, folder)
    back = read_result_folder(folder).record.measures["spine_tilt"]
    assert (back.value, back.by_hand) == (opened.found.posture["spine_tilt"].value, ())


def test_stills_of_a_kept_lesson_come_from_its_clips_where_these_are_there(folder, golfer_stills) -> None:
    opened = open_folder_for_correcting(folder)
    before = {view: (folder / "stills" / f"{view}_plain.jpg").read_bytes() for view in golfer_stills}
    keep_corrected(opened, {}, folder, clips=golfer_stills)
    assert {view: (folder / "stills" / f"{view}_plain.jpg").read_bytes() for view in golfer_stills} == before
    swapped = dict(zip(golfer_stills, reversed(golfer_stills.values()), strict=True))
    keep_corrected(open_folder_for_correcting(folder), {}, folder, clips=swapped)  # of another clip: not taken
    assert read_result_folder(folder).record.views[VIEW].size_px == opened.found.views[VIEW].landmarks.size_px


@pytest.fixture
def lesson(archive, golfer_folder):
    """The number of the same lesson, filed."""
    return file_one(archive, add_player(archive), read_result_folder(golfer_folder))


def counting(archive, lesson):
    return open_lesson(archive, load_first_and_newest(archive, lesson)[1], today=TODAY).record


def test_a_filed_lesson_is_put_right_beside_its_first_result(archive, lesson) -> None:
    opened = open_filed_for_correcting(archive, lesson, today=TODAY)
    filed = keep_filed_corrected(archive, lesson, shoulder_moved(opened, 15.0), today=TODAY)
    assert filed
    now = counting(archive, lesson).measures["spine_tilt"]
    first = open_lesson(archive, lesson, today=TODAY).record.measures["spine_tilt"]
    assert (now.by_hand, now.automatic) == (("right shoulder",), first.value)
    assert first.by_hand == ()


@pytest.mark.whole
def test_as_found_brings_a_filed_lesson_back_and_later_corrections_count_again(archive, lesson) -> None:
    opened = open_filed_for_correcting(archive, lesson, today=TODAY).found
    found = opened.posture["spine_tilt"].value
    u, v = opened.views[VIEW].joints.point("right_hip")[0]

    def correct_hip(by):
        at = (float(u) + by, float(v))
        correct_landmark(
            archive, lesson, view=VIEW, frame=0, landmark="right_hip", point_px=at, made_by="C", today=TODAY
        )

    correct_hip(8.0)
    assert measure_again(archive, lesson, today=TODAY)
    assert counting(archive, lesson).measures["spine_tilt"].by_hand == ("right hip",)
    assert keep_filed_corrected(archive, lesson, {}, today=TODAY)
    back = counting(archive, lesson).measures["spine_tilt"]
    assert (back.value, back.by_hand) == (found, ())
    assert not measure_again(archive, lesson, today=TODAY)  # what was taken back does not come again
    correct_hip(12.0)
    assert measure_again(archive, lesson, today=TODAY)
    assert counting(archive, lesson).measures["spine_tilt"].by_hand == ("right hip",)


def test_what_may_not_be_kept_is_not_opened(archive, lesson) -> None:
    withdraw_consent(archive, 1, scopes=["pictures"], on=TODAY)
    with pytest.raises(NotAllowed, match="cannot be put right by hand"):
        open_filed_for_correcting(archive, lesson, today=TODAY)
