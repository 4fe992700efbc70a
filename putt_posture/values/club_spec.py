"""What a club-builder needs to know about a putter."""

from typing import Literal

from attrs import frozen

from putt_posture.shown import begin_upper
from putt_posture.values.estimate import Estimate
from putt_posture.values.showing import brief

__all__ = ["Advice", "ClubSpec", "RuleCheck"]

Advice = Literal["leave", "cut", "extend", "another", "unknown"]
"""What to do about the length of the putter in use; ``another`` is another putter, or a fitting by hand."""


@brief
@frozen(kw_only=True)
class RuleCheck:
    """One limit of the Equipment Rules, checked for a putter.

    Attributes
    ----------
    name : str
        Short and stable, snake_case.
    title : str
        The same for people.
    limit : str
        The limit in words, metric and imperial where it is a length.
    clause : str
        Where it is in the Rules.
    keeps : bool or None
        Whether the putter is within it; None where that is not known.
    says : str
        One sentence: what was found.
    """

    name: str
    title: str
    limit: str
    clause: str
    keeps: bool | None
    says: str


@brief
@frozen(kw_only=True)
class ClubSpec:
    """The spec of one putter.

    Attributes
    ----------
    length : Estimate
        Top of the grip along the shaft's axis to the sole, cm.
    stock_length_in : float or None
        The nearest half inch; None where the length is absent.
    current_length_cm : float or None
        The putter in use, measured the same way; None where it was not given.
    length_change : Estimate
        Suggested minus current, cm: − is cut, + is extend; absent where either is unknown.
    advice : {"leave", "cut", "extend", "another", "unknown"}
        What to do about the length of the putter in use.
    advice_says, advice_other, advice_why : str
        The same in a few words, with the length in inches; that length in centimetres; and why, in a sentence or two.
    stock_change_in : float or None
        What is cut (−) or extended (+) to reach the nearest half inch; 0 where the putter in use is left, None where
        another one is wanted or nothing is known.
    swing_weight_change : float or None
        Points by which the putter head feels heavier (+) or lighter (−) after `stock_change_in`, if nothing else is
        done.
    feel : tuple of str
        What the change of length does to the feel of the putter head, and the usual remedies.
    lie : Estimate
        Shaft above the ground, deg.
    current_lie_deg : float or None
        Of the putter in use; None where it was not given.
    lie_change : Estimate
        Suggested minus current, deg: + is bent more upright, − flatter; absent where either is unknown.
    bend_says : str
        What to do about the lie in a few words: ``leave at 70°``.
    bending : str
        Why, in a sentence or two.
    loft, grip : str
        Sentences: left to the coach, and their limits.
    checks : tuple of RuleCheck
    notes : tuple of str
        Sentences on how to read the sheet and what to try before cutting.
    """

    length: Estimate
    stock_length_in: float | None
    current_length_cm: float | None
    length_change: Estimate
    advice: Advice
    advice_says: str
    advice_other: str
    advice_why: str
    stock_change_in: float | None
    swing_weight_change: float | None
    feel: tuple[str, ...]
    lie: Estimate
    current_lie_deg: float | None
    lie_change: Estimate
    bend_says: str
    bending: str
    loft: str
    grip: str
    checks: tuple[RuleCheck, ...]
    notes: tuple[str, ...] = ()

    @property
    def bend_sentence(self) -> str:
        """What to do about the lie, and why, as sentences."""
        if not self.lie_change:
            return self.bending
        return f"{begin_upper(self.bend_says)}. {self.bending}"

    @property
    def advice_sentence(self) -> str:
        """What to do about the length, and why, as sentences."""
        if self.advice in ("unknown", "another"):
            return self.advice_why
        says = begin_upper(self.advice_says)
        other = f" ({self.advice_other})" if self.advice_other else ""
        return f"{says}{other}. {self.advice_why}"
