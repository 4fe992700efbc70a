"""How coarse a picture is found to be, on pictures of noise that were made smaller and large again."""

import cv2
import numpy as np
import pytest

from putt_posture.landmarks.resolution import find_resolution
from putt_posture.values import LANDMARK_NAMES

SIZE = 480
HALF_TO_THIRD = (1 / 3.5, 1 / 1.2)


@pytest.fixture
def picture() -> np.ndarray:
    """A figure with edges and texture of every size, as cloth and grass have."""
    rng = np.random.default_rng(4)
    layers = [cv2.resize(rng.normal(size=(SIZE // k, SIZE // k)), (SIZE, SIZE)) for k in (1, 2, 4, 8, 16, 32)]
    grey = np.clip(128 + 25 * sum(layers), 0, 255).astype(np.uint8)
    cv2.circle(grey, (SIZE // 2, SIZE // 2), SIZE // 4, 255, -1)
    return np.repeat(grey[..., None], 3, axis=2)


@pytest.fixture
def points() -> np.ndarray:
    rng = np.random.default_rng(5)
    return rng.uniform(40, SIZE - 40, (len(LANDMARK_NAMES), 2))


def enlarged(picture: np.ndarray, times: float) -> np.ndarray:
    small = cv2.resize(picture, None, fx=1 / times, fy=1 / times, interpolation=cv2.INTER_AREA)
    return cv2.resize(small, (SIZE, SIZE), interpolation=cv2.INTER_CUBIC)


def test_a_sharp_picture_has_a_grain_of_one_pixel(picture, points) -> None:
    assert find_resolution(picture, points) == 1.0


@pytest.mark.parametrize("times", [4.0, 8.0, 12.0])
def test_an_enlarged_picture_has_a_grain_that_grows_with_it(picture, points, times) -> None:
    low, high = HALF_TO_THIRD
    assert low * times <= find_resolution(enlarged(picture, times), points) <= high * times


def test_a_picture_without_a_person_counts_as_sharp(picture) -> None:
    assert find_resolution(picture, np.full((len(LANDMARK_NAMES), 2), np.nan)) == 1.0
