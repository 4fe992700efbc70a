"""Doubled frames, missing frames and cuts, in pictures of a thing that swings before a room that stays."""

import numpy as np
import pytest
from written_clips import write_clip

from putt_posture.clips import FlawWatch, iterate_frames, read_clip

WIDTH, HEIGHT = 240, 320
BOX = (40.0, 60.0, 200.0, 300.0)
TOP_S = 0.8


@pytest.fixture(scope="module")
def room():
    chance = np.random.default_rng(3)
    coarse = chance.integers(60, 190, (HEIGHT // 20, WIDTH // 20, 3))
    return np.kron(coarse, np.ones((20, 20, 1))).astype(np.uint8)


def swinging(room, time_s, *, noise=2.0, seed=0, away_px=0):
    """A bar that slows down, turns round at `TOP_S` and comes back, with the noise of a camera."""
    picture = room.astype(float)
    left = 110 + away_px - 60 * (TOP_S - time_s) ** 2
    columns = np.arange(WIDTH)
    share = np.clip(np.minimum(columns + 1, left + 14) - np.maximum(columns, left), 0, 1)[:, None]
    picture[120:260] = (1 - share) * picture[120:260] + share * np.array([230.0, 40.0, 40.0])
    picture += np.random.default_rng([seed, round(1000 * time_s)]).normal(0, noise, picture.shape)
    return np.clip(picture, 0, 255).astype(np.uint8)


def watch(pictures, times):
    flaws = FlawWatch(scale=1.0, box_px=BOX)
    for picture, time_s in zip(pictures, times, strict=True):
        flaws.push(picture, time_s=time_s)
    return flaws.finish()


def test_sound_frames_have_no_flaw_even_where_the_swing_turns_round(room) -> None:
    for noise in (0.0, 2.0):
        times = np.arange(48) / 30 + 0.007
        seen = watch([swinging(room, time_s, noise=noise) for time_s in times], times)
        assert seen.doubled.sum() <= (1 if noise == 0 else 0)
        assert seen.missing <= seen.doubled.sum()
        assert seen.cuts_s == ()


def test_every_fourth_frame_doubled_is_seen_after_encoding(room, tmp_path) -> None:
    times = np.arange(60) / 30
    shown = np.where(np.arange(60) % 4 == 3, np.arange(60) - 1, np.arange(60))
    path = write_clip(tmp_path / "doubled.mp4", (swinging(room, times[number]) for number in shown))
    clip = read_clip(path, view="face_on")
    frames = list(iterate_frames(clip))
    seen = watch([frame.picture for frame in frames], [frame.time_s for frame in frames])
    made = np.flatnonzero(np.arange(60) % 4 == 3)
    found = np.flatnonzero(seen.doubled)
    inside = made[(made > 1) & (made < 58)]
    assert set(inside) <= set(found)
    assert len(set(found) - set(made)) <= 1


def test_a_rate_that_was_doubled_is_seen_and_counts_as_no_missing_frame(room) -> None:
    times = np.arange(96) / 60
    seen = watch([swinging(room, times[number - number % 2]) for number in range(96)], times)
    assert seen.doubled[3:93:2].all()
    assert not seen.doubled[2:94:2].any()
    assert seen.missing == 0


def test_missing_frames_are_counted_by_their_times(room) -> None:
    times = np.delete(np.arange(48) / 30, [20, 21, 30])
    seen = watch([swinging(room, time_s) for time_s in times], times)
    assert seen.missing == 3
    assert seen.gap_s == pytest.approx(0.1, abs=1e-6)


def test_another_scene_is_a_cut(room) -> None:
    times = np.arange(48) / 30
    other = np.ascontiguousarray(room[::-1, ::-1])
    seen = watch([swinging(room if time_s < 0.9 else other, time_s) for time_s in times], times)
    assert seen.cuts_s == (0.9,)


def test_a_jump_before_the_same_room_is_a_cut(room) -> None:
    times = np.arange(48) / 30
    seen = watch([swinging(room, time_s, away_px=0 if time_s < 0.9 else 60) for time_s in times], times)
    assert seen.cuts_s == (0.9,)
