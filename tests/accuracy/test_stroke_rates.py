"""Clips at other rates: which frames are kept, and when they are shown."""

from pathlib import Path

import numpy as np
import pytest
from attrs import frozen
from stroke_rates import film_at, thin_clip

from putt_posture.clips import iterate_frames, read_clip
from putt_posture.errors import UsageError

FILMED = Path(__file__).with_name("pendulum.mp4")
FRAMES = 201


@frozen
class MadeUpTake:
    """A take that is the pendulum from both sides."""

    rate: int
    name: str = "stroke_001"

    @property
    def truth(self):
        return {"views": {"face_on": {"rate": self.rate}, "down_the_line": {"rate": self.rate}}}

    def clip(self, view):
        return FILMED


def times_of(path, **options):
    clip = read_clip(path, view="face_on", **options)
    return clip, np.array([frame.time_s for frame in iterate_frames(clip)])


def test_every_second_frame_is_kept_at_its_own_time(tmp_path):
    thin_clip(FILMED, tmp_path / "half.mp4", every=2, played_hz=30)
    _, times = times_of(tmp_path / "half.mp4")
    _, whole = times_of(FILMED)
    assert times == pytest.approx(whole[::2], abs=1e-4)


def test_slow_motion_stretches_time_eight_times(tmp_path):
    paths, capture_hz = film_at(MadeUpTake(rate=240), "slow", tmp_path)
    clip, times = times_of(paths["face_on"], capture_rate_hz=capture_hz)
    assert len(times) == FRAMES
    assert clip.time_stretch == pytest.approx(8, rel=0.01)


@pytest.mark.parametrize(("filmed", "rate"), [(60, "240"), (60, "slow"), (240, "30")])
def test_rate_that_cannot_be_made_of_a_take_is_refused(tmp_path, filmed, rate):
    with pytest.raises(UsageError, match=r"make_strokes\.py --rate"):
        film_at(MadeUpTake(rate=filmed), rate, tmp_path)
