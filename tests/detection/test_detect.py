"""What is said of the setups of a lesson's clips, over tracks that are made; nothing is decoded."""

import sys
from pathlib import Path

import numpy as np
import pytest

from putt_posture.archive.db.rows import as_setup_rows
from putt_posture.detection import detect as looked
from putt_posture.values import Frame, Landmarks

sys.path.insert(0, str(Path(__file__).parents[1] / "setups"))

from acted_clips import acted_clip


@pytest.fixture
def look_at(monkeypatch):
    """Return a function that makes acted clips."""

    def look_at(pair, **given):
        tracks = {acted.clip.view: acted.track for acted in pair}
        monkeypatch.setattr(looked, "track_student", lambda clip, **_: tracks[clip.view])
        monkeypatch.setattr(looked, "find_landmarks", lambda clip, setups, *_, **__: (*_nothing_found(clip, setups), 0))
        return looked.detect_in_clips({acted.clip.view: acted.clip for acted in pair}, **given)

    return look_at


def _nothing_found(clip, setups):
    times = np.concatenate([setup.times_s for setup in setups])
    marks = Landmarks(
        view=clip.view,
        times_s=times,
        setup_index=np.zeros(len(times), dtype=np.int64),
        points_px=np.full((len(times), 33, 2), np.nan),
        visibility=np.full((len(times), 33), np.nan),
        depth=np.full((len(times), 33), np.nan),
        masks=np.zeros((len(times), 4, 4), dtype=np.uint8),
        mask_box_px=(0, 0, 4, 4),
        size_px=(4, 4),
        model="none",
    )
    return marks, Frame(time_s=float(times[0]), picture=np.zeros((4, 4, 3), dtype=np.uint8))


def test_a_given_time_at_impact_is_measured_with_a_word(look_at):
    acted = acted_clip(3, "down_the_line")
    impact_s = acted.putts_s[0][1] - 0.3 * acted.clip.time_stretch
    seen = look_at([acted], setup_at={"down_the_line": [impact_s]})["down_the_line"]
    (note,) = seen.notes
    assert note.startswith(f"Down the line: at {impact_s:.1f} s the stroke that starts at ")
    assert note.endswith("is under way, so this is not the address.")


def test_a_given_time_at_address_is_measured_without_a_word(look_at):
    acted = acted_clip(3, "down_the_line")
    start_s, stop_s = acted.addresses_s[0][-1]
    assert look_at([acted], setup_at={"down_the_line": [(start_s + stop_s) / 2]})["down_the_line"].notes == ()


def test_that_two_clips_show_different_putts_is_said(look_at):
    seen = look_at([acted_clip(1003, "down_the_line"), acted_clip(1006, "face_on")])
    for each in seen.values():
        assert any("do not show the same putts" in note for note in each.notes)


def test_the_archive_keeps_the_doubt_with_the_reason():
    older = {"moment_s": 1.0, "window_s": [0.5, 1.5], "chosen_by": "finder", "reason": "Still for 1.0 s."}
    (row,), (old,) = as_setup_rows(1, [older | {"doubt": "No stroke."}]), as_setup_rows(1, [older])
    assert (row.reason, old.reason) == ("Still for 1.0 s. No stroke.", "Still for 1.0 s.")
