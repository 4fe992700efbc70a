"""The camera's yaw from the target line on the ground, against a pinhole camera written down once more."""

import math

import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.errors import UsageError
from putt_posture.scene.target import MOST_YAW_DEG, find_target_yaw, join_yaws
from putt_posture.values import Estimate, Scene

SIZE = (1080, 1920)
SCALE, DISTANCE_CM, HEIGHT_CM = 6.0, 450.0, 95.0
EXACT = 1e-6  # deg; the same formulas, so only rounding


def number(value, sd, unit):
    return Estimate(value=value, standard_uncertainty=sd, unit=unit)


def scene(view, *, forward=1, roll_deg=0.0, roll_sd=0.3, distance_share=0.03):
    return Scene(
        view=view,
        px_per_cm=number(SCALE, 0.02 * SCALE, "px/cm"),
        scale_source="stature",
        roll=number(roll_deg, roll_sd, "deg"),
        yaw=number(0.0, 4.0, "deg"),
        forward=forward,
        ground_v_px=number(SIZE[1] / 2 + SCALE * HEIGHT_CM, 0.8 * SCALE, "px"),
        distance_cm=number(DISTANCE_CM, distance_share * DISTANCE_CM, "cm"),
    )


def film(along_cm, toward_cm, *, yaw_deg, forward=1, roll_deg=0.0):
    """Return where a level pinhole camera sees a point of the ground, px."""
    yaw, roll = math.radians(yaw_deg), math.radians(roll_deg)
    across = along_cm * math.cos(yaw) - toward_cm * math.sin(yaw)
    depth = DISTANCE_CM - along_cm * math.sin(yaw) - toward_cm * math.cos(yaw)
    focal = SCALE * DISTANCE_CM
    right, down = forward * focal * across / depth, focal * HEIGHT_CM / depth
    u = right * math.cos(roll) - down * math.sin(roll)
    v = right * math.sin(roll) + down * math.cos(roll)
    return SIZE[0] / 2 + u, SIZE[1] / 2 + v


def film_line(view, *, beside_cm=30.0, **camera):
    """Return two points of a line parallel to the target line: away from the camera, or across the picture."""
    if view == "down_the_line":
        return film(beside_cm, 60.0, **camera), film(beside_cm, -150.0, **camera)
    return film(-40.0, beside_cm, **camera), film(70.0, beside_cm, **camera)


@pytest.mark.parametrize("view", ["down_the_line", "face_on"])
@given(
    yaw_deg=st.floats(-20, 20),
    roll_deg=st.floats(-3, 3),
    forward=st.sampled_from([-1, 1]),
    beside_cm=st.floats(-20, 60),
)
def test_the_yaw_of_a_pinhole_camera_is_found(view, yaw_deg, roll_deg, forward, beside_cm) -> None:
    camera = {"yaw_deg": yaw_deg, "forward": forward, "roll_deg": roll_deg}
    line = film_line(view, beside_cm=beside_cm, **camera)
    # A rolled picture shows the ground under its middle at another height.
    seen = evolve(scene(view, forward=forward, roll_deg=roll_deg))
    found = find_target_yaw(line, seen, SIZE)
    assert found.value == pytest.approx(yaw_deg, abs=EXACT)
    assert find_target_yaw(line[::-1], seen, SIZE).value == pytest.approx(yaw_deg, abs=EXACT)


def test_each_cause_of_uncertainty_widens_it() -> None:
    line = film_line("down_the_line", yaw_deg=6.0)
    sure = find_target_yaw(line, scene("down_the_line"), SIZE).standard_uncertainty
    assert find_target_yaw(line, scene("down_the_line", roll_sd=2.0), SIZE).standard_uncertainty > sure
    guessed = find_target_yaw(line, scene("down_the_line", distance_share=0.4), SIZE).standard_uncertainty
    assert guessed > sure
    short = film(30.0, 20.0, yaw_deg=6.0), film(30.0, 10.0, yaw_deg=6.0)
    assert find_target_yaw(short, scene("down_the_line"), SIZE).standard_uncertainty > 3 * sure


def test_face_on_the_target_line_tells_the_yaw_much_less_surely() -> None:
    side, front = (
        find_target_yaw(film_line(view, yaw_deg=3.0), scene(view), SIZE).standard_uncertainty
        for view in ("down_the_line", "face_on")
    )
    assert front > 2 * side


def test_it_is_joined_with_the_body_by_precision() -> None:
    joined = join_yaws(number(6.0, 1.0, "deg"), number(2.0, 2.0, "deg"))
    assert joined.value == pytest.approx((6.0 / 1 + 2.0 / 4) / (1 + 1 / 4))
    assert joined.standard_uncertainty == pytest.approx(1 / math.sqrt(1 + 1 / 4))


@pytest.mark.parametrize(
    ("line", "says"),
    [
        (((500.0, 300.0), (520.0, 1500.0)), "two different points of the ground"),
        (((500.0, 1500.0), (500.0, 1500.5)), "two different points of the ground"),
        (((100.0, 1500.0), (900.0, 1501.0)), "off square"),
    ],
)
def test_what_cannot_be_the_target_line_is_refused(line, says) -> None:
    with pytest.raises(UsageError, match=says):
        find_target_yaw(line, scene("down_the_line"), SIZE)
    assert MOST_YAW_DEG < 45
