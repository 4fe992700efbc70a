"""What is seen of the strokes of a lesson's clips: every frame of each, from the quiet address to after the finish.

This is the slowest part of a lesson. It needs the setup as it was measured (where the student, the putter and the ball
are), and gives all that measuring of the strokes needs.
"""

from collections.abc import Mapping
from typing import Literal

from putt_posture.detection.detect import Detection
from putt_posture.values import Progress, SeenStrokes, View, ViewResult

__all__ = ["detect_strokes"]


def detect_strokes(
    detections: Mapping[View, Detection],
    views: Mapping[View, ViewResult],
    *,
    handed: Literal["right", "left"],
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
    raise NotImplementedError
