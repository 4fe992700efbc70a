"""Sentences on what a suggestion is based on, and on where two ways to a length disagree."""

from collections.abc import Collection, Iterator, Mapping
from itertools import combinations
from typing import Final

from putt_posture.figures import format_apart, format_given, format_margin, format_value
from putt_posture.fitting.inputs import GRIP_DOWN_SD_CM, HANDS_ALONE_SD_CM, FilmedSetup
from putt_posture.fitting.student_model import say_outside_tables
from putt_posture.shown import begin_lower, begin_upper, join_words
from putt_posture.units import CM_PER_INCH
from putt_posture.values import NORMAL_95, Estimate, Evidence, Student, WantedSetup

__all__ = ["list_assumptions", "say_disagreements"]

APART_CM: Final = 0.5 * CM_PER_INCH
"""Putters are cut to the half inch (common practice): a smaller difference gives the same putter."""
_TABLES: Final = ("body_model", "wrist_floor", "height_rule")
_WHY: Final[Mapping[tuple[str, str], str]] = {
    ("body_model", "wrist_floor"): "The student's arms or legs are not the usual ones for their height; the wrist "
    "height shows that, the height does not.",
    ("body_model", "height_rule"): "The rule uses only the height; the model uses the body table and the wanted setup.",
    ("wrist_floor", "height_rule"): "The rule uses only the height; the wrist height depends on arms and legs.",
}
WHERE_SHOWN: Final = (
    "The ± of length and lie should contain the true value 19 times out of 20. That was tested on 24 rendered golfers "
    "whose setup was known and not filmed, not on people: the length's interval held for 96 to 100 % of them, the "
    "lie's for 92 to 100 %, depending on how much was known of the body."
)
"""The shares are from the table of the fit in DEVELOPERS.md; a test compares them."""
BUILT_IN: Final = (
    "Where this agrees with the trade's rule of thumb, the agreement is partly built in: the usual tilt and the soft "
    "elbow bend were chosen for it, within what coaches teach."
)
_DATA: Final = {
    "hand_height": "the filmed hands", "putter": "the putter in use", "eye_offset": "the filmed eyes",
}  # fmt: skip


def say_disagreements(
    evidence: tuple[Evidence, ...], student: Student, *, filmed: FilmedSetup | None, wanted_tilt: Estimate | None
) -> Iterator[str]:
    """Yield a few sentences for each way that is more than half an inch from another.

    Parameters
    ----------
    evidence : tuple of Evidence
    student : Student
    filmed : FilmedSetup, optional
        The setup as filmed, to say how it differs from the wanted one.
    wanted_tilt : Estimate, optional
        Of the wanted setup, deg.
    """
    found = {one.name: one for one in evidence if one.length}
    tables = [found[name] for name in _TABLES if name in found]
    setup = found.get("measured_setup")
    if setup is not None and filmed is not None:
        apart = [_say_apart(setup, one) for one in tables if _is_apart(setup, one)]
        if apart:
            yield f"The length {_lower(setup)} is {' and '.join(apart)}. {_explain_setup(filmed, wanted_tilt)}"
    for one, other in combinations(tables, 2):
        if _is_apart(one, other):
            yield f"The length {_lower(one)} is {_say_apart(one, other)}. {_explain_tables(one, other, student)}"


def list_assumptions(
    filmed: FilmedSetup | None,
    student: Student,
    wanted: WantedSetup,
    *,
    setup: Mapping[str, Estimate],
    hold_cm: float,
    believed: Collection[str],
    without_putter: bool = False,
) -> Iterator[str]:
    """Yield what a suggestion is based on, a sentence or two each.

    Parameters
    ----------
    filmed : FilmedSetup or None
    student : Student
    wanted : WantedSetup
    setup : mapping of str to Estimate
        The wanted setup as this student holds it, named as in `Fit.setup`.
    hold_cm : float
        Butt to hand centre along the shaft.
    believed : collection of str
        Which filmed data were not put aside, as `find_filmed_data` names them.
    without_putter : bool
        Whether the setup was filmed without a putter.

    Yields
    ------
    str
    """
    if outside := say_outside_tables(student):
        yield outside
    yield "The length runs from the top of the grip along the shaft's axis to the sole; some shops measure differently."
    yield WHERE_SHOWN
    yield _say_wanted(wanted, setup)
    down = f", and {format_given(wanted.grip_down_cm, 'cm')} more for gripping down" if wanted.grip_down_cm else ""
    yield (
        f"The hands' centre is taken {format_value(hold_cm, 'cm')} down from the top of the grip (hand size by tables, "
        f"hold by common practice){down}."
    )
    if wanted.tilt_deg is None and wanted.elbow_bend_deg is None:
        yield BUILT_IN
    if filmed is None:
        yield "Nothing was filmed: the body is that of the tables for this height, so the interval is wide."
        return
    if filmed.missing:
        yield f"{filmed.missing} The length is for a body of this height from tables, so the interval is wide."
        return
    yield filmed.lie_says
    if without_putter:
        yield (
            "The hands are taken to be where they would hold the grip, to about "
            f"± {format_value(NORMAL_95 * HANDS_ALONE_SD_CM, 'cm')} (judged)."
        )
    names = [title for name, title in _DATA.items() if name in believed]
    if names:
        words = join_words(names)
        correct = "corrects" if names == [_DATA["putter"]] else "correct"
        yield (
            f"{begin_upper(words)} {correct} the body tables, weighted by precision; errors of tilt, offset "
            "and hand height are correlated as the accuracy study found."
        )
    if "putter" in believed:
        yield (
            "A student may grip the putter in use down or up from the usual hold by "
            f"± {format_value(NORMAL_95 * GRIP_DOWN_SD_CM, 'cm')} (common practice)."
        )
    tilt = setup["spine_tilt"].value
    if round(tilt) > round(filmed.tilt.value):
        yield (
            f"A tilt of {format_value(tilt, 'deg')} loads the back more than {format_value(filmed.tilt.value, 'deg')}: "
            "try it for a short time, stop if it hurts, and ask a clinician first if there are back problems."
        )


def _is_apart(one: Evidence, other: Evidence) -> bool:
    return abs(one.length.value - other.length.value) > APART_CM


def _say_apart(one: Evidence, other: Evidence) -> str:
    apart = one.length.value - other.length.value
    surely = abs(apart) > (one.length.margin**2 + other.length.margin**2) ** 0.5
    return (
        f"{format_apart(one.length.value, other.length.value)} {'longer' if apart > 0 else 'shorter'} than that "
        f"{_lower(other)} "
        f"({'more than their margins allow' if surely else 'within their margins'})"
    )


def _lower(evidence: Evidence) -> str:
    return begin_lower(evidence.title)


def _explain_setup(filmed: FilmedSetup, wanted_tilt: Estimate | None) -> str:
    parts = []
    if filmed.tilt and wanted_tilt and abs(filmed.tilt.value - wanted_tilt.value) > filmed.tilt.margin:
        parts.append(
            f"tilts by {format_value(filmed.tilt.value, 'deg')} where the wanted setup has "
            f"{format_value(wanted_tilt.value, 'deg')}"
        )
    if filmed.offset and abs(filmed.offset.value) > filmed.offset.margin:
        side = "outside" if filmed.offset.value > 0 else "inside"
        parts.append(f"holds the hands {format_value(abs(filmed.offset.value), 'cm')} {side} the shoulders")
    if parts:
        return (
            f"As filmed, the student {' and '.join(parts)}: this length is for a different setup than the wanted "
            "one. Next: film the student again once the hands hang under the shoulders."
        )
    return (
        "The filmed setup is close to the wanted one, so either this body is unusual for its height, or the scale is "
        "off. Next: put a known length into the picture, and measure from the floor to the wrist crease, standing "
        "barefoot."
    )


def _explain_tables(one: Evidence, other: Evidence, student: Student) -> str:
    why = _WHY[one.name, other.name]
    if student.wrist_floor_cm is None:
        return f"{why} Next: measure from the floor to the wrist crease, standing barefoot, arms hanging."
    return f"{why} Next: measure the wrist height once more, and try both lengths with gripping down."


def _say_wanted(wanted: WantedSetup, setup: Mapping[str, Estimate]) -> str:
    eyes = "over" if abs(wanted.eye_offset_cm) < 0.5 else "inside" if wanted.eye_offset_cm < 0 else "beyond"
    by = "" if eyes == "over" else f"{format_given(abs(wanted.eye_offset_cm), 'cm')} "
    hands = (
        "straight under the shoulders"
        if abs(wanted.hand_offset_cm) < 0.5
        else f"{format_value(wanted.hand_offset_cm, 'cm', signed=True)} from the shoulders"
    )
    whose = " (common practice)" if wanted == WantedSetup() else ""
    return (
        f"Wanted{whose}: hands {hands}, elbows at the front of the ribs, weight at "
        f"{format_given(wanted.balance_percent, '%')} of the "
        f"foot, eyes {by}{eyes} the ball, knees bent by {format_given(wanted.knee_flex_deg, 'deg')}, back rounded by "
        f"{format_given(wanted.back_rounding_deg, 'deg')}. That takes a tilt of "
        f"{format_margin(setup['spine_tilt'])}, with the elbows bent by "
        f"{format_value(setup['elbow_bend'].value, 'deg')}."
    )
