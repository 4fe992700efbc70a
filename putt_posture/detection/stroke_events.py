"""The large model in the frames of a stroke's events, so that address and impact compare like with like."""

from collections.abc import Mapping

import numpy as np
from attrs import evolve

from putt_posture.clips import read_frames_at
from putt_posture.landmarks import PoseModel, find_landmarks_in_frames, track_of_frames
from putt_posture.values import STROKE_EVENTS, Clip, Estimate, SeenStroke, StrokeEvent

__all__ = ["look_at_events"]


def look_at_events(
    model: PoseModel, clip: Clip, stroke: SeenStroke, events: Mapping[StrokeEvent, Estimate], *, keep_stills: bool
) -> SeenStroke:
    """Find landmarks and outline in the frames nearest to the events of a stroke.

    Parameters
    ----------
    model : PoseModel
        The large one, with outlines.
    clip : Clip
    stroke : SeenStroke
        Followed through its frames.
    events : mapping of StrokeEvent to Estimate
        Clip times; absent ones are left out.
    keep_stills : bool
        Whether the pictures are kept too; they are large.

    Returns
    -------
    SeenStroke
        With `at_events`, `event_names` and `stills` of the events at which the student was found.
    """
    times = stroke.times_s
    names = [name for name in STROKE_EVENTS if events.get(name)]
    if not names or not len(times):
        return stroke
    nearest = [float(times[int(np.argmin(np.abs(times - float(events[name]))))]) for name in names]
    frames = read_frames_at(clip, nearest)
    track = track_of_frames(times, stroke.points_px, stroke.visibility)
    landmarks, found = find_landmarks_in_frames(model, clip, frames, track)
    missed = [name for index, name in enumerate(names) if index not in found]
    notes = tuple(f"At the {name} of the stroke the student was not found at full detail." for name in missed)
    return evolve(
        stroke,
        at_events=landmarks,
        event_names=tuple(names[index] for index in found),
        stills=tuple(frames[index] for index in found) if keep_stills else (),
        notes=stroke.notes + notes,
    )
