"""The still of a kept lesson with the student's outline and joints in it."""

import io
import zipfile

import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray
from PIL import Image

from putt_posture.errors import UsageError
from putt_posture.records.kept import KeptLesson
from putt_posture.values import LANDMARK_INDEX, Floats, Picture, View, ViewRecord

__all__ = ["KeptView", "load_view"]


@frozen(kw_only=True, eq=False)
class KeptView:
    """One view of a kept lesson as it was seen.

    Attributes
    ----------
    record : ViewRecord
    still : (H, W, 3) uint8
        The still without marks, RGB; it shows `record.still_box_px` of the full-size picture.
    outline : (h, w) uint8
        How surely each full-size pixel of `outline_box_px` is the student, 0 to 255.
    outline_box_px : (int, int, int, int)
        u0, v0, u1, v1 in the full-size picture.
    joints_px : (33, 2)
        Joint centres in the still's frame, full-size pixels, in the order of `LANDMARK_NAMES`; NaN where unseen.
    """

    record: ViewRecord
    still: Picture = field(repr=False)
    outline: NDArray[np.uint8] = field(repr=False)
    outline_box_px: tuple[int, int, int, int]
    joints_px: Floats = field(repr=False)

    def joint(self, name: str) -> Floats:
        """Return one joint, (2,) full-size pixels; NaN where unseen."""
        place: Floats = self.joints_px[LANDMARK_INDEX[name]]
        return place


def load_view(lesson: KeptLesson, view: View) -> KeptView | None:
    """Load one view; None where the lesson lacks it or was kept without pictures.

    Raises
    ------
    UsageError
        If a file is damaged.
    """
    still = f"stills/{view}_plain.jpg"
    record = lesson.record.views.get(view)
    if record is None or not {still, "landmarks.npz"} <= lesson.names:
        return None
    try:
        picture = np.asarray(Image.open(io.BytesIO(lesson.read(still))).convert("RGB"))
        with np.load(io.BytesIO(lesson.read("landmarks.npz")), allow_pickle=False) as arrays:
            outline = arrays[f"{view}.outlines"][record.still_index]
            joints = arrays[f"{view}.joints_px"][record.still_index]
            box = arrays[f"{view}.mask_box_px"]
    except (OSError, ValueError, KeyError, IndexError, zipfile.BadZipFile) as error:
        raise UsageError(
            f"The pictures of {lesson.title} are damaged ({type(error).__name__}). Measure the clips again."
        ) from None
    u0, v0, u1, v1 = (int(each) for each in box)
    return KeptView(record=record, still=picture, outline=outline, outline_box_px=(u0, v0, u1, v1), joints_px=joints)
