"""Numbers while the student moves: frames of a camera in, the student and the steps of the rebuild out."""

from putt_posture.live.following import LiveModels, open_live_models
from putt_posture.live.measuring import LiveLesson
from putt_posture.live.session import LiveFrame, LiveReader, LiveSession, ShownReading, watch_live

__all__ = [
    "LiveFrame",
    "LiveLesson",
    "LiveModels",
    "LiveReader",
    "LiveSession",
    "ShownReading",
    "open_live_models",
    "watch_live",
]
