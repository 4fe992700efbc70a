"""A lesson at hand with strokes: the sample clips "after", whose setup was detected before, and swings by closed forms.

The landmarks of the setup's still stand for the student in every frame; hands, shaft and putter head swing as
`made_up.swing_at` says, at the times that the renderer of the clips used.
"""

import shutil
import sys
from datetime import UTC, date, datetime
from pathlib import Path

import numpy as np
from attrs import evolve

sys.path.insert(0, str(Path(__file__).parents[1] / "strokes"))
from drafted import give_result
from filelock import FileLock
from kept_detections import detect_or_take
from made_up import swing_at

from putt_posture.clips import read_clip
from putt_posture.demo import load_samples
from putt_posture.measuring import Measuring
from putt_posture.pages import store_lesson
from putt_posture.services.overlays import draw_overlays_again
from putt_posture.values import LANDMARK_INDEX, Estimate, SeenStroke, SeenStrokes, absent

STARTS_S = 1.9
RATE_HZ = 30
_HANDS = [
    LANDMARK_INDEX[f"{side}_{part}"] for side in ("left", "right") for part in ("wrist", "index", "pinky", "thumb")
]


def make_seen(detection, *, start_s=STARTS_S, kind="putt", size=1.0):
    """Return one stroke of a view that starts at a clip time."""
    marks = detection.landmarks
    view = marks.view
    times = np.arange(round((start_s - 1.1) * RATE_HZ), round((start_s + 2.2) * RATE_HZ) + 1) / RATE_HZ
    chance = np.random.default_rng(3)
    points = np.repeat(marks.points_px[detection_row(detection)][None], len(times), axis=0)
    points = points + chance.normal(0, 0.3, points.shape)
    along = size * swing_at(times, start_s=start_s) * (4.3 if view == "face_on" else 0.2)
    points[:, _HANDS, 0] += 0.43 * along[:, None]
    hands = points[:, _HANDS].mean(axis=1)
    rest = hands[0] + np.array([0.0, 330.0])
    head = rest + np.stack([along, 0 * along], axis=1)
    leaves = absent("The ball stays.", unit="s")
    if kind == "putt":
        leaves = Estimate(value=start_s + 0.99, standard_uncertainty=0.004, unit="s", view=view, method="made up")
    bare = SeenStroke.without_putter(
        view=view,
        times_s=times,
        address_s=(float(times[0]), start_s - 0.1),
        stroke_s=(start_s, start_s + 1.4),
        points_px=points,
        ball_leaves_s=leaves,
        why="The ball leaves." if kind == "putt" else "The ball stays where it is.",
    )
    sd = np.full(len(times), 0.6)
    return evolve(bare, kind=kind, putter_head_px=head, putter_head_sd_px=sd, shaft_px=np.stack([hands, head], axis=1))


def detection_row(detection):
    """Return which frame of the landmarks the still is."""
    return int(np.argmin(np.abs(detection.landmarks.times_s - detection.still.time_s)))


def make_stroke_folder(folder, *, cache):
    """Write the result folder of a lesson with a practice stroke and a putt in each view."""
    sample = _sample()
    clips = {view: read_clip(path, view=view) for view, path in sample.clips.items()}
    found = {}
    for view, detection in detect_or_take(clips, cache=cache).items():
        strokes = (make_seen(detection, start_s=1.2, kind="practice", size=0.8), make_seen(detection))
        found[view] = evolve(detection, strokes=SeenStrokes(view=view, strokes=strokes))
    lesson = Measuring(detections=found, student=sample.student).measure()
    overlays = draw_overlays_again(lesson, sample.clips)
    store_lesson(lesson, folder, made_on=date(2026, 11, 27), overlays=overlays)


def make_stroke_folder_once(run_folder, *, cache):
    """Return the folder and its clips, made once in a run for all its processes."""
    folder = run_folder / "stroke_lesson"
    with FileLock(f"{folder}.lock"):
        if not folder.exists():
            make_stroke_folder(folder, cache=cache)
    return folder, _sample()


def _sample():
    return next(each for each in load_samples() if each.name == "after")


def begin_stroke_draft(state, folder, sample):
    """Return a draft whose result is a stored lesson with strokes, with its clips."""
    begun = state.drafts.begin(sample.student, now=datetime.now(UTC))
    for view, path in sample.clips.items():
        shutil.copy(path, state.drafts.clips_folder(begun.id) / f"{view}.mp4")
    draft = state.drafts.change(begun.id, clips={view: f"{view}.mp4" for view in sample.clips})
    give_result(state, draft, folder)
    return draft
