"""What is seen in a clip at a time that a coach chose, near what was seen before; the clip is not followed again."""

from collections.abc import Sequence

from attrs import evolve

from putt_posture.detection.detect import Detection
from putt_posture.landmarks import find_landmarks, track_of_frames
from putt_posture.setups import choose_setups
from putt_posture.values import Clip, Progress

__all__ = ["detect_at_times"]


def detect_at_times(
    clip: Clip,
    seen: Detection,
    times_s: Sequence[float],
    *,
    without_putter: bool = False,
    progress: Progress | None = None,
) -> Detection:
    """Detect the student at other times of a clip.

    Parameters
    ----------
    clip : Clip
        The clip of the detection.
    seen : Detection
        What was seen at other times: it says who the student is, and where they stood.
    times_s : sequence of float
        Clip times, seconds.
    without_putter : bool
        Whether the clip was filmed without a putter.
    progress : callable, optional

    Returns
    -------
    Detection
        Whether the student stands still there is not looked at.

    Raises
    ------
    UsageError
        If a time is outside the clip.
    StudentNotFound
        If the student is not seen there.
    """
    setups = choose_setups(clip, times_s, without_putter=without_putter)
    landmarks, still, still_index = find_landmarks(
        clip,
        setups,
        track_of_frames(seen.landmarks.times_s, seen.landmarks.points_px, seen.landmarks.visibility),
        progress=progress,
    )
    notes = clip.notes + tuple(note for note in seen.notes if note not in seen.landmarks.notes) + landmarks.notes
    return evolve(
        seen,
        clip=clip,
        setups=setups,
        landmarks=landmarks,
        still=still,
        still_index=still_index,
        notes=tuple(dict.fromkeys(notes)),
        finds=None,
    )
