"""Sentences that every page uses about all measures: margins, norms, scales and cautions.

Sentences about one measure are in its record (`putt_posture.measures`). Nothing here says good or bad: there is no
published norm for posture at a putting address.
"""

from collections.abc import Mapping
from typing import Final

from putt_posture.values import Lesson, LessonRecord

__all__ = [
    "BACK_CAUTIONS",
    "CAUTIONS",
    "FACES",
    "FACES_HIDDEN",
    "NO_NORM",
    "SCALE_SOURCES",
    "SHOWN_ON",
    "UNCERTAINTY",
    "say_what_was_filmed",
]

SCALE_SOURCES: Final[Mapping[str, str]] = {
    "object": "an object of known length in the student's plane",
    "putter": "the measured length of the putter",
    "stature": "the student's height, through the lengths of the body's segments",
    "other_view": "the other view of the same student",
    "none": "nothing; lengths are absent",
}
SHOWN_ON: Final = (
    "It should contain the true value 19 times out of 20. That was tested on rendered golfers, whose true values are "
    "known: there it did so in 88 to 100 % of the shots, depending on the measure. On people only the spine tilt was "
    "tested, and only on a few."
)
"""About a margin. The shares are those of the table in DEVELOPERS.md (24 golfers, usual shots) and what was shown on
people is in `tests/accuracy/results.md`."""
UNCERTAINTY: Final = (
    f"The number after ± is the 95 % margin. {SHOWN_ON} From one lesson to the next, a difference of less than about "
    "one and a half margins does not count as a change, and about one of twenty measures passes that by chance. A "
    "comparison of both lessons takes that into account."
)
"""Two equal margins m make a margin of m·√2 on their difference."""
NO_NORM: Final = (
    "There is no published norm for any of these at a putting address. The numbers describe the student's setup, not "
    "how it should be. What is said about the stroke is common practice among coaches."
)
FACES: Final = "Faces"
FACES_HIDDEN: Final = "hidden for good in every picture here"
BACK_CAUTIONS: Final[tuple[str, ...]] = (
    "Long practice in a bent posture can load the back: take breaks, stand up and walk a little between sets.",
    "Stop at pain, and see a clinician about pain that stays or comes back.",
)
"""Printed with every suggested setup, filmed or not."""
CAUTIONS: Final[tuple[str, ...]] = (
    *BACK_CAUTIONS,
    "This is not a medical measurement. Back rounding is read from the outline of clothes and skin; it is not a "
    "clinical angle of the spine.",
    "The coach and the club-builder decide; this report gives them numbers with their margins and no more.",
)


def say_what_was_filmed(lesson: Lesson | LessonRecord) -> str:
    """Return the step of the rebuild that a lesson shows, and whether without a putter; empty for neither.

    Parameters
    ----------
    lesson : Lesson or LessonRecord
    """
    return ", ".join(filter(None, (lesson.step, "without a putter" if lesson.without_putter else "")))
