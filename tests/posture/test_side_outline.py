"""The trunk's outline on drawn bodies whose back, front and curvature are known by construction."""

import itertools
import math

import cv2
import numpy as np
import pytest
from attrs import evolve

from putt_posture.posture.back import CURVE_MISS_DEG, BackOutline, rounding_about
from putt_posture.posture.back_curve import ABOVE_PELVIS, BELOW_NECK, NAPE_STATION
from putt_posture.posture.side_outline import ARM_CM, outline_depths, read_side_outline
from putt_posture.values import LANDMARK_INDEX, LANDMARK_NAMES, Landmarks

PX_PER_CM = 5.0
SPINE_CM = 45.0
HIP_PX = np.array([300.0, 620.0])
SIZE = (800, 800)
EDGE_TOLERANCE_CM = 0.15
"""Drawing to whole pixels is half a pixel, 0.1 cm; a little more for smoothing along the back."""
ROUNDING_TOLERANCE_DEG = 1.5
"""Half a pixel at each end of a window of 9 cm is 1.3 deg."""


def axes(tilt_deg: float, forward: int) -> tuple[np.ndarray, np.ndarray]:
    """Return the unit vectors along the spine line and ahead of it, picture axes."""
    tilt = math.radians(tilt_deg)
    along = np.array([forward * math.sin(tilt), -math.cos(tilt)])
    return along, forward * np.array([-along[1], along[0]])


def see(behind, ahead, *, tilt_deg=35.0, forward=1, elbow=None, drawn_arm=False) -> Landmarks:
    """Draw a trunk between two outlines, functions of the station, cm; `elbow` is (station, cm ahead)."""
    along, front = axes(tilt_deg, forward)

    def place(station: float, across_cm: float) -> np.ndarray:
        return HIP_PX + PX_PER_CM * (station * SPINE_CM * along + across_cm * front)

    stations = np.linspace(-0.4, 1.6, 400)
    rim = [place(s, -behind(s)) for s in stations] + [place(s, ahead(s)) for s in stations[::-1]]
    mask = np.zeros(SIZE, dtype=np.uint8)
    cv2.fillPoly(mask, [np.rint(np.array(rim) * 16).astype(np.int32)], 255, shift=4)
    points = np.full((1, len(LANDMARK_NAMES), 2), np.nan)
    elbow_at, wrist_at = (0.5, 12.0) if elbow is None else elbow, (0.2, 22.0)
    chain = {"shoulder": place(1.0, 0.0), "elbow": place(*elbow_at), "wrist": place(*wrist_at)}
    for side in ("left", "right"):
        points[0, LANDMARK_INDEX[f"{side}_hip"]] = HIP_PX
        for part, at in chain.items() if elbow is not None else [("shoulder", chain["shoulder"])]:
            points[0, LANDMARK_INDEX[f"{side}_{part}"]] = at
    if drawn_arm:
        line = [np.rint(chain[part]).astype(int).tolist() for part in ("shoulder", "elbow", "wrist")]
        for start, end in itertools.pairwise(line):
            cv2.line(mask, start, end, 255, thickness=round(9 * PX_PER_CM))
    return Landmarks(
        view="down_the_line",
        times_s=np.zeros(1),
        setup_index=np.zeros(1, dtype=np.int64),
        points_px=points,
        visibility=np.ones((1, len(LANDMARK_NAMES))),
        depth=np.zeros((1, len(LANDMARK_NAMES))),
        masks=mask[None],
        mask_box_px=(0, 0, SIZE[1], SIZE[0]),
        size_px=SIZE[::-1],
        model="drawn",
    )


def depths(landmarks, stations, *, forward=1):
    outline = read_side_outline(landmarks, 0, forward=forward, px_per_cm=PX_PER_CM)
    return [frames[0] for frames in outline_depths([outline], stations, px_per_cm=PX_PER_CM)]


def rounding_of(back: BackOutline, *, forward: int = 1) -> float:
    """Return the rounding of one outline, seen by a camera that stands square and level."""
    hip, shoulder, nape = (point[None] * (forward, -1) for point in (back.hip_px, back.shoulder_px, back.nape_px))
    return float(rounding_about(hip, shoulder, edge=back.edge_px[None] * (forward, -1), nape=nape)[0])


@pytest.mark.parametrize("forward", [1, -1])
@pytest.mark.parametrize("tilt_deg", [15.0, 35.0, 55.0])
def test_back_and_front_lie_where_they_were_drawn(tilt_deg, forward) -> None:
    landmarks = see(lambda s: 8 + 2 * math.sin(3 * s), lambda s: 10 + 3 * s, tilt_deg=tilt_deg, forward=forward)
    stations = np.array([0.3, 0.5, 0.7, 0.9])
    behind, ahead = depths(landmarks, stations, forward=forward)
    np.testing.assert_allclose(behind, 8 + 2 * np.sin(3 * stations), atol=2 * EDGE_TOLERANCE_CM)
    np.testing.assert_allclose(ahead, 10 + 3 * stations, atol=2 * EDGE_TOLERANCE_CM)


def test_an_arm_before_the_trunk_is_not_taken_for_its_front() -> None:
    elbow = (0.5, 14.0)
    landmarks = see(lambda s: 8.0, lambda s: 11.0, elbow=elbow, drawn_arm=True)
    _, (ahead,) = depths(landmarks, [elbow[0]])
    assert landmarks.outlines[0].any()
    assert ahead == pytest.approx(11.0, abs=2.0)  # nearest free station, with the usual taper of a trunk
    bare = see(lambda s: 8.0, lambda s: 11.0, drawn_arm=True)
    _, (fooled,) = depths(bare, [elbow[0]])
    assert fooled > 11.0 + ARM_CM / 2  # the same picture without knowing of the arm


def test_depths_are_nan_without_an_outline_or_a_spine_line() -> None:
    landmarks = see(lambda s: 8.0, lambda s: 11.0)
    empty = evolve(landmarks, outlines=np.zeros_like(landmarks.outlines))
    lost = evolve(landmarks, points_px=np.full_like(landmarks.points_px, np.nan))
    for nothing in (empty, lost):
        assert np.isnan(depths(nothing, [0.3, 0.6])).all()


def test_depths_follow_the_refined_outline_and_not_the_mask() -> None:
    landmarks = see(lambda s: 8.0, lambda s: 11.0)
    wider = see(lambda s: 9.5, lambda s: 11.0)
    behind, _ = depths(evolve(landmarks, outlines=wider.outlines), [0.5])
    assert behind[0] == pytest.approx(9.5, abs=2 * EDGE_TOLERANCE_CM)


@pytest.mark.parametrize("forward", [1, -1])
@pytest.mark.parametrize("curve_cm", [0.0, 6.0, 14.0])
def test_rounding_is_the_angle_between_the_tangents_of_a_drawn_back(curve_cm, forward) -> None:
    landmarks = see(lambda s: 10 - curve_cm * (s - 0.6) ** 2, lambda s: 11.0, forward=forward)
    back = read_side_outline(landmarks, 0, forward=forward, px_per_cm=PX_PER_CM).back
    assert rounding_of(back, forward=forward) == pytest.approx(turn_of(curve_cm), abs=ROUNDING_TOLERANCE_DEG)


def turn_of(curve_cm: float) -> float:
    """Return what a back behind(s) = 10 − c (s − m)² turns: its slope at s is −2 c (s − m) per spine line."""
    low, high = (share * NAPE_STATION for share in (ABOVE_PELVIS, BELOW_NECK))
    leans = [math.degrees(math.atan(-2 * curve_cm * (at - 0.6) / SPINE_CM)) for at in (low, high)]
    return leans[0] - leans[1] - CURVE_MISS_DEG


def test_a_fold_of_the_shirt_hardly_changes_the_rounding() -> None:
    def folded(s: float) -> float:
        return 10 - 6.0 * (s - 0.6) ** 2 + (1.5 if 0.40 < s < 0.50 else 0.0)

    back = read_side_outline(see(folded, lambda s: 11.0), 0, forward=1, px_per_cm=PX_PER_CM).back
    assert rounding_of(back) == pytest.approx(turn_of(6.0), abs=2 * ROUNDING_TOLERANCE_DEG)
    assert back.misfit < 0.01


def test_tangents_follow_where_the_neck_begins() -> None:
    landmarks = see(lambda s: 10 - 14.0 * (s - 0.6) ** 2, lambda s: 11.0)
    along, _ = axes(35.0, 1)
    napes = [HIP_PX + station * PX_PER_CM * SPINE_CM * along for station in (1.1, 1.3)]
    near, far = (read_side_outline(landmarks, 0, forward=1, px_per_cm=PX_PER_CM, nape_px=nape).back for nape in napes)
    assert near.nape == pytest.approx(1.1)
    assert rounding_of(far) > rounding_of(near) + 2.0
    lost = read_side_outline(landmarks, 0, forward=1, px_per_cm=PX_PER_CM, nape_px=np.full(2, np.nan)).back
    assert lost.nape == NAPE_STATION


def test_the_rounding_is_nan_where_the_back_is_cut_off() -> None:
    landmarks = see(lambda s: 8.0, lambda s: 11.0)
    outlines = landmarks.outlines.copy()
    outlines[:, :520] = 0
    cut = read_side_outline(evolve(landmarks, outlines=outlines), 0, forward=1, px_per_cm=PX_PER_CM).back
    assert math.isnan(rounding_of(cut))
    assert cut.tangents() == ()
