"""Pictures of a camera joined into a clip: nothing is lost of pictures or times."""

import io

import av
import cv2
import numpy as np
import pytest

from putt_posture.clips import iterate_frames, read_clip
from putt_posture.clips.motion_jpeg import MOST_PICTURES, join_pictures
from putt_posture.errors import UsageError

TIMES_S = (20.0, 20.033, 20.1, 20.2)


def pictures(count=4, size=(64, 48)):
    shades = [np.full((size[1], size[0], 3), 40 + 50 * number, dtype=np.uint8) for number in range(count)]
    return [cv2.imencode(".jpg", shade)[1].tobytes() for shade in shades]


def test_the_clip_holds_the_very_bytes_of_the_pictures():
    sent = pictures()
    with av.open(io.BytesIO(join_pictures(sent, TIMES_S, size_px=(64, 48)))) as clip:
        got = [bytes(packet) for packet in clip.demux(video=0) if packet.size]
    assert got == sent


def test_the_clip_is_read_with_its_true_times_like_any_other(tmp_path):
    path = tmp_path / "held.mov"
    path.write_bytes(join_pictures(pictures(), TIMES_S, size_px=(64, 48)))
    frames = list(iterate_frames(read_clip(path, view="face_on")))
    assert [frame.time_s for frame in frames] == pytest.approx([0.0, 0.033, 0.1, 0.2], abs=1e-3)
    assert [int(np.median(frame.picture)) for frame in frames] == pytest.approx([40, 90, 140, 190], abs=3)


@pytest.mark.parametrize("times", [(0.0, 0.1, 0.1, 0.2), (0.0, 0.2, 0.1, 0.3)])
def test_times_that_do_not_increase_are_refused(times):
    with pytest.raises(UsageError, match="do not increase"):
        join_pictures(pictures(), times, size_px=(64, 48))


@pytest.mark.parametrize("count", [0, MOST_PICTURES + 1])
def test_no_picture_and_too_many_are_refused(count):
    with pytest.raises(UsageError, match=f"{count} pictures came"):
        join_pictures(pictures(1) * count, tuple(range(count)), size_px=(64, 48))
