"""The spec of a putter from a fit and the putter in use."""

import math
from typing import Final

from attrs import evolve

from putt_posture.body import PUTTER_TAPE_SD_CM
from putt_posture.club_spec.length_advice import LengthAdvice, advise_length
from putt_posture.club_spec.rules import MOST_LOFT_DEG, check_rules
from putt_posture.club_spec.swing_weight import describe_feel, find_swing_weight_change
from putt_posture.errors import UsageError
from putt_posture.figures import as_printed, format_change, format_given, format_value, inches
from putt_posture.fitting.limits import find_stock_length_in
from putt_posture.units import CM_PER_INCH
from putt_posture.values import ChosenPutter, ClubSpec, Estimate, Fit, Student, absent

__all__ = ["find_club_spec", "take_chosen"]

_CHOSEN: Final = "chosen by the coach"

CURRENT_LIE_RANGE_DEG: Final = (55.0, 85.0)
"""No putter on sale lies outside (common practice); any other number is a mistake."""
LIE_GAUGE_SD_DEG: Final = 0.5
"""One sigma of a lie read off a gauge, deg (common practice)."""
USUAL_BEND_DEG: Final = 2.0
MOST_BEND_DEG: Final = 4.0
"""How far a putter head that bends is usually bent, and at most (common practice)."""
_LOFT: Final = (
    f"Left to the coach: 2° to 4° is usual on putters sold (common practice); not over {MOST_LOFT_DEG:g}° by the "
    "Rules. Hands further toward the target take loft off, so it is set with the student's own shaft lean."
)
_GRIP: Final = (
    "Size and shape are left to the coach. By the Rules (Part 2, 3) at least 7 in (17.8 cm) long and at most 1.75 in "
    "(4.4 cm) across; a putter's grip need not be round. A cut is made at the top end, so the grip comes off."
)
_TRY_FIRST: Final = (
    "A cut cannot be undone: let the student grip down to the new length, or try a putter of that length, before "
    "cutting (common practice)."
)
_WIDE_CM: Final = CM_PER_INCH
_WIDE: Final = (
    "The interval reaches more than an inch to either side: settle on the length by gripping down, and film the "
    "student once more in the new setup, before anything is cut."
)
_WITHOUT_PUTTER: Final = (
    "Filmed without a putter: where the student grips, how the sole stands and how the shaft leans are not known. Film "
    "once more with a putter before anything is cut, bent or ordered."
)
_CHECK_AFTER: Final = "Measure length, lie and loft once more on the finished putter."


def find_club_spec(
    fit: Fit, student: Student, *, without_putter: bool = False, chosen: ChosenPutter | None = None
) -> ClubSpec:
    """Find what a club-builder needs to know.

    Parameters
    ----------
    fit : Fit
    student : Student
        For the length and the lie of the putter in use.
    without_putter : bool
        Whether the student was filmed without a putter, so that nothing is known of how they hold it.
    chosen : ChosenPutter, optional
        What the coach chose instead of what is suggested.

    Returns
    -------
    ClubSpec
        With what cannot be said absent.

    Raises
    ------
    UsageError
        If the lie of the putter in use cannot be a putter's.
    """
    fit, chosen = take_chosen(fit, chosen), chosen or ChosenPutter()
    change = _find_length_change(fit.putter_length, student.putter_length_cm)
    advice = advise_length(
        change,
        suggested=fit.putter_length,
        stock_in=fit.stock_length_in,
        current_cm=student.putter_length_cm,
        what="suggestion" if chosen.length_cm is None else "chosen length",
    )
    lie_change = _find_lie_change(fit.lie, student.putter_lie_deg)
    what = "suggestion" if chosen.lie_deg is None else "chosen lie"
    bend_says, bending = _advise_bend(lie_change, fit.lie, student.putter_lie_deg, what=what)
    wide = [_WIDE] if change and change.margin > _WIDE_CM and advice.advice != "another" else []
    bare = [_WITHOUT_PUTTER] if without_putter else []
    notes = (*bare, *wide, *([_TRY_FIRST] if advice.advice == "cut" else []), _CHECK_AFTER)
    return ClubSpec(
        length=fit.putter_length,
        stock_length_in=fit.stock_length_in,
        current_length_cm=student.putter_length_cm,
        length_change=change,
        advice=advice.advice,
        advice_says=advice.says,
        advice_other=advice.other,
        advice_why=advice.why,
        stock_change_in=advice.step_in,
        swing_weight_change=_find_points(advice, student),
        feel=_say_feel(advice, student),
        lie=fit.lie,
        current_lie_deg=student.putter_lie_deg,
        lie_change=lie_change,
        bend_says=bend_says,
        bending=bending,
        loft=_LOFT,
        grip=_GRIP,
        checks=check_rules(fit.putter_length, fit.lie, current_cm=student.putter_length_cm),
        notes=notes,
    )


def take_chosen(fit: Fit, chosen: ChosenPutter | None) -> Fit:
    """Return a fit with what the coach chose in the place of what was suggested; it has no margin.

    Parameters
    ----------
    fit : Fit
    chosen : ChosenPutter or None
    """
    if chosen is not None and chosen.length_cm is not None:
        length = Estimate(value=chosen.length_cm, standard_uncertainty=0.0, unit="cm", method=_CHOSEN)
        fit = evolve(fit, putter_length=length, stock_length_in=find_stock_length_in(length))
    if chosen is not None and chosen.lie_deg is not None:
        fit = evolve(fit, lie=Estimate(value=chosen.lie_deg, standard_uncertainty=0.0, unit="deg", method=_CHOSEN))
    return fit


def _find_length_change(length: Estimate, current_cm: float | None) -> Estimate:
    if not length:
        return absent(f"There is no length to change to: {length.absent}", unit="cm")
    if current_cm is None:
        return absent("The length of the putter in use was not given.", unit="cm")
    return Estimate(
        value=length.value - current_cm,
        standard_uncertainty=math.hypot(length.standard_uncertainty, PUTTER_TAPE_SD_CM),
        unit="cm",
        frames=length.frames,
        method="suggested less current length",
    )


def _find_lie_change(lie: Estimate, current_deg: float | None) -> Estimate:
    if current_deg is None:
        return absent(
            "The lie of the putter in use was not given: read it off a lie gauge with the sole flat.", unit="deg"
        )
    low, high = CURRENT_LIE_RANGE_DEG
    if not low <= current_deg <= high:
        raise UsageError(
            f"A lie of {format_given(current_deg, 'deg')} was given for the putter in use; {low:g}° to {high:g}° above "
            "the ground is possible; check the gauge."
        )
    if not lie:
        return absent(f"There is no lie to bend to: {lie.absent}", unit="deg")
    return Estimate(
        value=lie.value - current_deg,
        standard_uncertainty=math.hypot(lie.standard_uncertainty, LIE_GAUGE_SD_DEG),
        unit="deg",
        frames=lie.frames,
        method="suggested less current lie",
    )


def _find_points(advice: LengthAdvice, student: Student) -> float | None:
    if advice.step_in is None or student.putter_length_cm is None:
        return None
    return find_swing_weight_change(inches(student.putter_length_cm), advice.step_in) + 0.0


def _say_feel(advice: LengthAdvice, student: Student) -> tuple[str, ...]:
    if advice.advice == "another":
        return ("No change of length is given, so its effect on the feel of the putter head is not given either.",)
    if advice.step_in is None or student.putter_length_cm is None:
        return (f"The effect on the feel of the putter head is not known. {advice.why}".strip(),)
    return describe_feel(inches(student.putter_length_cm), advice.step_in)


def _advise_bend(change: Estimate, lie: Estimate, current_deg: float | None, *, what: str) -> tuple[str, str]:
    """Say what to do about the lie in a few words, and why in a sentence or two."""
    if not change or current_deg is None:
        return "not found", change.absent or ""
    figure = format_change(current_deg, lie.value, margin=change.margin, unit="deg")
    shift = as_printed(lie.value, "deg") - as_printed(current_deg, "deg")
    if abs(shift) <= as_printed(change.margin, "deg"):
        why = f"The {what} is {figure} from it, less than these numbers can show."
        return f"leave at {format_given(current_deg, 'deg')}", why
    size, way = format_value(abs(shift), "deg"), "more upright" if shift > 0 else "flatter"
    says = f"{size} {way}"
    most = format_given(MOST_BEND_DEG, "deg")
    why = f"From {format_given(current_deg, 'deg')}; the {what} is {figure} from it."
    if abs(shift) <= USUAL_BEND_DEG:
        return says, f"{why} Most putter heads with a neck or a bent shaft take that (common practice)."
    if abs(shift) <= MOST_BEND_DEG:
        return says, (
            f"{why} Bend no farther than the maker allows: {most} is about the most for putter heads that bend, and "
            "some do not bend at all (common practice)."
        )
    return "another lie", (
        f"{why} That is more than a putter head is bent ({most} at most, common practice): look for a putter head or "
        "shaft with another lie."
    )
