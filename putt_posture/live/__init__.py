"""Numbers while the student moves: frames of a camera in, the student and the steps of the rebuild out."""

from putt_posture.live.following import LiveModels, open_live_models
from putt_posture.live.measuring import LiveLesson
from putt_posture.live.pictures import decode_frame
from putt_posture.live.pipeline import LiveOutcome, LivePipeline
from putt_posture.live.session import LiveFrame, LiveReader, LiveSession, ShownReading, watch_live

__all__ = [
    "LiveFrame",
    "LiveLesson",
    "LiveModels",
    "LiveOutcome",
    "LivePipeline",
    "LiveReader",
    "LiveSession",
    "ShownReading",
    "decode_frame",
    "open_live_models",
    "watch_live",
]
