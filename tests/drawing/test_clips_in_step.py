"""Two overlay clips side by side: impact at one time in both, the shorter one holds its ends, whole or not there."""

import sys
from pathlib import Path

import numpy as np
import pytest
from attrs import evolve

sys.path.insert(0, str(Path(__file__).parent))
from filmed_figure import EVENTS_S, decode, film_stroke

from putt_posture.drawing import clips_in_step
from putt_posture.drawing.clips_in_step import find_step, write_side_by_side
from putt_posture.drawing.overlay_clip import write_overlay_clip
from putt_posture.errors import UnreadableClip


@pytest.fixture(scope="module")
def sides(tmp_path_factory):
    """Two overlay clips: one of a clip at 30 frames a second, and one at 60 whose start is not shown."""
    folder = tmp_path_factory.mktemp("sides")
    before = film_stroke(folder, name="before.mp4")
    later = film_stroke(folder, name="after.mp4", rate_hz=60)
    cut = later.seen.times_s >= EVENTS_S[0] + 0.2
    seen = evolve(
        later.seen,
        **{
            name: getattr(later.seen, name)[cut]
            for name in (
                "times_s", "points_px", "visibility", "depth", "camera_px", "shaft_px", "putter_head_px",
                "putter_head_sd_px", "ball_px", "ball_sd_px",
            )
        },
    )  # fmt: skip
    found = []
    for name, filmed in (("one", before), ("two", evolve(later, seen=seen))):
        path = folder / f"{name}.mp4"
        found.append((path, write_overlay_clip(path, filmed)))
    return found


def test_both_meet_the_ball_at_one_time_and_one_begins_later(sides):
    (_, before), (_, after) = sides
    step = find_step(before, after)
    assert step.by == "impact"
    assert step.begins_s[0] == 0.0
    assert step.begins_s[0] + before.events_s["impact"] == pytest.approx(step.begins_s[1] + after.events_s["impact"])
    assert step.begins_s[1] > 1.0


def test_another_speed_is_played_at_the_speed_of_the_first(sides):
    (_, before), (_, after) = sides
    slow = evolve(after, speed=0.25, events_s={name: 2 * time for name, time in after.events_s.items()})
    assert find_step(before, slow).begins_s == pytest.approx(find_step(before, after).begins_s)
    assert find_step(before, slow).rates == (1.0, 2.0)


def test_what_both_have_holds_them_together_and_without_it_they_begin_together(sides):
    (_, before), (_, after) = sides
    blind = evolve(after, events_s={"top": after.events_s["top"]})
    assert find_step(before, blind).by == "top"
    assert find_step(before, evolve(after, events_s={})).begins_s == (0.0, 0.0)


def test_the_clip_shows_both_in_step_and_holds_the_first_picture_of_the_later_one(sides, tmp_path):
    step = write_side_by_side(tmp_path / "both.mp4", *sides)
    pictures, times = decode(tmp_path / "both.mp4")
    assert times[-1] == pytest.approx(step.ends_s, abs=0.1)
    assert np.diff(times).min() > 0.005
    (_, before), (_, after) = sides
    left, right = before.size_px[0], pictures[0].shape[1] - after.size_px[0]

    def halves(time):
        whole = pictures[np.argmin(np.abs(times - time))].astype(int)[40:]
        return whole[:, :left], whole[:, right:]

    held = [halves(share * step.begins_s[1])[1] for share in (0.1, 0.9)]
    moved = [halves(share * step.begins_s[1])[0] for share in (0.1, 0.9)]
    assert np.abs(held[0] - held[1]).mean() < 1.0
    assert np.abs(moved[0] - moved[1]).mean() > np.abs(held[0] - held[1]).mean()
    impact = step.begins_s[0] + before.events_s["impact"]
    alone = [decode(path) for path, _ in sides]
    for side, (shown, at) in enumerate(alone):
        own = shown[np.argmin(np.abs(at - sides[side][1].events_s["impact"]))].astype(int)
        assert np.abs(halves(impact)[side] - own).mean() < 4.0, side


def test_nothing_is_there_where_one_of_the_two_cannot_be_read(sides, tmp_path):
    (before, seen), (_, after) = sides
    broken = tmp_path / "broken.mp4"
    broken.write_bytes(before.read_bytes()[:3000])
    with pytest.raises(UnreadableClip):
        write_side_by_side(tmp_path / "both.mp4", (before, seen), (broken, after))
    assert [each.name for each in tmp_path.iterdir()] == ["broken.mp4"]
    assert clips_in_step.MOST_BYTES <= 10_000_000
