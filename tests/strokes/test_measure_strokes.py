"""Strokes of a stick golfer whose every point is known in space: what is measured is what was done, or says why not."""

import sys
from pathlib import Path

import numpy as np
import pytest
from attrs import evolve

sys.path.insert(0, str(Path(__file__).parent))

from stick_stroke import Camera, Golfer, Stroke, film, positions, student_of, view_of, wide_hands

from putt_posture.body import BALL_CM
from putt_posture.measures import STROKE_MEASURES
from putt_posture.strokes.measure import measure_strokes
from putt_posture.strokes.stillness import find_with_hands
from putt_posture.values import (
    HAND_POINTS,
    LANDMARK_INDEX,
    STROKE_EVENTS,
    Estimate,
    FoundBall,
    FoundShaft,
    PictureFinds,
    SeenStrokes,
    absent,
)

GOLFER = wide_hands(Golfer())
SWING = Stroke(
    plane_deg=8.0, head_along=-1.5, head_up=0.8, sternum_along=-1.0, hips_across=1.2, tilt_deg=2.0, wrist_deg=6.0
)
CAMERAS = {"down_the_line": Camera(), "face_on": Camera(view="face_on")}
NOISE_PX = 1.0
"""A landmark scatters by some 3 mm from frame to frame."""


def known_events(stroke, *, sd_s=0.008, offset_s=0.0, stretch=1.0, lacking=()):
    """Return what finds events by knowing them."""

    def find(seen, **_given):
        return {
            name: absent(f"The {name} was not seen.", unit="s", view=seen.view)
            if name in lacking
            else Estimate(
                value=(time + offset_s) * stretch, standard_uncertainty=sd_s * stretch, unit="s", view=seen.view
            )
            for name, time in stroke.events.items()
        }

    return find


def measure(
    stroke=SWING,
    *,
    seed=1,
    golfer=GOLFER,
    views=("down_the_line", "face_on"),
    cameras=CAMERAS,
    noise_px=NOISE_PX,
    events=None,
    scene=None,
    stretch=1.0,
    **filming,
):
    """Return the strokes as measured."""
    rng = np.random.default_rng(seed)
    results = {}
    for view in views:
        seen, _ = film(golfer, cameras[view], stroke, rng=rng, noise_px=noise_px, stretch=stretch, **filming)
        result = view_of(golfer, cameras[view], [seen], rng=rng, noise_px=noise_px, **(scene or {}))
        results[view] = evolve(result, clip=evolve(result.clip, time_stretch=stretch))
    return measure_strokes(results, student_of(golfer), events_by=events or known_events(stroke, stretch=stretch))


def truth_of(stroke, golfer=GOLFER):
    """Return the numbers as they are in space."""
    times = np.linspace(0, stroke.events["finish"], 2001)
    at, head, _ = positions(golfer, stroke, times)
    hands = np.mean([at[:, LANDMARK_INDEX[f"{s}_{j}"]] for s in ("left", "right") for j in HAND_POINTS], axis=0)
    index = {name: int(np.argmin(np.abs(times - time))) for name, time in stroke.events.items()}

    def middle(part):
        return (at[:, LANDMARK_INDEX[f"left_{part}"]] + at[:, LANDMARK_INDEX[f"right_{part}"]]) / 2

    numbers = {}
    for name, path in (("hands", hands), ("putter", head)):
        moved = path - path[0]
        top, impact, finish = (moved[index[event]] for event in ("top", "impact", "finish"))
        numbers |= {
            f"{name}_back": -top[0],
            f"{name}_through": finish[0] - impact[0],
            f"{name}_rise_back": top[2],
            f"{name}_rise_through": finish[2] - impact[2],
            f"{name}_sideways_back": top[1],
            f"{name}_sideways_through": finish[1],
        }
    for point, part in (("head", "ear"), ("sternum", "shoulder"), ("hips", "hip"), ("knees", "knee")):
        moved = (middle(part) - middle(part)[0])[: index["impact"]]
        for way, axis in (("along", 0), ("across", 1), ("up", 2)):
            numbers[f"{point}_{way}"] = moved[np.argmax(np.abs(moved[:, axis])), axis]
    spine = middle("shoulder") - middle("hip")
    tilt = np.degrees(np.arctan2(spine[:, 1], spine[:, 2]))
    return numbers | {"tilt_change": tilt[index["impact"]] - tilt[0], "wrist_change": stroke.wrist_deg}


@pytest.fixture(scope="module")
def measured():
    return measure()


def test_every_record_of_a_stroke_has_its_number_or_its_reason(measured) -> None:
    assert set(measured.numbers) == set(STROKE_MEASURES)
    for view, (stroke,) in measured.of.items():
        assert set(stroke.numbers) == {name for name, record in STROKE_MEASURES.items() if view in record.views}
    for name, number in measured.numbers.items():
        assert number.unit == STROKE_MEASURES[name].unit
        assert number or number.absent.endswith(".")
        assert not number or np.isclose(np.hypot.reduce([*number.budget.values()]), number.standard_uncertainty)


TOLERANCE_CM = {"hands_back": 0.3, "hands_through": 0.4, "putter_back": 0.5, "putter_through": 0.8}


@pytest.mark.parametrize("name", list(truth_of(SWING)))
def test_a_known_stroke_is_measured_as_it_was(measured, name) -> None:
    number, true = measured.numbers[name], truth_of(SWING)[name]
    assert number.low <= true <= number.high
    assert abs(number.value - true) <= TOLERANCE_CM.get(name, 2.5 if name == "wrist_change" else 0.4)


def test_without_noise_lengths_are_exact_but_for_the_frames() -> None:
    numbers, true = measure(noise_px=0.0, rate_hz=120.0).numbers, truth_of(SWING)
    for name in ("hands_back", "putter_back", "hands_rise_back", "putter_rise_back"):
        assert numbers[name].value == pytest.approx(true[name], abs=0.08)
    for name in ("hands_sideways_back", "putter_sideways_back", "head_along", "sternum_along", "hips_across"):
        assert numbers[name].value == pytest.approx(true[name], abs=0.06)


def test_the_way_toward_the_camera_does_not_count_as_a_way_sideways() -> None:
    straight = Stroke(plane_deg=0.0)
    low = {"down_the_line": Camera(height_cm=140.0), "face_on": Camera(view="face_on")}
    low_down = measure(straight, cameras=low, noise_px=0.2, golfer=wide_hands(Golfer(hand_offset_cm=20.0)))
    assert abs(low_down.numbers["putter_sideways_back"].value) < 0.25
    alone = measure(straight, cameras=low, noise_px=0.2, views=("down_the_line",))
    assert abs(alone.numbers["putter_sideways_back"].value) < 0.7
    budget = dict.fromkeys(("alone",), alone.numbers["putter_sideways_back"].budget)["alone"]
    both = low_down.numbers["putter_sideways_back"].budget
    assert budget["motion toward the camera"] > 2 * both["motion toward the camera"]


def test_a_head_that_goes_with_the_hands_is_told_from_one_that_goes_against_them() -> None:
    for along, found in ((-2.5, "with"), (2.5, "against"), (0.0, "neither")):
        strokes = measure(Stroke(head_along=along), views=("face_on",))
        assert strokes.with_hands["head"] == strokes.of["face_on"][0].with_hands["head"] == found
    assert measure(views=("down_the_line",)).with_hands == {}


def test_a_point_that_drifts_goes_neither_with_the_hands_nor_against_them() -> None:
    (stroke,) = measure(Stroke(head_along=-2.5), views=("face_on",)).of["face_on"]
    drift = np.random.default_rng(3).standard_normal(stroke.paths["head"].moved_cm.shape)
    drifting = {**stroke.paths, "head": evolve(stroke.paths["head"], moved_cm=drift)}
    without = {name: path for name, path in stroke.paths.items() if name != "hands"}
    for paths, found in ((stroke.paths, "with"), (drifting, "neither"), (without, "neither")):
        assert find_with_hands(stroke.numbers, paths, stroke.events)["head"] == found


@pytest.mark.parametrize("seed", [5, *(pytest.param(seed, marks=pytest.mark.whole) for seed in range(6, 12))])
def test_a_mirrored_golfer_has_the_same_numbers(seed) -> None:
    right = measure(seed=seed, noise_px=0.0)
    left = measure(seed=seed, noise_px=0.0, golfer=wide_hands(Golfer(left_handed=True)), scene=None)
    for name in ("hands_back", "putter_rise_back", "putter_sideways_back", "head_along", "tilt_change", "wrist_change"):
        assert left.numbers[name].value == pytest.approx(right.numbers[name].value, abs=0.02)


@pytest.mark.parametrize("focal", [2500, *(pytest.param(each, marks=pytest.mark.whole) for each in (900, 1200, 2000))])
def test_a_larger_picture_leaves_the_centimetres(focal) -> None:
    cameras = {view: evolve(camera, focal_px=focal) for view, camera in CAMERAS.items()}
    numbers = measure(noise_px=0.0, cameras=cameras).numbers
    for name, true in truth_of(SWING).items():
        if name.endswith(("_back", "_along")):
            assert numbers[name].value == pytest.approx(true, abs=0.1)


@pytest.mark.parametrize("shaken", [{"shift_px": 8.0}, {"shift_px": 3.0, "turn_deg": 0.4}])
def test_a_shaken_camera_is_taken_out(shaken) -> None:
    numbers, true = measure(noise_px=0.3, **shaken).numbers, truth_of(SWING)
    for name in ("hands_back", "putter_back", "head_along", "head_up", "hips_across", "tilt_change"):
        assert numbers[name].value == pytest.approx(true[name], abs=0.3)
    assert numbers["head_along"].budget["motion of the camera"] > 0


def test_slow_motion_is_measured_in_real_time_with_the_same_lengths() -> None:
    plain, slow = measure(noise_px=0.2), measure(noise_px=0.2, stretch=8.0)
    for name in ("backswing_time", "through_time", "tempo_ratio", "hands_back", "head_along"):
        assert slow.numbers[name].value == pytest.approx(plain.numbers[name].value, abs=0.05)
        assert slow.numbers[name].standard_uncertainty == pytest.approx(
            plain.numbers[name].standard_uncertainty, rel=0.1
        )


def test_numbers_are_absent_with_the_reason_of_the_event_that_is_not_known() -> None:
    numbers = measure(events=known_events(SWING, lacking=("top",))).numbers
    for name in ("backswing_time", "hands_back", "putter_rise_back", "hands_sideways_back"):
        assert numbers[name].absent == "The top was not seen."
    assert numbers["hands_through"]
    assert numbers["head_along"]
    assert (
        measure(events=known_events(SWING, lacking=("impact",))).numbers["head_along"].absent
        == "The impact was not seen."
    )


def test_arms_swung_without_a_putter_give_the_numbers_of_the_hands_alone() -> None:
    measured = measure(kind="unsure", scene={"without_putter": True}, with_putter=False)
    assert measured.numbers["hands_back"]
    assert measured.numbers["hands_sideways_back"]
    assert measured.numbers["putter_back"].absent.startswith("Filmed without a putter")
    assert measured.numbers["hands_low_point"].absent.startswith("Filmed without a putter and a ball")
    assert "putter_head" not in measured.of["face_on"][0].paths
    assert not measured.warnings


def test_hidden_points_are_absent_and_the_others_stay() -> None:
    numbers = measure(hidden=("left_ear", "right_ear", "left_knee", "right_knee")).numbers
    assert numbers["head_along"].absent == "The head was not seen through the stroke."
    assert numbers["knees_across"].absent == "The knees were not seen through the stroke."
    assert numbers["sternum_along"]
    assert numbers["rounding_change"].absent.startswith("The outline of the back")


def test_a_head_that_is_lost_at_the_top_has_no_length_and_no_guess() -> None:
    top = SWING.events["top"]
    numbers = measure(unseen_s=(top - 0.15, top + 0.12)).numbers
    assert numbers["putter_back"].absent
    assert numbers["hands_back"]


def test_one_view_gives_its_numbers_and_says_what_the_other_would_show() -> None:
    numbers = measure(views=("down_the_line",)).numbers
    assert numbers["hands_sideways_back"]
    assert numbers["hands_back"].absent == "No stroke was seen in a face-on clip, and only that view shows it."
    assert numbers["backswing_time"].view == "down_the_line"


def test_views_in_which_no_strokes_were_looked_for_give_none_and_those_without_one_the_reason() -> None:
    rng = np.random.default_rng(0)
    result = view_of(GOLFER, CAMERAS["face_on"], [], rng=rng)
    assert measure_strokes({"face_on": evolve(result, strokes=None)}, student_of(GOLFER)) is None
    none = SeenStrokes(view="face_on", why_none="The student stood still throughout.")
    found = measure_strokes({"face_on": evolve(result, strokes=none)}, student_of(GOLFER))
    assert not found
    assert found.why_none == "The student stood still throughout."
    assert not found.numbers["hands_back"]


def test_the_path_is_kept_with_its_noise_and_with_where_it_was(measured) -> None:
    (stroke,) = measured.of["face_on"]
    hands, true = stroke.paths["hands"], truth_of(SWING)
    assert hands.moved_cm.shape == hands.sd_cm.shape == (len(hands.times_s), 2)
    assert np.nanmin(hands.moved_cm[:, 0]) == pytest.approx(-true["hands_back"], abs=0.3)
    at, _, ball = positions(GOLFER, SWING, np.zeros(1))
    place = np.mean([at[0, LANDMARK_INDEX[f"{s}_{j}"]] for s in ("left", "right") for j in HAND_POINTS], axis=0)
    assert hands.from_ball_cm == pytest.approx((place[0] - ball[0], place[2]), abs=0.6)


def test_nothing_is_smoothed_across_impact() -> None:
    sudden = evolve(SWING, follow_s=0.9, follow_share=1.0)  # the head is much slower after the ball
    (stroke,) = measure(sudden, noise_px=0.3, rate_hz=120.0).of["face_on"]
    path, impact = stroke.paths["putter_head"], sudden.events["impact"]
    near = np.abs(path.times_s - impact) < 0.05
    rate = np.diff(path.moved_cm[:, 0]) / np.diff(path.times_s)
    before = np.median(rate[near[:-1] & (path.times_s[:-1] < impact - 0.01)])
    after = np.median(rate[near[:-1] & (path.times_s[:-1] > impact + 0.01)])
    assert before > 1.8 * after


HELD = (
    "hands_back", "hands_rise_back", "putter_back", "hands_sideways_back", "head_along", "head_up", "hips_across",
    "tilt_change",
)  # fmt: skip


@pytest.mark.parametrize(
    "seeds", [range(3), pytest.param(range(3, 23), marks=pytest.mark.whole)], ids=["some", "the rest"]
)
def test_intervals_hold_over_seeds_and_are_not_too_wide(seeds) -> None:
    off, sd = [], []
    true = truth_of(SWING)
    for seed in seeds:
        numbers = measure(seed=100 + seed, noise_px=1.5).numbers
        off.append([numbers[name].value - true[name] for name in HELD])
        sd.append([numbers[name].standard_uncertainty for name in HELD])
    off, sd = np.array(off), np.array(sd)
    assert np.mean(np.abs(off) <= 1.96 * sd) >= 0.9
    assert np.all(np.sqrt(np.mean(off**2, axis=0)) < 0.5)


def test_events_by_hand_are_named_in_the_numbers_that_rest_on_them() -> None:
    def placed(seen, **given_things):
        found = known_events(SWING)(seen)
        return found | {"top": evolve(found["top"], by_hand=("top",), automatic=found["top"].value)}

    numbers = measure(events=placed).numbers
    assert numbers["hands_back"].by_hand == numbers["backswing_time"].by_hand == ("top",)
    assert numbers["hands_through"].by_hand == numbers["head_along"].by_hand == ()
    assert list(known_events(SWING)(film(GOLFER, CAMERAS["face_on"], SWING, rng=np.random.default_rng(0))[0])) == list(
        STROKE_EVENTS
    )


def test_the_swing_tells_how_far_the_camera_stood_off_square() -> None:
    straight = Stroke(plane_deg=0.0)
    cameras = {"down_the_line": Camera(yaw_deg=6.0), "face_on": Camera(view="face_on")}
    number = measure(straight, cameras=cameras, noise_px=0.3).numbers["hands_sideways_back"]
    uncorrected = 10.5 * np.sin(np.radians(6.0))
    assert abs(number.value) < 0.7 * uncorrected
    assert number.low <= 0 <= number.high


def test_what_two_models_say_differently_is_uncertainty_and_their_mean_counts() -> None:
    rng = np.random.default_rng(3)
    seen, _ = film(GOLFER, CAMERAS["face_on"], SWING, rng=rng, noise_px=0.2)
    moved = seen.at_events.points_px.copy()
    ears = [LANDMARK_INDEX["left_ear"], LANDMARK_INDEX["right_ear"]]
    moved[1:, ears, 0] += 3.75 * 2.0  # the large model has the head 2 cm farther toward the target
    other = evolve(seen, at_events=evolve(seen.at_events, points_px=moved))
    both = []
    for each in (seen, other):
        result = view_of(GOLFER, CAMERAS["face_on"], [each], rng=np.random.default_rng(4), noise_px=0.2)
        both.append(measure_strokes({"face_on": result}, student_of(GOLFER), events_by=known_events(SWING)))
    agree, apart = (each.of["face_on"][0].paths["head"] for each in both)
    top = int(np.argmin(np.abs(agree.times_s - SWING.events["top"])))
    assert apart.moved_cm[top, 0] - agree.moved_cm[top, 0] == pytest.approx(1.0, abs=0.15)
    assert apart.sd_cm[top, 0] > 0.85


def test_three_putts_seen_from_both_sides_are_one_performance_and_give_a_mean() -> None:
    offsets = (0.0, 6.0, 12.5)
    results = {}
    rng = np.random.default_rng(7)
    for view, shift in (("face_on", 0.0), ("down_the_line", 2.4)):
        strokes = [film(GOLFER, CAMERAS[view], SWING, rng=rng, noise_px=0.5, offset_s=at + shift)[0] for at in offsets]
        results[view] = view_of(GOLFER, CAMERAS[view], strokes, rng=rng, noise_px=0.5, moment_s=6.5 + shift)

    def find(seen, **_given):
        at = seen.stroke_s[0] - (SWING.events["start"] - 0.05)
        return known_events(SWING, offset_s=at)(seen)

    measured = measure_strokes(results, student_of(GOLFER), events_by=find)
    assert measured.together
    assert measured.counted == 3
    assert measured.shown == {"face_on": 1, "down_the_line": 1}
    assert len(measured.numbers["hands_back"].repeats) == 3
    assert not measured.scatter
    hidden = evolve(results["down_the_line"].strokes, strokes=tuple(
        evolve(each, kind="unsure", why="The ball is hidden.") if k == 1 else each
        for k, each in enumerate(results["down_the_line"].strokes.strokes)
    ))  # fmt: skip
    lent = {**results, "down_the_line": evolve(results["down_the_line"], strokes=hidden)}
    told = measure_strokes(lent, student_of(GOLFER), events_by=find).of["down_the_line"][1]
    assert told.kind == results["face_on"].strokes.strokes[1].kind == "putt"
    assert told.why.startswith("By the other clip: ")
    mixed = {
        view: evolve(result, strokes=evolve(result.strokes, strokes=tuple(
            evolve(each, kind="practice") if k == 1 else each for k, each in enumerate(result.strokes.strokes)
        )))
        for view, result in results.items()
    }  # fmt: skip
    left = measure_strokes(mixed, student_of(GOLFER), events_by=find)
    assert left.counted == 2
    assert left.shown["face_on"] == 2
    assert left.warnings == ("1 practice stroke was left out of the numbers, since a ball was putted as well.",)
    rehearsed = {
        view: evolve(
            result, strokes=evolve(result.strokes, strokes=(evolve(result.strokes.strokes[0], kind="practice"),))
        )
        for view, result in results.items()
    }
    (warning,) = measure_strokes(rehearsed, student_of(GOLFER), events_by=find).warnings
    assert warning.startswith("Only practice strokes were seen")


@pytest.mark.parametrize("typed_cm", [False, True])
def test_the_putters_length_gives_the_scale_at_the_putter_where_the_camera_is_taken_as_too_near(typed_cm) -> None:
    rng, golfer, results = np.random.default_rng(1), GOLFER, {}
    for view, camera in CAMERAS.items():
        at, head, _ = positions(golfer, SWING, np.zeros(1))
        butt = at[0, 15] + [0.0, -2.0, 8.0]
        seen, _ = film(golfer, camera, SWING, rng=rng, noise_px=0.2)
        ends = tuple(tuple(camera.project(point)) for point in (butt, head[0]))
        shaft = np.tile(np.array(ends), (len(seen.times_s), 1, 1))
        shaft[seen.times_s > SWING.events["start"]] = np.nan  # seen at address alone
        seen = evolve(seen, shaft_px=shaft)
        results[view] = view_of(golfer, camera, [seen], rng=rng, noise_px=0.2, shaft_px=ends)
    scene = results["face_on"].scene
    far, right = scene.distance_cm.value, scene.px_per_cm.value
    near = evolve(scene.distance_cm, value=0.65 * far, standard_uncertainty=0.4 * 0.65 * far)
    wrong = evolve(scene.px_per_cm, value=1.04 * right, standard_uncertainty=0.04 * right)
    results["face_on"] = evolve(results["face_on"], scene=evolve(scene, distance_cm=near, px_per_cm=wrong))
    length = float(np.linalg.norm(butt - head[0]))
    student = evolve(student_of(golfer), putter_length_cm=length if typed_cm else None)
    numbers, true = measure_strokes(results, student, events_by=known_events(SWING)).numbers, truth_of(SWING)
    for name, share in (("putter_back", 0.04), ("putter_through", 0.04), ("hands_back", 0.06), ("hands_through", 0.06)):
        assert numbers[name].value == pytest.approx(true[name], rel=share)
        assert numbers[name].low <= true[name] <= numbers[name].high


def test_a_ball_gives_the_scale_at_the_putter_where_no_other_view_tells_its_length() -> None:
    """The camera was taken as at 3 m where it stood at 5, and the putter head's way as a twentieth too short."""
    camera = CAMERAS["face_on"]
    rng = np.random.default_rng(1)
    _, _, ball = positions(GOLFER, Stroke(), np.zeros(1))
    seen, _ = film(GOLFER, camera, SWING, rng=rng, noise_px=0.2)
    result = view_of(GOLFER, camera, [seen], rng=rng, noise_px=0.2)
    sides = [np.array(camera.project(np.ravel(ball) + [way, 0.0, 0.0])) for way in (-BALL_CM / 2, BALL_CM / 2)]
    scene = result.scene
    finds = PictureFinds(
        resolution_px=1.0,
        roll=scene.roll,
        shaft=FoundShaft(why_not="It was not looked for."),
        ball=FoundBall(centre_px=scene.ball_px, diameter_px=float(np.linalg.norm(sides[1] - sides[0])), sd_px=0.5),
    )
    near = evolve(scene.distance_cm, value=0.6 * scene.distance_cm.value, standard_uncertainty=120.0)
    wrong = evolve(
        scene.px_per_cm, value=1.03 * scene.px_per_cm.value, standard_uncertainty=0.034 * scene.px_per_cm.value
    )
    off = evolve(result, scene=evolve(scene, distance_cm=near, px_per_cm=wrong))
    true = truth_of(SWING)["putter_back"]
    plain, helped = (
        measure_strokes({"face_on": evolve(off, finds=each)}, student_of(GOLFER), events_by=known_events(SWING))
        for each in (None, finds)
    )
    before, after = plain.numbers["putter_back"], helped.numbers["putter_back"]
    assert abs(before.value / true - 1) > 0.05
    assert after.value == pytest.approx(true, rel=0.02)
    assert after.low <= true <= after.high
    assert after.standard_uncertainty < 0.7 * before.standard_uncertainty


def test_hands_whose_landmarks_stay_behind_are_told_by_the_shaft_that_they_hold() -> None:
    """Landmarks of hands that swing went 1 to 12 % less far than the hands, in rendered strokes."""
    camera, rng = CAMERAS["face_on"], np.random.default_rng(1)
    seen, _ = film(GOLFER, camera, SWING, rng=rng, noise_px=0.2)
    at, head, _ = positions(GOLFER, SWING, seen.times_s)
    names = [LANDMARK_INDEX[f"{side}_{joint}"] for side in ("left", "right") for joint in HAND_POINTS]
    hands = at[:, names].mean(axis=1)
    butt = hands + 0.15 * (hands - head)
    shaft = np.stack([camera.project(butt), camera.project(head)], axis=1)
    behind = seen.points_px.copy()
    behind[:, names] = behind[0, names] + 0.9 * (behind[:, names] - behind[0, names])
    seen = evolve(seen, points_px=behind, at_events=None, event_names=())
    numbers = {}
    for how, each in (("landmarks", seen), ("shaft", evolve(seen, shaft_px=shaft))):
        result = view_of(GOLFER, camera, [each], rng=np.random.default_rng(2), noise_px=0.2)
        measured = measure_strokes({"face_on": result}, student_of(GOLFER), events_by=known_events(SWING))
        numbers[how] = measured.numbers
    for name in ("hands_back", "hands_through"):
        true = truth_of(SWING)[name]
        assert numbers["landmarks"][name].value < 0.94 * true
        assert numbers["shaft"][name].value == pytest.approx(true, rel=0.03)
        assert numbers["shaft"][name].low <= true <= numbers["shaft"][name].high
        assert "shaft" in numbers["shaft"][name].method
        assert "landmarks" in numbers["landmarks"][name].method
