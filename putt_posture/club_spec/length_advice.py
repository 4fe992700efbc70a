"""Whether the putter in use is left, cut or extended, or whether another one is wanted."""

from typing import Final

from attrs import frozen

from putt_posture.figures import as_printed, format_change, format_length, format_value, inches
from putt_posture.fitting.inputs import name_long_putter
from putt_posture.units import CM_PER_INCH
from putt_posture.values import Advice, Estimate

__all__ = ["FARTHEST_CHANGE_IN", "LengthAdvice", "advise_length"]

FARTHEST_CHANGE_IN: Final = 2.0
"""The most that a putter is cut or extended: beyond that its balance changes too much (common practice)."""


@frozen(kw_only=True)
class LengthAdvice:
    """What to do about the length of the putter in use.

    Attributes
    ----------
    advice : {"leave", "cut", "extend", "another", "unknown"}
    step_in : float or None
        By how much: − is cut, + is extended, 0 is left; None for another putter, or where it is not known.
    says : str
        What to do in a few words, with the length: ``leave at 33.0 in``.
    other : str
        The length in `says` in centimetres; empty where there is none.
    why : str
        One or two sentences.
    """

    advice: Advice
    step_in: float | None
    says: str
    other: str
    why: str


def advise_length(
    change: Estimate,
    *,
    suggested: Estimate,
    stock_in: float | None,
    current_cm: float | None,
    what: str = "suggestion",
) -> LengthAdvice:
    """Advise on the length of the putter in use, by the numbers as they are printed.

    Where the suggestion and the putter in use differ by no more than the margin, the putter is left. A change beyond
    `FARTHEST_CHANGE_IN` is not cut or extended, nor is a long putter, which is held in another way.

    Parameters
    ----------
    change : Estimate
        Suggested less current, cm; may be absent.
    suggested : Estimate
        cm.
    stock_in : float or None
        The half inch nearest to it.
    current_cm : float or None
    what : str
        What to call the suggested length, where it is one that the coach chose.
    """
    if not change or stock_in is None or current_cm is None:
        return LengthAdvice(advice="unknown", step_in=None, says="not found", other="", why=change.absent or "")
    current_in = as_printed(inches(current_cm), "in")
    apart = round(as_printed(inches(suggested.value), "in") - current_in, 1)  # of tenths, so that 3.6 is not above 3.6
    figure = _say_change(change, suggested=suggested, current_cm=current_cm)
    if abs(apart) <= as_printed(inches(change.margin), "in"):
        why = f"The {what} is {figure} from the putter in use, less than these numbers can show."
        return _leave(current_cm, why)
    step = round(stock_in - current_in, 1) + 0.0
    if step == 0:
        why = f"The putter in use has the half inch nearest to the {what}, which is {figure} from it."
        return _leave(current_cm, why)
    target = format_length(stock_in * CM_PER_INCH)
    if kind := name_long_putter(current_cm):
        return _another(
            f"By its length the putter in use is of another kind ({kind}, common practice) and is held in another way: "
            f"for the usual hold, try a putter of about {target}, or a fitting by hand."
        )
    if abs(step) > FARTHEST_CHANGE_IN:
        return _another(
            f"The {what} is {figure} from the putter in use, too far to cut or extend it: try another putter of "
            f"about {target}, or a fitting by hand."
        )
    cut = step < 0
    return LengthAdvice(
        advice="cut" if cut else "extend",
        step_in=step,
        says=f"{'cut' if cut else 'extend by'} {format_value(abs(step), 'in')}",
        other=format_value(abs(step) * CM_PER_INCH, "cm"),
        why=f"To {target}, the nearest half inch. The {what} is {figure} from the putter in use.",
    )


def _say_change(change: Estimate, *, suggested: Estimate, current_cm: float) -> str:
    ends, margin = (current_cm, suggested.value), change.margin
    in_inches = format_change(*map(inches, ends), margin=inches(margin), unit="in")
    return f"{in_inches} ({format_change(*ends, margin=margin, unit='cm')})"


def _leave(current_cm: float, why: str) -> LengthAdvice:
    says = f"leave at {format_value(inches(current_cm), 'in')}"
    return LengthAdvice(advice="leave", step_in=0.0, says=says, other=format_value(current_cm, "cm"), why=why)


def _another(why: str) -> LengthAdvice:
    return LengthAdvice(advice="another", step_in=None, says="another putter", other="", why=why)
