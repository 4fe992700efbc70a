"""What was put right by hand is used once more where the same clips are measured again."""

import hashlib
import shutil

import pytest
from attrs import evolve

from putt_posture.lesson import measure_lesson
from putt_posture.pages import store_lesson
from putt_posture.records import read_result_folder
from putt_posture.services.carrying_over import CarriedOver, carry_over
from putt_posture.services.correcting import keep_corrected, open_folder_for_correcting
from putt_posture.services.fitting import keep_wanted_in_folder
from putt_posture.values import Given, PlacedLandmark, WantedSetup

VIEW = "down_the_line"


@pytest.fixture(scope="module")
def folder(golfer_folder, tmp_path_factory):
    """A result folder of the rendered golfer in which something is put right by hand."""
    return shutil.copytree(golfer_folder, tmp_path_factory.mktemp("by_hand") / "report")


@pytest.fixture
def digests(golfer_stills):
    return {view: hashlib.sha256(path.read_bytes()).hexdigest() for view, path in golfer_stills.items()}


@pytest.fixture(scope="module")
def by_hand(folder):
    """All that can be by hand down the line, kept in the folder."""
    opened = open_folder_for_correcting(folder)
    found = opened.found.views[VIEW]
    u, v = map(float, found.joints.point("right_shoulder")[found.still_index])
    given = Given(
        roll_deg=float(found.scene.roll.value),
        distance_cm=float(found.scene.distance_cm.value),
        ground_px=(u, float(found.scene.ground_v_px.value)),
        scale_object=(50 / float(found.scene.px_per_cm.value), ((100.0, 800.0), (150.0, 800.0))),
        back_px=((u - 60, v + 60), (u - 50, v + 40), (u - 40, v + 20), (u - 30, v)),
        target_px=((270.0, 940.0), (270.0, 700.0)),
        landmarks=(PlacedLandmark(landmark="right_shoulder", point_px=(u + 15, v)),),
    )
    keep_corrected(opened, {VIEW: given}, folder)
    return given


def test_all_that_is_by_hand_is_used_again_for_the_same_clips(folder, digests, by_hand, golfer_stills) -> None:
    kept = open_folder_for_correcting(folder)
    carried = carry_over(folder, digests, without_putter=False)
    assert carried.says == ()
    assert all(set(value) == {VIEW} for value in carried.given.values())
    again = measure_lesson(student=kept.measuring.student, **golfer_stills, **carried.given)
    assert again.views[VIEW].given == by_hand
    record = read_result_folder(folder).record
    for name, measure in record.measures.items():
        assert (again.posture[name].by_hand, again.posture[name].value) == (
            measure.by_hand, pytest.approx(measure.value, abs=0.3, nan_ok=True),
        ), name  # fmt: skip


def test_nothing_by_hand_is_nothing_to_carry(golfer_folder, digests) -> None:
    assert carry_over(golfer_folder, digests, without_putter=False) == CarriedOver()


def test_of_another_clip_it_is_said_what_is_not_used(folder, digests, by_hand) -> None:
    carried = carry_over(folder, {**digests, VIEW: "0" * 64}, without_putter=False)
    assert carried.given == {}
    (says,) = carried.says
    assert says.startswith("Down the line: the clip is another than the one that was measured")
    for name in by_hand.names():
        assert name in says


def test_another_clip_of_the_other_view_changes_nothing_here(folder, digests, by_hand) -> None:
    carried = carry_over(folder, {**digests, "face_on": "0" * 64}, without_putter=False)
    assert carried == carry_over(folder, digests, without_putter=False)
    assert carry_over(folder, {"face_on": digests["face_on"]}, without_putter=False) == CarriedOver()


def test_points_are_not_used_where_another_frame_may_stand_for_the_lesson(folder, digests, by_hand) -> None:
    carried = carry_over(folder, digests, without_putter=True)
    assert carried.given == {}
    assert "whether there is a putter was changed" in carried.says[0]


def test_a_wanted_setup_that_was_kept_is_wanted_again(golfer_folder, digests, tmp_path) -> None:
    wanted = WantedSetup(knee_flex_deg=21.0)
    there = shutil.copytree(golfer_folder, tmp_path / "report")
    keep_wanted_in_folder(there, wanted)
    assert carry_over(there, digests, without_putter=False).given == {"wanted": wanted}


def test_another_frame_that_was_chosen_is_chosen_again(lesson, tmp_path) -> None:
    view = lesson.views[VIEW]
    assert view.clip.kind == "video"
    chosen = evolve(view, setups=tuple(evolve(each, chosen_by="person") for each in view.setups))
    there = store_lesson(evolve(lesson, views={**lesson.views, VIEW: chosen}), tmp_path / "chosen")
    digests = {name: each.clip.sha256 for name, each in lesson.views.items()}
    given = carry_over(there, digests, without_putter=lesson.without_putter).given
    assert given["setup_at"] == {VIEW: tuple(each.moment_s for each in view.setups)}
