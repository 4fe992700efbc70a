"""Sample lessons, to be drawn."""

import pytest

from putt_posture import measure_lesson
from putt_posture.demo import load_samples


@pytest.fixture(scope="session")
def sample_lessons():
    """Sample lessons as the command measures them, without strokes: one right-handed and one left-handed."""
    return {
        each.name: measure_lesson(student=each.student, setup_only=True, **each.clips)
        for each in load_samples()
        if each.name in ("before", "left_hander")
    }
