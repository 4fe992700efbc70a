"""Motion readings are the change that was drawn, on one scale for every rate, in the right place.

Outside truth: pictures drawn with a known change of grey.
"""

import attrs
import av
import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from written_clips import EXACT, patches_frame, write_clip

from putt_posture.clips import MotionGrid, MotionReader, motion_in_box, read_clip, read_samples
from putt_posture.clips.orientation import AS_STORED
from putt_posture.clips.raster import Rasterizer
from putt_posture.values import Clip

READING_SHARE = 0.02
"""Half-precision storage (0.05 %) and rounding of a drawn grey to whole levels."""


def clip_of(width: int = 320, height: int = 240, **changes) -> Clip:
    clip = Clip(path="drawn.mp4", sha256="", view="face_on", kind="video", width=width, height=height, rate_hz=30)
    return attrs.evolve(clip, **changes)


def read_ramp(*, rate_hz: float, levels_a_second: float, stretch: float = 1.0, seconds: float = 1.0):
    """Brighten the left half steadily by so many levels a real second."""
    reader = MotionReader(clip_of(time_stretch=stretch))
    width, height = reader.size
    for index in range(round(seconds * rate_hz) + 1):
        real_s = index / rate_hz
        time_s = real_s * stretch
        if reader.wants(time_s):
            luma = np.full((height, width), 60, np.uint8)
            luma[:, : width // 2] = round(60 + levels_a_second * real_s)
            reader.feed(luma, time_s=time_s)
    return reader.grid()


@pytest.mark.parametrize(("rate_hz", "stretch"), [(24, 1), (30, 1), (60, 1), (120, 1), (240, 1), (240, 8), (120, 4)])
def test_reading_is_the_same_at_every_rate(rate_hz, stretch):
    grid = read_ramp(rate_hz=rate_hz, levels_a_second=120, stretch=stretch)
    left, right = motion_in_box(grid, (0, 0, 160, 240)), motion_in_box(grid, (160, 0, 320, 240))
    assert left.mean() == pytest.approx(120 / 30, rel=READING_SHARE)
    assert right.max() == 0.0
    assert len(grid.times_s) <= 61
    assert (np.diff(grid.times_s) > 0).all()
    assert grid.times_s[-1] == pytest.approx(stretch, abs=stretch / 50)


def test_still_scene_with_noise_reads_the_same_at_30_and_240_frames_a_second():
    generator = np.random.default_rng(2)
    readings = []
    for rate_hz in (30, 240):
        reader = MotionReader(clip_of())
        width, height = reader.size
        for index in range(rate_hz):
            if reader.wants(index / rate_hz):
                noise = generator.normal(100, 3, (height, width))
                reader.feed(np.rint(noise).astype(np.uint8), time_s=index / rate_hz)
        readings.append(reader.grid().change.mean())
    assert readings[1] == pytest.approx(readings[0], rel=0.05)
    assert readings[0] == pytest.approx(3 * 2 / np.sqrt(np.pi), rel=0.05)  # mean |difference| of two normal draws


def test_moving_thing_is_found_where_it_is():
    reader = MotionReader(clip_of(width=1080, height=1920))
    width, height = reader.size
    for index in range(20):
        luma = np.zeros((height, width), np.uint8)
        luma[120:128, 2 * index : 2 * index + 8] = 200
        reader.feed(luma, time_s=index / 30)
    grid = reader.grid()
    assert grid.change.shape == (19, 20, 11)
    assert grid.cell_px == (1080 / 11, 96)
    rows = grid.change.astype(float).mean(axis=(0, 2))
    assert rows.argmax() == 15
    assert np.count_nonzero(rows) == 1
    assert motion_in_box(grid, (0, 15 * 96, 1080, 16 * 96)).min() > 0


def test_reading_from_a_clip_is_upright(tmp_path):
    frames = [
        patches_frame([(100 + 3 * (index % 2) * (20 if left else 0), 128, 128) for left in (1, 0, 0, 0)])
        for index in range(20)
    ]
    path = write_clip(tmp_path / "side.mp4", frames, options=EXACT["libx264"], turn=(-90, False, False))
    clip = read_clip(path, view="face_on")
    motion = MotionReader(clip)
    assert sum(1 for _ in read_samples(clip, rate_hz=5, max_side=32, motion=motion)) == 4
    grid = motion.grid()
    assert clip.rotation_deg == 90
    top, bottom = motion_in_box(grid, (0, 0, clip.width, 32)), motion_in_box(grid, (0, 64, clip.width, 128))
    assert top.mean() == pytest.approx(60, rel=0.05)
    assert bottom.max() == 0


def test_one_frame_gives_no_reading():
    reader = MotionReader(clip_of())
    reader.feed(np.zeros(reader.size[::-1], np.uint8), time_s=0.0)
    assert reader.grid().change.shape == (0, 15, 20)
    assert motion_in_box(reader.grid(), (0, 0, 10, 10)).shape == (0,)


def test_reading_takes_about_half_a_kilobyte():
    grid = read_ramp(rate_hz=60, levels_a_second=10)
    assert grid.change.nbytes / len(grid.times_s) < 700


def drawn_grid(seed: int, readings: int = 4) -> MotionGrid:
    change = np.random.default_rng(seed).uniform(0, 20, (readings, 15, 20)).astype(np.float16)
    return MotionGrid(times_s=np.arange(readings) / 30, change=change, cell_px=(16.0, 16.0))


@given(seed=st.integers(0, 99), split=st.floats(1, 319))
def test_whole_is_the_weighted_mean_of_two_parts(seed, split):
    grid = drawn_grid(seed)
    whole = motion_in_box(grid, (0, 0, 320, 240))
    left, right = motion_in_box(grid, (0, 0, split, 240)), motion_in_box(grid, (split, 0, 320, 240))
    assert np.allclose(whole, grid.change.astype(float).mean(axis=(1, 2)), rtol=1e-3)
    assert np.allclose((left * split + right * (320 - split)) / 320, whole, rtol=1e-3)


def test_box_may_move_with_the_student_and_is_absent_where_it_covers_nothing():
    grid = drawn_grid(1)
    boxes = np.array([(0, 0, 16, 16), (16, 32, 32, 48), (400, 0, 500, 16), (np.nan,) * 4])
    found = motion_in_box(grid, boxes)
    assert found[:2] == pytest.approx([grid.change[0, 0, 0], grid.change[1, 2, 1]], rel=1e-3)
    assert np.isnan(found[2:]).all()


@pytest.mark.parametrize("stored", [(1080, 1920), (1920, 1080), (720, 1280), (270, 480), (402, 718)])
def test_the_luma_read_is_an_average_over_areas_to_the_last_level(stored):
    # Which frames of a setup are measured can hang on one level of one reading.
    reader = MotionReader(clip_of(*stored))
    generator = np.random.default_rng(3)
    patches = generator.integers(0, 256, (12, 8), dtype=np.uint8)
    drawn = cv2.resize(patches, stored, interpolation=cv2.INTER_CUBIC) ^ generator.integers(
        0, 4, stored[::-1], dtype=np.uint8
    )
    read = Rasterizer(reader.size, AS_STORED).luma(av.VideoFrame.from_ndarray(drawn, format="gray"))
    every = stored[1] // (3 * reader.size[1])
    np.testing.assert_array_equal(read, cv2.resize(drawn[:: max(every, 1)], reader.size, interpolation=cv2.INTER_AREA))


@pytest.mark.parametrize("bits", [10, 16])
def test_deeper_luma_is_averaged_over_areas_too(bits):
    stored, size = (1080, 1920), (88, 160)
    levels = np.random.default_rng(4).integers(0, 2**bits, stored[::-1], dtype=np.uint16)
    frame = av.VideoFrame.from_ndarray(levels, format=f"gray{bits}le")
    exact = levels[::4].astype(np.float64).reshape(160, 3, 1080).mean(axis=1)
    exact = np.repeat(exact, 11, axis=1).reshape(160, 88, 135).mean(axis=2)  # 1080 / 88 is 135 / 11
    read = Rasterizer(size, AS_STORED).luma(frame)
    np.testing.assert_array_equal(read, np.rint(exact).astype(np.uint16) >> (bits - 8))
