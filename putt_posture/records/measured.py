"""A lesson that was just measured, in the form of a stored one: the same record, without files."""

from datetime import date

from attrs import evolve, frozen

from putt_posture.documents.lesson_json import lesson_as_text
from putt_posture.documents.lesson_reading import read_record
from putt_posture.drawing.stills import find_still_crop
from putt_posture.values import KeptView, Lesson, LessonRecord, View

__all__ = ["MeasuredLesson"]


@frozen(kw_only=True, eq=False)
class MeasuredLesson:
    """A lesson in memory, with the record that its document would have.

    Attributes
    ----------
    lesson : Lesson
    document : str
        The text of its `measures.json`, with its day where that was given.
    record : LessonRecord
        Read back from that text, so that a comparison in memory has the same numbers as one from folders.
    """

    lesson: Lesson
    document: str
    record: LessonRecord

    @classmethod
    def of(cls, lesson: Lesson, *, day: date | None = None) -> "MeasuredLesson":
        """Write the document of a lesson and read it back, in memory.

        Parameters
        ----------
        lesson : Lesson
        day : date, optional
            Of the lesson, which does not carry one itself.
        """
        document = lesson_as_text(lesson, made_on=day)
        record = read_record(document, where="The lesson")
        return cls(lesson=lesson, document=document, record=evolve(record, strokes=lesson.strokes))

    def view(self, view: View) -> KeptView:
        """Return one view, as `load_view` does from a folder; the still was not compressed as JPEG.

        Parameters
        ----------
        view : View
        """
        result = self.lesson.views[view]
        marks, row = result.landmarks, result.still_index
        u0, v0, u1, v1 = (int(each) for each in marks.mask_box_px)
        return KeptView(
            record=self.record.views[view],
            still=find_still_crop(self.lesson, view).cut(result),
            outline=marks.outlines[row],
            outline_box_px=(u0, v0, u1, v1),
            joints_px=result.joints.points_px[row],
        )
