"""Our landmark names against the enumeration that MediaPipe publishes in its package (PoseLandmark)."""

from mediapipe.tasks.python import vision

from putt_posture.landmarks.swaps import GROUPS
from putt_posture.values import LANDMARK_NAMES


def test_names_and_order_are_those_of_mediapipe() -> None:
    assert [name.upper() for name in LANDMARK_NAMES] == [mark.name for mark in vision.PoseLandmark]
    assert [mark.value for mark in vision.PoseLandmark] == list(range(len(LANDMARK_NAMES)))


def test_every_sided_landmark_is_in_one_pair_of_left_and_right() -> None:
    published = {mark.name: mark.value for mark in vision.PoseLandmark}
    expected = {
        (value, published[name.replace("LEFT", "RIGHT")]) for name, value in published.items() if "LEFT" in name
    }
    pairs = [tuple(int(number) for number in pair) for group in GROUPS.values() for pair in group]
    assert set(pairs) == expected
    assert len(pairs) == len(set(pairs))
