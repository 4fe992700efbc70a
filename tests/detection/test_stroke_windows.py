"""When the strokes of a clip are, on acted clips with their truth and on the sample clips."""

import sys
from pathlib import Path

import numpy as np
import pytest
from attrs import evolve

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).parents[1] / "setups"))

import acted_clips
from simulated_golfer import STEP_S
from tracked_samples import VIEWS, clip_of, track_of, truth_of

from putt_posture.detection.stroke_windows import choose_frames, find_stroke_windows

HELD_OUT = range(2100, 2112)
"""None of these was used to choose a limit of the finder."""
LEAST_FOUND = 0.98
START_WITHIN_S = 0.25
"""The coarse start is that near to the true one; the window has room for it."""


def acted_lesson(seed):
    """Return both clips of an acted performance, and all its strokes in each, practice included, in clip time."""
    tracks, strokes = {}, {}
    for view in VIEWS:
        acted = acted_clips.acted_clip(seed, view)
        filming, _ = acted_clips._film(np.random.default_rng([seed, 2, view == "face_on"]), view, seed)
        now, found = 0.0, []
        for action in acted_clips.act(np.random.default_rng([seed, 1])).actions:
            length = round(action.seconds / STEP_S) * STEP_S
            if action.kind.startswith("stroke"):
                found.append((now, now + length))
            now += length
        begin, stretch = filming.get("start_s", 0.0), acted.clip.time_stretch
        strokes[view] = [(begin + start * stretch, begin + end * stretch) for start, end in found]
        tracks[view] = acted.track, acted.clip
    return tracks, strokes


def matches(window, stroke, stretch):
    return abs(window.stroke_s[0] - stroke[0]) < START_WITHIN_S * stretch


@pytest.mark.parametrize("seeds", [HELD_OUT[:4], pytest.param(HELD_OUT, marks=pytest.mark.whole)], ids=["some", "all"])
def test_strokes_of_held_out_clips_are_found_practice_strokes_included(seeds) -> None:
    strokes = found = windows = 0
    for seed in seeds:
        tracks, truth = acted_lesson(seed)
        for view, seen in find_stroke_windows(tracks).items():
            stretch = tracks[view][1].time_stretch
            hits = [stroke for stroke in truth[view] if any(matches(window, stroke, stretch) for window in seen)]
            strokes, found, windows = strokes + len(truth[view]), found + len(hits), windows + len(seen)
    assert found >= LEAST_FOUND * strokes
    assert windows - found <= (1 - LEAST_FOUND) * strokes


@pytest.mark.parametrize("name", ["before", "left_hander"])
def test_windows_hold_the_strokes_of_the_sample_clips_with_stillness_before_and_rest_after(name) -> None:
    truth = truth_of(name)["strokes"]
    tracks = {view: (track_of(name, view), clip_of(name, view)) for view in VIEWS}
    found = find_stroke_windows(tracks)
    front, side = (found[view][0] for view in ("face_on", "down_the_line"))
    assert side.to_other_s == -front.to_other_s or np.isnan([front.to_other_s, side.to_other_s]).all()
    for windows in found.values():
        assert len(windows) == len(truth)
        for window, stroke in zip(windows, truth, strict=True):
            assert window.from_s <= window.address_s[0] < window.address_s[1] <= stroke["start_s"]
            assert window.until_s > stroke["finish_s"] + 0.3
            assert abs(window.stroke_s[0] - stroke["start_s"]) < START_WITHIN_S
            assert window.until_s - window.from_s < 4.0


def test_a_stroke_that_one_clip_does_not_show_is_lent_by_the_other() -> None:
    tracks, truth = acted_lesson(2101)
    alone = find_stroke_windows(tracks)
    assert len(truth["face_on"]) == len(alone["face_on"]) == len(alone["down_the_line"]) > 1
    track, clip = tracks["down_the_line"]
    start_s, end_s = alone["down_the_line"][-1].stroke_s
    hidden = (track.times_s > start_s - 0.2 * clip.time_stretch) & (track.times_s < end_s + 0.2 * clip.time_stretch)
    stiff = np.flatnonzero(~hidden & (track.times_s < start_s))[-1]
    points = track.points_px.copy()
    points[hidden] = points[stiff]
    lent = find_stroke_windows({**tracks, "down_the_line": (evolve(track, points_px=points), clip)})["down_the_line"]
    assert [window.from_other for window in lent] == [False] * (len(alone["down_the_line"]) - 1) + [True]
    assert abs(lent[-1].stroke_s[0] - start_s) < START_WITHIN_S * clip.time_stretch


def test_a_short_clip_in_which_the_body_hardly_turns_shows_its_stroke_by_motion_where_the_other_view_knows_it() -> None:
    tracks = {view: (track_of("before", view), clip_of("before", view)) for view in VIEWS}
    track, clip = tracks["down_the_line"]
    stiff = evolve(track, points_px=np.repeat(track.points_px[:1], len(track.times_s), axis=0))
    assert find_stroke_windows({"down_the_line": (stiff, clip)})["down_the_line"] == ()
    (window,) = find_stroke_windows({**tracks, "down_the_line": (stiff, clip)})["down_the_line"]
    assert window.from_other
    assert abs(window.stroke_s[0] - truth_of("before")["strokes"][0]["start_s"]) < START_WITHIN_S
    still = evolve(stiff, motion=np.full_like(stiff.motion, np.median(stiff.motion)))
    assert find_stroke_windows({**tracks, "down_the_line": (still, clip)})["down_the_line"] == ()


def test_swings_of_arms_alone_are_found() -> None:
    tracks = {"face_on": (track_of("left_hander", "face_on"), clip_of("left_hander", "face_on"))}
    assert len(find_stroke_windows(tracks, without_putter=True)["face_on"]) == 3


def window_of_before():
    tracks = {"face_on": (track_of("before", "face_on"), clip_of("before", "face_on"))}
    return find_stroke_windows(tracks)["face_on"][0]


@pytest.mark.parametrize("rate_hz", [30, 60])
def test_all_frames_are_followed_at_usual_rates(rate_hz) -> None:
    times = np.arange(0.4, 3.9, 1 / rate_hz)
    np.testing.assert_array_equal(choose_frames(times, window_of_before()), times)


@pytest.mark.parametrize("stretch", [1.0, 8.0])
def test_240_frames_a_second_are_thinned_away_from_the_events(stretch) -> None:
    window = window_of_before()
    slow = evolve(
        window,
        from_s=stretch * window.from_s,
        until_s=stretch * window.until_s,
        address_s=tuple(stretch * edge for edge in window.address_s),
        stroke_s=tuple(stretch * edge for edge in window.stroke_s),
    )
    times = stretch * np.arange(window.from_s, window.until_s, 1 / 240)
    chosen = choose_frames(times, slow, time_stretch=stretch) / stretch
    strokes = truth_of("before")["strokes"][0]

    def rate_near(time_s):
        return np.sum(np.abs(chosen - time_s) < 0.1) / 0.2

    assert rate_near(strokes["impact_s"]) > 200
    assert 100 < rate_near(strokes["start_s"]) < 140
    assert 100 < rate_near(strokes["top_s"]) < 140
    assert 50 < rate_near(window.address_s[0] + 0.3) < 70
    assert len(chosen) < len(times) / 2.5
    assert set(np.round(chosen, 9)) <= set(np.round(times / stretch, 9))
