"""Of the setups that were seen in a clip, those that the coach wants measured."""

from collections.abc import Sequence
from typing import Final

import numpy as np
from attrs import evolve

from putt_posture.detection.detect import Detection
from putt_posture.errors import UsageError
from putt_posture.values import VIEW_TITLES, FoundShaft, Frame, Setup

__all__ = ["choose_setups_of"]

_BESIDE_S: Final = 0.1
"""A time this close to a setup's quiet stretch is in it: people say times in tenths."""


def choose_setups_of(detection: Detection, times_s: Sequence[float]) -> Detection:
    """Return what was seen in some of a clip's setups.

    Parameters
    ----------
    detection : Detection
    times_s : sequence of float
        Clip times, seconds; each names the setup around it. All setups stay where there is none.

    Returns
    -------
    Detection
        If the still shows a setup that is left out, another frame stands for the lesson. Its picture is not there,
        and neither is what would be found in it.

    Raises
    ------
    UsageError
        If no setup was seen at one of the times.
    """
    if not times_s:
        return detection
    wanted = sorted({_find_setup(detection, time_s) for time_s in times_s})
    if wanted == list(range(len(detection.setups))):
        return detection
    landmarks, setups = detection.landmarks, tuple(detection.setups[number] for number in wanted)
    frames = np.flatnonzero(np.isin(landmarks.setup_index, wanted))
    kept = evolve(
        landmarks,
        times_s=landmarks.times_s[frames],
        setup_index=np.searchsorted(wanted, landmarks.setup_index[frames]).astype(np.int64),
        points_px=landmarks.points_px[frames],
        visibility=landmarks.visibility[frames],
        depth=landmarks.depth[frames],
        masks=landmarks.masks[frames],
        outlines=landmarks.outlines[frames],
    )
    if detection.still_index in frames:
        still_index = int(np.flatnonzero(frames == detection.still_index)[0])
        return evolve(detection, setups=setups, landmarks=kept, still_index=still_index)
    still_index = _nearest_frame(kept.times_s, setups[0])
    black = np.broadcast_to(np.uint8(0), detection.still.picture.shape)
    still = Frame(time_s=float(kept.times_s[still_index]), picture=black, scale=detection.still.scale, erased=True)
    finds = detection.finds
    if finds is not None:
        unseen = FoundShaft(why_not="no picture of this setup was kept")
        finds = evolve(finds, shaft=unseen, butt_lent=False, ball=None, ball_warnings=())
    return evolve(detection, setups=setups, landmarks=kept, still_index=still_index, still=still, finds=finds)


def _find_setup(detection: Detection, time_s: float) -> int:
    for number, setup in enumerate(detection.setups):
        if setup.window_s[0] - _BESIDE_S <= time_s <= setup.window_s[1] + _BESIDE_S:
            return number
    spans = " and ".join(f"{each.window_s[0]:.1f} to {each.window_s[1]:.1f} s" for each in detection.setups)
    raise UsageError(
        f"{VIEW_TITLES[detection.clip.view]}: nothing was kept of {time_s:g} s. Setups were measured at {spans}; "
        "give a time there, or measure the clip again with --setup-at."
    )


def _nearest_frame(times_s: np.ndarray, setup: Setup) -> int:
    return int(np.argmin(np.abs(times_s - setup.moment_s)))
