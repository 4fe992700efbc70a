"""A measured number with its uncertainty, or why it is absent; arrays of numbers, and medians that ignore NaN."""

import math
import numbers
from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray

from putt_posture.errors import AbsentNumber, ArgumentError, UsageError
from putt_posture.values.student import View

__all__ = [
    "NORMAL_95",
    "Estimate",
    "Floats",
    "absent",
    "add_by_hand",
    "median_seen",
    "medians_seen",
    "read_by_hand",
]

Floats = NDArray[np.float64]
"""Numbers of any shape; NaN where unseen."""
NORMAL_95 = 1.959963984540054
"""Two-sided 95 % point of the normal distribution."""
_BY_HAND: Final = "; by hand: "
"""Text in a method before the names of what was given by hand."""
_LONGEST = 88
"""Letters inside the brackets of a repr."""


@frozen(kw_only=True)
class Estimate:
    """One number with its standard uncertainty; falsy when absent.

    ``float(estimate)`` is its value, and ``format(estimate, ".1f")`` the text of it. An absent one has no value:
    `float` raises `AbsentNumber` with the reason, since a NaN would go through a sum or a mean like a number; its text
    is the word ``absent``.

    Attributes
    ----------
    value : float
        In `unit`; NaN when absent.
    standard_uncertainty : float
        One sigma, in `unit`, never negative; NaN when absent.
    unit : str
        ``deg``, ``cm``, ``%``, ``px/cm`` or ``px``.
    view : View or None
        The view that it came from; None where both or neither were used.
    frames : int
        How many frames were used.
    method : str
        One short phrase on how it was found.
    absent : str or None
        One sentence: why there is no number; None when there is one.
    floor : float or None
        The least value that makes sense (0 for a gap); the interval is cut there.
    raw_value : float or None
        The value from the landmarks as the model gave them, before they were moved to the joints; None where they were
        not moved.
    budget : mapping of str to float
        The parts of the standard uncertainty by cause, one sigma each, in `unit`; they add in quadrature.
    repeats : tuple of float
        The value of each setup alone, in `unit`, where it was measured in the frames of setups.
    coverage : float
        Coverage factor: standard uncertainties in the 95 % margin; more than 1.96 where they come from few repeats.
    per_frame : tuple of float
        The value of each frame of the landmarks of `view`, in their order, in `unit`; NaN where it cannot
        be read in a frame. Empty where it was not measured frame by frame, and in a lesson that was stored.
    by_hand : tuple of str
        What was typed, drawn or placed by hand and affects the number: ``left shoulder``, ``shaft``; empty where the
        program found everything.
    automatic : float or None
        The value without that, in `unit`; None where there would be no number, and where `by_hand` is empty.

    Examples
    --------
    >>> tilt = Estimate(value=30.0, standard_uncertainty=2.0, unit="deg", method="landmarks")
    >>> bool(tilt), round(tilt.low, 1), round(tilt.high, 1)
    (True, 26.1, 33.9)
    >>> float(tilt), f"{tilt:.0f}"
    (30.0, '30')
    >>> tilt
    Estimate(30.0 ± 3.9 deg)
    >>> hidden = absent("The near hip is hidden.", unit="deg")
    >>> bool(hidden), f"{hidden:.1f}", hidden
    (False, 'absent', Estimate(absent: The near hip is hidden.))
    >>> float(hidden)
    Traceback (most recent call last):
    ...
    putt_posture.errors.AbsentNumber: There is no number, in deg: The near hip is hidden. Ask for it only where the \
estimate is true.
    """

    value: float
    standard_uncertainty: float
    unit: str
    view: View | None = None
    frames: int = 0
    method: str = ""
    absent: str | None = None
    floor: float | None = None
    raw_value: float | None = None
    budget: Mapping[str, float] = field(factory=dict)
    repeats: tuple[float, ...] = ()
    coverage: float = NORMAL_95
    per_frame: tuple[float, ...] = field(default=(), eq=False, repr=False)
    by_hand: tuple[str, ...] = ()
    automatic: float | None = None

    def __attrs_post_init__(self) -> None:
        for name in ("value", "standard_uncertainty"):
            held = getattr(self, name)
            if isinstance(held, bool) or not isinstance(held, numbers.Real):
                raise ArgumentError(f"{name} of Estimate is a {type(held).__name__}, {held!r}; a number is needed.")
        if self.absent is None and not (
            math.isfinite(self.value) and math.isfinite(self.standard_uncertainty) and self.standard_uncertainty >= 0
        ):
            raise UsageError(
                f"An estimate needs a finite value and uncertainty; found {self.value} ± "
                f"{self.standard_uncertainty} {self.unit} ({self.method})."
            )

    def __bool__(self) -> bool:
        return self.absent is None

    def __float__(self) -> float:
        """Return the value. Raises AbsentNumber where there is none."""
        if self.absent is not None:
            raise AbsentNumber(
                f"There is no number, in {self.unit}: {self.absent} Ask for it only where the estimate is true."
            )
        return float(self.value)

    def __format__(self, spec: str) -> str:
        """Return the value in this format, without unit; ``absent``, at the same width, where there is none."""
        if not spec:
            return str(self)
        return format(self.value, spec) if self else "absent".rjust(len(format(0.0, spec)))

    def __repr__(self) -> str:
        """Return value and 95 % margin with the unit and the view, or why there is none; in one line."""
        if self.absent is not None:
            said = f"absent: {self.absent}"
        else:
            decimals = 1 if self.margin >= 1 else 2
            said = f"{self.value:.{decimals}f} ± {self.margin:.{decimals}f} {self.unit}"
            said += f", {self.view}" if self.view else ""
        return f"Estimate({said if len(said) <= _LONGEST else said[: _LONGEST - 1] + '…'})"

    @property
    def low(self) -> float:
        """Lower end of the 95 % interval, in `unit`."""
        low = self.value - self.margin
        return low if self.floor is None else max(low, self.floor)

    @property
    def high(self) -> float:
        """Upper end of the 95 % interval, in `unit`."""
        return self.value + self.margin

    @property
    def margin(self) -> float:
        """Half the width of the 95 % interval, in `unit`: the number behind the ± sign."""
        return self.coverage * self.standard_uncertainty


def median_seen(values: Floats) -> float:
    """Return the median of the values that are not NaN; NaN, without a warning, where all are NaN.

    Parameters
    ----------
    values : array
        Of any shape.

    Examples
    --------
    >>> median_seen(np.array([1.0, np.nan, 3.0]))
    2.0
    """
    return float(np.nanmedian(values)) if np.isfinite(values).any() else math.nan


def medians_seen(values: Floats, *, axis: int = 0) -> Floats:
    """Return the medians along an axis of the values that are not NaN; NaN, without a warning, where all are NaN.

    It does the same as `numpy.nanmedian`, which takes some ten times as long for few values.

    Parameters
    ----------
    values : array
        Of any shape.
    axis : int
        Along which the medians are taken.

    Examples
    --------
    >>> medians_seen(np.array([[1.0, np.nan], [np.nan, np.nan], [4.0, np.nan]]))
    array([2.5, nan])
    """
    ordered = np.sort(np.moveaxis(values, axis, 0), axis=0)  # NaN comes last
    count = len(ordered)
    if not count:
        return np.full(ordered.shape[1:], np.nan)
    seen = count - np.isnan(ordered).sum(axis=0)
    if np.all(seen == count):
        return np.asarray((ordered[(count - 1) // 2] + ordered[count // 2]) / 2)
    places = np.maximum(seen - 1, 0) // 2, np.minimum(seen // 2, count - 1)
    low, high = (np.take_along_axis(ordered, np.asarray(place)[None], axis=0)[0] for place in places)
    return np.asarray((low + high) / 2)


def absent(reason: str, *, unit: str, view: View | None = None, method: str = "") -> Estimate:
    """Return an estimate without a number.

    Parameters
    ----------
    reason : str
        One sentence that a coach understands.
    unit : str
        The unit that the number would have had.
    view : View, optional
        The view it would have come from.
    method : str, optional
        The method that was tried.
    """
    return Estimate(value=math.nan, standard_uncertainty=math.nan, unit=unit, view=view, method=method, absent=reason)


def add_by_hand(method: str, names: Sequence[str]) -> str:
    """Return the method of a number with the names of what was given by hand.

    Parameters
    ----------
    method : str
    names : sequence of str
        At least one, as `Given.names` says them.
    """
    return f"{method}{_BY_HAND}{', '.join(names)}"


def read_by_hand(method: str) -> tuple[str, ...]:
    """Return from the method of a number the names of what was given by hand; empty if there are none.

    Parameters
    ----------
    method : str

    Examples
    --------
    >>> read_by_hand(add_by_hand("down the line", ["shaft", "left hip"])), read_by_hand("down the line")
    (('shaft', 'left hip'), ())
    """
    _, mark, names = method.partition(_BY_HAND)
    return tuple(names.split(", ")) if mark else ()
