"""What a clip says of itself before it is measured, in a process of its own."""

from datetime import UTC, datetime
from pathlib import Path

import av
import numpy as np
import pytest
from looks import end_or_look
from written_clips import numbered_picture, write_clip

from putt_posture.batch.looking import ClipLook, Looker, look_at_clip

SAMPLES = Path(__file__).parents[2] / "sample_clips"


@pytest.fixture(scope="module")
def clip(tmp_path_factory):
    return write_clip(tmp_path_factory.mktemp("whole") / "plain.mp4", map(numbered_picture, range(60)))


def write_noted(path, filmed):
    """Write a clip that says when it was filmed."""
    with av.open(str(path), "w") as container:
        container.metadata["creation_time"] = filmed
        stream = container.add_stream("libx264", rate=30)
        stream.width, stream.height, stream.pix_fmt = 128, 96, "yuv420p"
        for number in range(30):
            container.mux(stream.encode(av.VideoFrame.from_ndarray(numbered_picture(number), "rgb24")))
        container.mux(stream.encode(None))
    return path


def test_a_whole_clip_has_no_fault_and_the_time_at_which_it_was_filmed(tmp_path):
    path = write_noted(tmp_path / "a.mp4", "2026-11-07T10:00:00Z")
    assert look_at_clip(path, False) == ClipLook(filmed_s=datetime(2026, 11, 7, 10, tzinfo=UTC).timestamp())


def test_a_clip_whose_clock_was_never_set_has_no_time(tmp_path):
    path = write_noted(tmp_path / "a.mp4", "1970-01-01T00:00:00Z")
    assert look_at_clip(path, False) == ClipLook()


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9, 0.99])
def test_a_clip_that_is_not_copied_to_its_end_has_a_fault(clip, tmp_path, share):
    data = clip.read_bytes()
    part = tmp_path / "part.mp4"
    part.write_bytes(data[: int(share * len(data))])
    assert look_at_clip(part, False).fault.startswith("part.mp4 ")


def test_a_copy_that_has_its_full_size_from_the_start_has_a_fault_until_it_is_whole(clip, tmp_path):
    data = clip.read_bytes()
    part = tmp_path / "part.mp4"
    part.write_bytes(data[: len(data) // 2] + bytes(len(data) - len(data) // 2))
    assert look_at_clip(part, False).fault
    part.write_bytes(data)
    assert not look_at_clip(part, False).fault


def test_what_is_no_clip_has_a_fault(tmp_path):
    for content in (b"", b"no clip", np.random.default_rng(0).bytes(5000)):
        (tmp_path / "a.mov").write_bytes(content)
        assert look_at_clip(tmp_path / "a.mov", True).fault


@pytest.mark.parametrize("view", ["down_the_line", "face_on"])
def test_the_view_is_told_from_the_picture(view):
    """In a process of its own, as the watch does it."""
    looker = Looker()
    try:
        look = looker.begin(SAMPLES / "after" / f"{view}.mp4", finds_view=True)
        assert look.result() == ClipLook(view=view)
    finally:
        looker.close()


def test_a_look_that_ends_its_process_is_a_fault_and_the_next_one_goes_on(clip):
    looker = Looker(end_or_look)
    try:
        assert "could not be looked at" in looker.begin(Path("deadly.mov"), finds_view=False).result().fault
        assert looker.begin(clip, finds_view=False).result() == ClipLook()
    finally:
        looker.close()
