"""How far the outline lies from the body's own lines, on bodies drawn with known thickness."""

import cv2
import numpy as np
import pytest
from attrs import evolve
from stick_golfer import SIZE, Camera, Golfer, see

from putt_posture.joints.features import Body
from putt_posture.joints.outline_features import read_outline_features
from putt_posture.values import Landmarks

LEG_HALF_PX = 31.0
TRUNK_HALF_PX = 55.0
SAME_PX = 2.0
"""A drawn edge is a pixel wide, and a ray is read in steps of two or three."""


def thick(golfer: Golfer, camera: Camera) -> Landmarks:
    """The stick golfer with round limbs of known breadth as the outline."""
    seen = see(golfer, camera, frames=1)
    mask = np.zeros(SIZE[::-1], dtype=np.uint8)

    def limb(start, end, half: float) -> None:
        ends = (tuple(round(16 * value) for value in point) for point in (start, end))
        cv2.line(mask, *ends, 255, thickness=int(2 * half), lineType=cv2.LINE_AA, shift=4)

    def at(name: str) -> np.ndarray:
        return np.asarray(seen.point(name)[0])

    for side in ("left", "right"):
        limb(at(f"{side}_ankle"), at(f"{side}_knee"), LEG_HALF_PX)
        limb(at(f"{side}_knee"), at(f"{side}_hip"), LEG_HALF_PX)
    if camera.view == "down_the_line":
        limb(seen.middle("hip")[0], seen.middle("shoulder")[0], TRUNK_HALF_PX)
    return evolve(seen, masks=mask[None], outlines=mask[None], mask_box_px=(0, 0, *SIZE))


def features_px(golfer: Golfer, camera: Camera) -> dict[str, float]:
    seen = thick(golfer, camera)
    body = Body(seen, handed="left" if golfer.left_handed else "right", roll_deg=camera.roll_deg)
    features = read_outline_features(seen, body, roll_deg=camera.roll_deg)
    return {name: float(value[0] * body.size_px[0]) for name, value in features.items()}


@pytest.mark.parametrize("left_handed", [False, True])
def test_the_seat_lies_half_the_trunk_behind_the_spine_line(left_handed):
    features = features_px(Golfer(left_handed=left_handed), Camera(distance_cm=4000.0, focal_px=15000.0))
    assert features["behind trunk 0.15"] == pytest.approx(TRUNK_HALF_PX, abs=SAME_PX)


@pytest.mark.parametrize("left_handed", [False, True])
def test_a_shank_is_as_thick_as_it_was_drawn_on_every_side(left_handed):
    side = features_px(Golfer(left_handed=left_handed), Camera(distance_cm=4000.0, focal_px=15000.0))
    assert side["behind ankle 0.3"] == pytest.approx(LEG_HALF_PX, abs=SAME_PX)
    assert side["before ankle 0.3"] == pytest.approx(LEG_HALF_PX, abs=SAME_PX)
    front = features_px(Golfer(stance_cm=40.0, left_handed=left_handed), Camera(view="face_on"))
    for name in ("outside lead ankle 0.3", "inside trail ankle 0.3"):
        assert front[name] == pytest.approx(LEG_HALF_PX, rel=0.1)  # the shank leans, and is cut level


def test_a_line_that_leaves_the_person_says_nothing():
    seen = see(Golfer(), Camera(), frames=1)
    body = Body(seen, handed="right", roll_deg=0.0)
    assert np.isnan(list(read_outline_features(seen, body, roll_deg=0.0).values())).all()
