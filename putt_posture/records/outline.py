"""The still of a kept lesson with the student's outline and joints in it."""

import io
import zipfile

import numpy as np
from PIL import Image

from putt_posture.errors import UsageError
from putt_posture.records.kept import KeptLesson
from putt_posture.values import KeptView, View

__all__ = ["load_view"]


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
