"""What is seen of the strokes of a lesson's clips: every frame of each, from the quiet address to after the finish.

This is the slowest part of a lesson. It needs the setup as it was measured (where the student, the putter and the ball
are), and gives all that measuring of the strokes needs. A stroke that cannot be followed is left out with a sentence.
"""

from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import Final

import numpy as np
from attrs import evolve

from putt_posture.detection.detect import Detection, Shares
from putt_posture.detection.stroke_events import look_at_events
from putt_posture.detection.stroke_frames import FollowedFrames, LookedOver, follow_frames, look_over
from putt_posture.detection.stroke_notes import END_S, say_direction, say_ends, say_hidden, say_lost
from putt_posture.detection.stroke_windows import StrokeWindow, find_stroke_windows
from putt_posture.landmarks import EveryFrame, PoseModel, open_pose_model
from putt_posture.strokes.two_views import time_strokes
from putt_posture.threads import threads_for
from putt_posture.values import (
    Clip,
    Estimate,
    Handed,
    Progress,
    SeenStroke,
    SeenStrokes,
    StrokeEvent,
    Track,
    View,
    ViewResult,
    absent,
    part_of_progress,
)

__all__ = ["detect_strokes"]

_STILL: Final = "A still shows no stroke."
_NOT_FOLLOWED: Final = "The clip itself is needed to look for strokes; measure it again."
_NO_STROKE: Final = "No stroke was seen in the clip: no swing back and through from a stance that stays."
_IMPACT_SHARE: Final = 0.755
"""Where impact roughly lies between start and finish, as in `stroke_windows`."""
_MOST_LOST: Final = 0.4
"""A stroke in which the student was not seen in more than this share of the frames is not measured."""
_FOLLOWED_SHARE: Final = 0.9
"""Share of the work that is following; the rest is the large model at the events."""


def detect_strokes(
    detections: Mapping[View, Detection],
    views: Mapping[View, ViewResult],
    *,
    handed: Handed,
    without_putter: bool = False,
    progress: Progress | None = None,
) -> dict[View, SeenStrokes]:
    """Detect the strokes in the clips of a lesson, both clips side by side.

    Parameters
    ----------
    detections : mapping of View to Detection
        One or two entries, as `detect_in_clips` returns them.
    views : mapping of View to ViewResult
        The setup of each, as it was measured: its scene says where putter and ball are.
    handed : {"right", "left"}
        Which way the student putts.
    without_putter : bool
        Whether the clips were filmed without a putter: the arms alone swing.
    progress : callable, optional
        Called with what is going on and the share done.

    Returns
    -------
    dict of View to SeenStrokes
        One entry for each detection. A still and a clip without a stroke have none, with the reason.

    Raises
    ------
    ClipError
        A clip cannot be read any more.
    """
    found: dict[View, SeenStrokes] = {}
    tracks: dict[View, tuple[Track, Clip]] = {}
    for view, detection in detections.items():
        if detection.clip.kind == "still":
            found[view] = SeenStrokes(view=view, why_none=_STILL)
        elif detection.track is None:
            found[view] = SeenStrokes(view=view, why_none=_NOT_FOLLOWED)
        else:
            tracks[view] = detection.track, detection.clip
    windows = find_stroke_windows(tracks, without_putter=without_putter) if tracks else {}
    shares = Shares(tuple(tracks), progress)
    if tracks:
        with ThreadPoolExecutor(max_workers=threads_for(len(tracks))) as pool:
            followed = {
                view: pool.submit(
                    _follow_all,
                    detections[view],
                    track,
                    windows[view],
                    setup=views[view],
                    handed=handed,
                    without_putter=without_putter,
                    progress=part_of_progress(shares.of(view), 0.0, _FOLLOWED_SHARE),
                )
                for view, (track, _) in tracks.items()
            }
            found |= {view: future.result() for view, future in followed.items()}
            # Where both clips show a stroke, the times of each depend on both.
            stretches = {view: detection.clip.time_stretch for view, detection in detections.items()}
            events, _ = time_strokes(found, stretches=stretches)
            looked = {
                view: pool.submit(
                    _look_at_all,
                    detections[view],
                    found[view],
                    events[view],
                    progress=part_of_progress(shares.of(view), _FOLLOWED_SHARE, 1.0),
                )
                for view in tracks
                if found[view].strokes
            }
            found |= {view: future.result() for view, future in looked.items()}
    return {view: found[view] for view in detections}


def _follow_all(
    detection: Detection,
    track: Track,
    windows: Sequence[StrokeWindow],
    *,
    setup: ViewResult,
    handed: Handed,
    without_putter: bool,
    progress: Progress | None,
) -> SeenStrokes:
    clip = detection.clip
    if not windows:
        return SeenStrokes(view=clip.view, why_none=_NO_STROKE + say_hidden(track, clip))
    strokes: list[SeenStroke] = []
    refused: list[str] = []
    with open_pose_model("small") as model:
        for number, window in enumerate(windows):
            share = 1 / len(windows)
            outcome = _follow(
                model,
                detection,
                track,
                window,
                setup=setup,
                handed=handed,
                without_putter=without_putter,
                progress=part_of_progress(progress, number * share, (number + 1) * share),
            )
            if isinstance(outcome, str):
                refused.append(outcome)
            else:
                strokes.append(outcome)
    if not strokes:
        return SeenStrokes(view=clip.view, why_none=refused[0], notes=tuple(refused[1:]))
    return SeenStrokes(view=clip.view, strokes=tuple(strokes), notes=tuple(refused), to_other_s=windows[0].to_other_s)


def _look_at_all(
    detection: Detection,
    seen: SeenStrokes,
    events: Sequence[Mapping[StrokeEvent, Estimate]],
    *,
    progress: Progress | None,
) -> SeenStrokes:
    """Look at the events of all strokes of a clip with the large model."""
    shown = _shown(seen.strokes, detection)
    strokes = []
    with open_pose_model("large", outline=True) as model:
        for number, (stroke, times) in enumerate(zip(seen.strokes, events, strict=True)):
            strokes.append(look_at_events(model, detection.clip, stroke, times, keep_stills=number == shown))
            if progress is not None:
                progress("Looking at the stroke's events", (number + 1) / len(seen.strokes))
    return evolve(seen, strokes=tuple(strokes))


def _follow(
    model: PoseModel,
    detection: Detection,
    track: Track,
    window: StrokeWindow,
    *,
    setup: ViewResult,
    handed: Handed,
    without_putter: bool,
    progress: Progress | None,
) -> SeenStroke | str:
    """Return a stroke as it was seen, or the sentence why it cannot be measured."""
    clip = detection.clip
    stretch = clip.time_stretch
    start_s, end_s = window.stroke_s
    which = f"The stroke that starts at {start_s:.1f} s is not measured"
    if start_s + _IMPACT_SHARE * (end_s - start_s) > clip.duration_s:
        return f"{which}: the clip ends before its impact. Film on until the putter rests."
    landmarks = detection.landmarks
    looked = look_over(clip, window, track, still=detection.still, landmarks=landmarks)
    for cut_s in looked.flaws.cuts_s:
        if window.stroke_s[0] - END_S * stretch < cut_s <= window.stroke_s[1]:
            return (
                f"{which}: at {cut_s:.2f} s, within it, the whole picture changes at once, as at a cut or where "
                "something passes in front. Give the clip as it was filmed, with nothing in front of the student."
            )
    if looked.camera.state == "wild":
        return f"{which}: the camera moved too much to be taken out. Put the phone on a stand, or hold it still."
    looked = _between_cuts(looked, window)
    if len(looked.times_s) < 2:
        return f"{which}: hardly any of its frames can be read."
    followed = follow_frames(
        model, detection, looked, track=track, view=None if without_putter else setup, progress=progress
    )
    student = followed.student
    during = (student.times_s >= start_s) & (student.times_s <= end_s)
    lost = int(student.lost[during].sum())
    if not during.any() or lost > _MOST_LOST * during.sum():
        others = " Someone else was in the picture." if track.people > 1 else ""
        return (
            f"{which}: the student was seen in only {int(during.sum()) - lost} of {int(during.sum())} frames.{others} "
            "Film with nothing in front of the student."
        )
    address_s = _address(window, student)
    notes = looked.notes(stretch)
    notes += say_lost(student, people=track.people)
    notes += say_ends(clip, window, address_s)
    notes += say_direction(student, window, clip.view, handed)
    if window.from_other:
        notes.append("This stroke was found in the other view's clip.")
    return _seen(clip.view, window, looked, followed, address_s=address_s, notes=notes)


def _between_cuts(looked: LookedOver, window: StrokeWindow) -> LookedOver:
    """Leave out what lies before a cut in the address, and after one behind the finish."""
    before = [cut_s for cut_s in looked.flaws.cuts_s if cut_s <= window.stroke_s[0]]
    after = [cut_s for cut_s in looked.flaws.cuts_s if cut_s > window.stroke_s[1]]
    kept = (looked.times_s >= max(before, default=-np.inf)) & (looked.times_s < min(after, default=np.inf))
    if kept.all():
        return looked
    camera = evolve(looked.camera, maps_px=looked.camera.maps_px[kept])
    return evolve(looked, times_s=looked.times_s[kept], camera=camera)


def _address(window: StrokeWindow, student: EveryFrame) -> tuple[float, float]:
    first_s = float(student.times_s[0])
    return max(window.address_s[0], first_s), max(window.address_s[1], first_s)


def _seen(
    view: View,
    window: StrokeWindow,
    looked: LookedOver,
    followed: FollowedFrames,
    *,
    address_s: tuple[float, float],
    notes: Sequence[str],
) -> SeenStroke:
    student, club, camera = followed.student, followed.club, looked.camera
    seen = SeenStroke.without_putter(
        view=view,
        times_s=student.times_s,
        address_s=address_s,
        stroke_s=window.stroke_s,
        points_px=student.points_px,
        ball_leaves_s=absent("The clip was filmed without a ball.", unit="s", view=view),
        why="It was filmed without putter and ball.",
    )
    seen = evolve(
        seen,
        shift_s=window.shift_s,
        visibility=student.visibility,
        depth=student.depth,
        camera_px=camera.maps_px,
        camera_sd_px=camera.sd_px,
        kind="practice",
        notes=tuple(notes),
    )
    if club is None:
        return seen
    return evolve(
        seen,
        shaft_px=club.shaft_px,
        putter_head_px=club.putter_head_px,
        putter_head_sd_px=club.putter_head_sd_px,
        ball_px=club.ball_px,
        ball_sd_px=club.ball_sd_px,
        ball_leaves_s=club.ball_leaves_s,
        kind=club.kind,
        why=club.why,
        notes=(*notes, *club.notes),
    )


def _shown(strokes: Sequence[SeenStroke], detection: Detection) -> int:
    """Return which stroke follows the setup that stands for the lesson: its pictures are kept."""
    setup = detection.setups[int(detection.landmarks.setup_index[detection.still_index])]
    starts_s = np.array([stroke.stroke_s[0] for stroke in strokes])
    wanted_s = setup.stroke_s[0] if setup.stroke_s is not None else setup.moment_s
    if setup.stroke_s is None and (starts_s >= wanted_s).any():
        return int(np.flatnonzero(starts_s >= wanted_s)[0])
    return int(np.argmin(np.abs(starts_s - wanted_s)))
