"""OpenCV's own face detectors see faces in the golfers before they are hidden, and none after.

The cascades are those of Viola and Jones, 2001, "Rapid object detection using a boosted cascade of simple features",
as OpenCV trained and ships them, with its own defaults. They are made for photographs of upright faces, so that they
see only some of the bowed, rendered ones: those are the cases.
"""

from pathlib import Path
from typing import Final

import cv2
import numpy as np
import pytest
from PIL import Image

from putt_posture.drawing import hide_heads
from putt_posture.landmarks import find_heads

TESTS = Path(__file__).parents[1]
PICTURES: Final = (
    TESTS / "accuracy" / "golfers" / "golfer_044_usual" / "dtl.jpg",
    TESTS / "accuracy" / "golfers" / "golfer_040_usual" / "dtl.jpg",
    TESTS / "accuracy" / "golfers" / "golfer_042_usual" / "fo.jpg",
    TESTS / "landmarks" / "pictures" / "golfer_down_the_line.jpg",
)
CASCADES: Final = ("frontalface_default", "frontalface_alt", "frontalface_alt2", "profileface")
SIDE: Final = 400
"""Pixels of the square around the head in which is searched, four radii wide."""
LEAST_SEEN: Final = 3
"""Pairs of picture and cascade with a face before; nothing would be shown by a detector that sees none."""


@pytest.fixture(scope="module")
def detectors():
    return {name: cv2.CascadeClassifier(f"{cv2.data.haarcascades}haarcascade_{name}.xml") for name in CASCADES}


def faces(detector, picture, head):
    """Count the faces whose middle lies on the head, in the picture and in its mirror image."""
    u, v = (round(each) for each in head.centre_px)
    reach = round(2 * head.radius_px)
    padded = np.pad(picture, ((reach, reach), (reach, reach), (0, 0)), mode="edge")
    square = np.ascontiguousarray(padded[v : v + 2 * reach, u : u + 2 * reach])
    grey = cv2.cvtColor(cv2.resize(square, (SIDE, SIDE)), cv2.COLOR_RGB2GRAY)
    found = [box for each in (grey, cv2.flip(grey, 1)) for box in detector.detectMultiScale(each)]
    middles = [(x + w / 2 - SIDE / 2, y + h / 2 - SIDE / 2) for x, y, w, h in found]
    return sum(np.hypot(*middle) < SIDE / 4 for middle in middles)


def test_no_cascade_sees_a_face_any_more_where_it_saw_one(detectors):
    before, after = [], []
    for path in PICTURES:
        picture = np.asarray(Image.open(path).convert("RGB"))
        heads = find_heads(picture)
        hidden = hide_heads(picture, heads)
        for name, detector in detectors.items():
            case = f"{path.parent.name}/{path.name} {name}"
            before += [case] if faces(detector, picture, heads[0]) else []
            after += [case] if faces(detector, hidden, heads[0]) else []
    assert len(before) >= LEAST_SEEN
    assert after == []
