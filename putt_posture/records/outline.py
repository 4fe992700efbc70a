"""The still of a kept lesson with the student's outline and joints in it."""

from putt_posture.records.arrays import ARRAYS, open_arrays
from putt_posture.records.kept import KeptLesson
from putt_posture.records.pictures import read_picture
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
    if record is None or not {still, ARRAYS} <= lesson.names:
        return None
    picture = read_picture(lesson.read(still), name=still, where=lesson.title, size=record.still_size)
    arrays = open_arrays(lesson.read(ARRAYS), record=lesson.record, where=f"The landmarks of {lesson.title}")
    u0, v0, u1, v1 = (int(each) for each in arrays[f"{view}.mask_box_px"])
    return KeptView(
        record=record,
        still=picture,
        outline=arrays.row(f"{view}.outlines", record.still_index),
        outline_box_px=(u0, v0, u1, v1),
        joints_px=arrays.row(f"{view}.joints_px", record.still_index),
    )
