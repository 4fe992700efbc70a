"""What every page says of all measures together: their margins, norms, scales and cautions.

What is said of one measure stands in its record (`putt_posture.measures`). Nothing here says good or bad: no published
norm exists for posture at a putting address.
"""

from collections.abc import Mapping
from typing import Final

__all__ = [
    "BACK_CAUTIONS",
    "CAUTIONS",
    "FACES",
    "FACES_HIDDEN",
    "NO_NORM",
    "SCALE_SOURCES",
    "SHOWN_ON",
    "UNCERTAINTY",
]

SCALE_SOURCES: Final[Mapping[str, str]] = {
    "object": "an object of known length in the student's plane",
    "putter": "the measured length of the putter",
    "stature": "the student's height, through the lengths of the body's segments",
    "other_view": "the other view of the same student",
    "none": "nothing; lengths are absent",
}
SHOWN_ON: Final = (
    "It is meant to hold the true value 19 times out of 20. That was tried on rendered golfers, whose true values are "
    "known: there it did so in 88 to 100 % of the shots, by measure. On people only the spine tilt was looked at, and "
    "only of a few."
)
"""Of a margin. The shares are those of the table in DEVELOPERS.md (24 golfers, usual shots) and what was shown on
people is in `tests/accuracy/results.md`."""
UNCERTAINTY: Final = (
    f"The number after ± is the 95 % margin. {SHOWN_ON} From one lesson to the next, a difference of less than about "
    "one and a half margins is no change, and one of some twenty measures passes that by chance; a comparison of both "
    "lessons takes that into account."
)
"""Two equal margins m make a margin of m·√2 on their difference."""
NO_NORM: Final = (
    "There is no published norm for any of these at a putting address. The numbers say where the student stands, "
    "not where they ought to; what a measure tends to do to the stroke is common practice among coaches."
)
FACES: Final = "Faces"
FACES_HIDDEN: Final = "hidden for good in every picture here"
BACK_CAUTIONS: Final[tuple[str, ...]] = (
    "Long practice in a bent posture can load the back: take breaks, stand up and walk a little between sets.",
    "Stop at pain, and see a clinician about pain that stays or comes back.",
)
"""What is said wherever a setup is suggested, filmed or not."""
CAUTIONS: Final[tuple[str, ...]] = (
    *BACK_CAUTIONS,
    "This is no medical measurement. Back rounding is read from the outline of clothes and skin; it is not a "
    "clinical angle of the spine.",
    "The coach and the club-builder decide; this report gives them numbers with their margins and no more.",
)
