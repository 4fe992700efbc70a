"""The landmarks come back from their file as they were."""

import io

import numpy as np

from putt_posture.documents.arrays import write_arrays
from putt_posture.values import LANDMARK_NAMES


def test_every_array_comes_back_without_pickle(lesson):
    stream = io.BytesIO()
    write_arrays(lesson, stream)
    stream.seek(0)
    with np.load(stream, allow_pickle=False) as stored:
        assert tuple(stored["landmark_names"]) == LANDMARK_NAMES
        assert list(stored["views"]) == list(lesson.views)
        for view, result in lesson.views.items():
            for name in (
                "points_px",
                "visibility",
                "depth",
                "masks",
                "mask_box_px",
                "outlines",
                "size_px",
                "times_s",
                "setup_index",
            ):
                np.testing.assert_array_equal(stored[f"{view}.{name}"], getattr(result.landmarks, name))
            assert int(stored[f"{view}.still_index"]) == result.still_index
            assert str(stored[f"{view}.model"]) == result.landmarks.model
