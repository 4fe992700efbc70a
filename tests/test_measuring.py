"""A lesson that is measured again and again gives the numbers of a measuring that begins anew."""

import numpy as np
import pytest
from attrs import evolve

from putt_posture.detection.loading import load_detections
from putt_posture.documents.json_values import as_json
from putt_posture.errors import UsageError
from putt_posture.lesson import measure_detections
from putt_posture.measures.by_hand import FIT_LENGTH, FIT_LIE
from putt_posture.measuring import Measuring
from putt_posture.posture import budget
from putt_posture.records import read_result_folder
from putt_posture.values import Given, PlacedLandmark

SIDE, FRONT = "down_the_line", "face_on"


@pytest.fixture(scope="module")
def stored(golfer_folder):
    return load_detections(read_result_folder(golfer_folder))


@pytest.fixture
def measuring(stored):
    return Measuring(detections=stored.detections, student=stored.student)


@pytest.fixture(scope="module")
def bare(stored):
    return measure_detections(stored.detections, student=stored.student)


def place(bare, view, joint, *, by=(0.0, 0.0)):
    result = bare.views[view]
    u, v = result.joints.point(joint)[result.still_index]
    return PlacedLandmark(landmark=joint, point_px=(float(u) + by[0], float(v) + by[1]))


@pytest.fixture(scope="module")
def changes(bare):
    """Several things given by hand, one after the other, as a page sends them."""
    shoulder = Given(landmarks=(place(bare, SIDE, "right_shoulder", by=(14.0, 3.0)),))
    (butt, sole), ground = bare.views[SIDE].scene.shaft_px, bare.views[SIDE].scene.ground_v_px.value
    return (
        {SIDE: shoulder},
        {SIDE: shoulder, FRONT: Given(landmarks=(place(bare, FRONT, "left_hip", by=(5.0, -9.0)),))},
        {SIDE: evolve(shoulder, shaft_px=((butt[0] + 4, butt[1]), sole), ground_px=(sole[0], ground + 3))},
        {SIDE: Given(), FRONT: Given(roll_deg=1.5)},
        {SIDE: Given(scale_object=(100.0, ((100.0, 100.0), (100.0, 480.0))))},
    )


def numbers(lesson):
    """Return everything that is measured and advised at once, to the last digit."""
    return {
        "measures": {name: (as_json(each), each.per_frame) for name, each in lesson.posture.items()},
        "marks": as_json(lesson.posture.marks),
        "fit": as_json(evolve(lesson.fit, curves=None)),
        "advice": [as_json(lesson.findings), as_json(list(lesson.steps)), as_json(lesson.plan)],
        "warnings": lesson.warnings,
    }


def unmarked(found):
    """Return the same without what says on which things by hand a number depends."""
    if isinstance(found, dict):
        return {name: unmarked(each) for name, each in found.items() if name not in ("by_hand", "automatic", "method")}
    if isinstance(found, list | tuple):
        return [unmarked(each) for each in found]
    return found.replace(" (by hand)", "") if isinstance(found, str) else found


def test_what_is_kept_between_measurings_changes_no_number(measuring, stored, changes) -> None:
    for given in (*changes, {}, *reversed(changes)):
        anew = measure_detections(stored.detections, student=stored.student, given=given)
        again = measuring.measure(given)
        assert numbers(again) == numbers(anew)
        assert as_json(again.fit) == as_json(anew.fit)
        assert as_json(again.spec) == as_json(anew.spec)


def test_measuring_quickly_gives_the_same_numbers_and_says_which_are_by_hand(measuring, stored, changes) -> None:
    for given in (*changes, {}):
        anew = measure_detections(stored.detections, student=stored.student, given=given)
        quick, by_hand = measuring.measure_quickly(given)
        assert unmarked(numbers(quick)) == unmarked(numbers(anew))
        marked = {name for name, each in anew.posture.items() if each.by_hand}
        marked |= {FIT_LENGTH} if anew.fit.putter_length.by_hand else set()
        marked |= {FIT_LIE} if anew.fit.lie.by_hand else set()
        assert by_hand == marked


def test_what_does_not_change_is_not_worked_out_again(measuring, changes, monkeypatch) -> None:
    measuring.measure_quickly({})
    monkeypatch.setattr("putt_posture.measuring.fit_joints", None)  # the error model looks at no placed joint
    measuring.measure_quickly(changes[0])
    monkeypatch.setattr("putt_posture.measuring.measure_posture", None)
    measuring.measure_quickly(changes[0])  # the same again, such as after an undo
    measuring.measure_quickly({})


def test_not_more_than_some_lessons_are_kept(measuring, bare, monkeypatch) -> None:
    monkeypatch.setattr("putt_posture.measuring._KEPT", 3)
    for by in range(6):
        measuring.measure_quickly({SIDE: Given(landmarks=(place(bare, SIDE, "right_knee", by=(by, 0.0)),))})
    assert len(measuring._lessons) == 3


def test_a_point_outside_the_picture_is_refused(measuring) -> None:
    with pytest.raises(UsageError, match="lies outside the picture"):
        measuring.measure_quickly({SIDE: Given(landmarks=(PlacedLandmark(landmark="left_hip", point_px=(-5.0, 1.0)),))})


def test_a_back_face_on_is_refused(measuring) -> None:
    line = tuple((200.0, 300.0 + 20 * place) for place in range(5))
    with pytest.raises(UsageError, match="only the view down the line shows it"):
        measuring.measure_quickly({FRONT: Given(back_px=line)})


def test_points_of_a_plane_that_are_kept_cannot_be_written_over(measuring, monkeypatch) -> None:
    planes = []
    monkeypatch.setattr(
        "putt_posture.measures.measure.estimate_from",
        lambda of, plane, *rest, **more: (planes.append(plane), budget.estimate_from(of, plane, *rest, **more))[1],
    )
    measuring.measure({})
    with pytest.raises(ValueError, match="read-only"):
        planes[0].at("left_hip")[:] = 0.0
    moved = planes[0].shifted(scale=0.1)
    assert moved is planes[0].shifted(scale=0.1)
    assert np.nanmax(np.abs(moved.at("left_hip") - planes[0].at("left_hip"))) > 1.0
