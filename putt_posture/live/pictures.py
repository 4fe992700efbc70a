"""Pictures of a camera as they come: JPEG in memory."""

from typing import Final

import cv2
import numpy as np

from putt_posture.errors import UsageError
from putt_posture.values import Frame

__all__ = ["LARGEST_PX", "decode_frame"]

LARGEST_PX: Final = 4096
"""Longer side of the largest picture that is taken, pixels."""
_SIGN: Final = b"\xff\xd8\xff"


def decode_frame(jpeg: bytes, *, time_s: float) -> Frame:
    """Decode one picture.

    Parameters
    ----------
    jpeg : bytes
        A JPEG image, upright and not mirrored.
    time_s : float
        When it was taken, s.

    Returns
    -------
    Frame
        Of full size.

    Raises
    ------
    UsageError
        If it is no JPEG, or too large.
    """
    if not jpeg.startswith(_SIGN):
        raise UsageError("The camera sent no JPEG picture. Open the page again, or use another browser.")
    picture = cv2.imdecode(np.frombuffer(jpeg, dtype=np.uint8), cv2.IMREAD_COLOR)
    if picture is None or max(picture.shape[:2]) > LARGEST_PX:
        raise UsageError(
            f"The camera's picture cannot be read, or is larger than {LARGEST_PX} pixels. Choose a smaller one."
        )
    return Frame(time_s=time_s, picture=cv2.cvtColor(picture, cv2.COLOR_BGR2RGB))
