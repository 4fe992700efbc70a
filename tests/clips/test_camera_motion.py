"""The camera's own motion, in a sample picture that is moved by known maps."""

from pathlib import Path

import cv2
import numpy as np
import pytest

from putt_posture.clips import CameraWatch, read_clip, read_frames_at

SAMPLE = Path(__file__).parents[2] / "sample_clips" / "before" / "face_on.mp4"
STUDENT = (151.0, 247.0, 587.0, 1083.0)
SCALE = 0.5
PLACES = np.array([[360.0, 640.0], [250.0, 900.0], [420.0, 300.0]])
"""Points on the student, at which the maps are compared."""
WITHIN_PX = 0.3
"""Largest error of a point moved by the map, root mean square, full-size pixels: 0.07 cm at 4 pixels a cm."""


@pytest.fixture(scope="module")
def still():
    return read_frames_at(read_clip(SAMPLE, view="face_on"), [0.5])[0].picture


def small(picture):
    return cv2.resize(picture, None, fx=SCALE, fy=SCALE, interpolation=cv2.INTER_AREA)


def seen_through(still, maps, *, noise=4.0, passer_by=False):
    """Return what is told of a camera that saw the still through maps from the still into each frame."""
    chance = np.random.default_rng(7)
    watch = CameraWatch(small(still), scale=SCALE, without=[STUDENT])
    for number, moved in enumerate(maps):
        frame = cv2.warpAffine(still, moved, still.shape[1::-1], borderMode=cv2.BORDER_REPLICATE)
        if passer_by:
            left = 20 + 12 * number
            frame[350:900, left : left + 110] = chance.integers(0, 255, (550, 110, 3))
        seen = small(frame)
        watch.push(np.clip(seen + chance.normal(0, noise / 2, seen.shape), 0, 255).astype(np.uint8))
    return watch.finish()


def hand_held(amplitude_px, *, count=24, turn_deg=0.3):
    times = np.arange(count) / 30
    maps = []
    for time_s in times:
        turn = np.radians(turn_deg) * np.sin(3 * time_s)
        size = 1 + 0.002 * np.sin(2 * time_s)
        turned = size * np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
        shift = amplitude_px * np.array([np.sin(4.4 * time_s + 0.3), np.sin(5 * time_s + 1.7)])
        middle = np.array([360.0, 640.0])
        maps.append(np.column_stack([turned, middle + shift - turned @ middle]))
    return maps


def error_px(seen, maps):
    def moved(each):
        return np.einsum("nij,pj->npi", each[:, :, :2], PLACES) + each[:, None, :, 2]

    truth = np.array([cv2.invertAffineTransform(each) for each in maps])
    return float(np.sqrt(np.mean(np.sum((moved(seen.maps_px) - moved(truth)) ** 2, axis=2))))


def test_a_camera_that_stood_gives_exactly_the_identity(still) -> None:
    seen = seen_through(still, [np.eye(2, 3)] * 20)
    assert seen.state == "stood"
    assert seen.sd_px == 0.0
    np.testing.assert_array_equal(seen.maps_px, np.tile(np.eye(2, 3), (20, 1, 1)))


def test_a_faint_wall_is_not_taken_for_a_camera_that_moved_too_much() -> None:
    """Corners that are too faint to be followed count neither as still nor as moved."""
    tiles = (np.indices((1280, 720)) // 40).sum(axis=0) % 2
    wall = np.where(np.arange(1280)[:, None] < 1000, 120 + 2 * tiles, 120 + 25 * tiles).astype(np.uint8)
    assert seen_through(np.repeat(wall[..., None], 3, axis=2), [np.eye(2, 3)] * 20, noise=2.0).state == "stood"


@pytest.mark.parametrize("amplitude_px", [3.0, 15.0, 60.0])
def test_a_hand_held_camera_is_told_within_its_uncertainty(still, amplitude_px) -> None:
    maps = hand_held(amplitude_px)
    seen = seen_through(still, maps)
    assert seen.state == "moved"
    assert seen.largest_px == pytest.approx(amplitude_px * 1.4, rel=0.5)
    assert error_px(seen, maps) < WITHIN_PX
    assert error_px(seen, maps) < 2 * seen.sd_px


def test_a_passer_by_does_not_move_the_camera(still) -> None:
    assert seen_through(still, [np.eye(2, 3)] * 24, passer_by=True).state == "stood"


def test_a_camera_that_swings_about_is_called_wild(still) -> None:
    assert seen_through(still, hand_held(260.0, turn_deg=8)).state == "wild"


def test_before_a_bare_wall_the_motion_is_not_known() -> None:
    wall = np.full((1280, 720, 3), 180, dtype=np.uint8)
    seen = seen_through(wall, [np.eye(2, 3)] * 5, noise=0.0)
    assert seen.state == "unknown"
    np.testing.assert_array_equal(seen.maps_px, np.tile(np.eye(2, 3), (5, 1, 1)))
