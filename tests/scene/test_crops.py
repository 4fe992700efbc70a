"""What stands still behind putter and ball, from crops that each show a part of it."""

import numpy as np
import pytest

from putt_posture.scene.crops import Background


def random_crops(count: int) -> np.ndarray:
    return np.random.default_rng(count).integers(0, 256, (count, 23, 31, 3), dtype=np.uint8)


@pytest.mark.parametrize("count", [1, 2, 3, 7, 24, 25])
def test_the_plain_median_is_the_lower_middle_one_of_the_ordered_values(count):
    crops = random_crops(count)
    assert np.array_equal(Background.of(crops).median, np.sort(crops, axis=0)[(count - 1) // 2])


@pytest.mark.parametrize("count", [2, 9, 25])
def test_what_the_putter_covers_does_not_count(count):
    crops = random_crops(count)
    hidden = np.random.default_rng(0).random((count, 23, 31)) < 0.4
    hidden[:, :5] = False
    hidden[:, 9, 4:8] = True
    found = Background.of(crops).without(hidden, make_up=False)
    for row, column in np.ndindex(23, 31):
        shown = crops[~hidden[:, row, column], row, column]
        if len(shown) == 0:
            shown = crops[:, row, column]
        assert np.array_equal(found[row, column], np.sort(shown, axis=0)[(len(shown) - 1) // 2])


def test_what_is_covered_in_each_crop_is_made_up_from_what_lies_around():
    crops = np.full((5, 23, 31, 3), 80, dtype=np.uint8)
    hidden = np.zeros((5, 23, 31), dtype=bool)
    hidden[:, 10:13, 10:13] = True
    crops[hidden] = 250
    made_up = Background.of(crops).without(hidden, make_up=True)
    assert np.abs(made_up.astype(int) - 80).max() <= 1
