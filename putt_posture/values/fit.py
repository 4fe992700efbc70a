"""A putter length and lie with what speaks for them."""

from attrs import frozen

from putt_posture.values.estimate import Estimate

__all__ = ["Evidence", "Fit"]


@frozen(kw_only=True)
class Evidence:
    """One way to a putter length.

    Attributes
    ----------
    name : str
        A short name, snake_case, stable.
    title : str
        The same for people.
    length : Estimate
        cm along the shaft, top of the grip to the sole.
    says : str
        One plain sentence: what it rests on.
    """

    name: str
    title: str
    length: Estimate
    says: str


@frozen(kw_only=True)
class Fit:
    """A putter length suggestion.

    Attributes
    ----------
    putter_length : Estimate
        Suggested length in cm; top of the grip along the shaft's axis to the sole.
    stock_length_in : float or None
        The nearest half inch; None where the length is absent.
    lie : Estimate
        Suggested angle of the shaft above the horizontal, deg.
    evidence : tuple of Evidence
    assumptions : tuple of str
        Sentences.
    """

    putter_length: Estimate
    stock_length_in: float | None
    lie: Estimate
    evidence: tuple[Evidence, ...] = ()
    assumptions: tuple[str, ...] = ()
