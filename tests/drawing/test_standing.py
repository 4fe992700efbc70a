"""Views are placed by their feet, ground, scale and true vertical."""

import numpy as np
import pytest
from attrs import evolve
from compared import paper_view

from putt_posture.drawing.outlines import find_body_frame, find_placing, find_still_frame
from putt_posture.values import absent

PIXEL = 0.25
"""cm: a pixel of the drawn post at the coarsest scale used here."""


@pytest.mark.parametrize(("px_per_cm", "roll_deg"), [(5.0, 0.0), (4.0, 3.0), (7.5, -4.0)])
def test_a_post_has_its_size_whatever_the_scale_and_the_roll(px_per_cm, roll_deg) -> None:
    view = paper_view(px_per_cm=px_per_cm, roll_deg=roll_deg)
    frame = find_body_frame(view, find_placing(view))
    assert frame == pytest.approx((-10.0, 0.0, 10.0, 150.0), abs=PIXEL)


def test_the_still_frame_holds_nothing_beyond_the_still() -> None:
    view = paper_view(roll_deg=3.0)
    placing = find_placing(view)
    left, bottom, right, top = find_still_frame(view, placing)
    corners = placing.points(np.array([[left, top], [right, top], [right, bottom], [left, bottom]]))
    assert all(-1e-6 <= u <= 1080 + 1e-6 and -1e-6 <= v <= 1920 + 1e-6 for u, v in corners)
    assert right - left > 0.8 * 1080 / 5.0


@pytest.mark.parametrize(
    "lacking",
    [
        {"px_per_cm": absent("There is no scale.", unit="px/cm")},
        {"ground_v_px": None},
    ],
    ids=["scale", "ground"],
)
def test_without_scale_or_ground_there_is_no_placing(lacking) -> None:
    view = paper_view()
    assert find_placing(evolve(view, record=evolve(view.record, **lacking))) is None


def test_one_ankle_is_enough_and_none_is_not() -> None:
    view = paper_view()
    joints = view.joints_px.copy()
    joints[27] = np.nan  # the left ankle
    assert find_placing(evolve(view, joints_px=joints)) is not None
    joints[28] = np.nan
    assert find_placing(evolve(view, joints_px=joints)) is None
