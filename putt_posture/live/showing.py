"""What a screen shows of a reading: filmed and wanted numbers in whole units, and marks, none of which flickers."""

from collections.abc import Sequence
from typing import Final

from attrs import define, field, frozen

from putt_posture.figures import format_whole
from putt_posture.findings.quantities import PUTTER_IN_USE
from putt_posture.live.marks import Mark, SteadyMark, SteadyNumber, mark_of
from putt_posture.live.measuring import LiveReading
from putt_posture.measures import MEASURES, split_number
from putt_posture.values import RebuildStep, StepNumber

__all__ = ["LiveNumber", "LiveStep", "NumberDisplay"]

WHOLE: Final = 1.0
"""Numbers are shown in whole degrees, centimetres and per cent: a live number is worth some 5, and digits behind the
point would only flicker."""
KEPT_S: Final = 1.5
"""For so long the last numbers stay when a moment is no setup, or the student is not seen, s."""


@frozen(kw_only=True)
class LiveNumber:
    """A number of a step, as it is shown.

    Attributes
    ----------
    quantity : str
        Name of the measure, or ``putter_in_use``.
    title : str
    filmed, wanted : str
        With the unit and the side in words, such as ``6 cm outside``; empty where there is none.
    margin : str
        Half of the 95 % interval, with its unit; empty without a number.
    value : float or None
        The number that `filmed` says, in the unit of the measure.
    mark : Mark
    says : str
        Why there is no number; empty where there is one.
    """

    quantity: str
    title: str
    filmed: str
    wanted: str
    margin: str
    value: float | None
    mark: Mark
    says: str


@frozen(kw_only=True)
class LiveStep:
    """A step of the rebuild, as it is shown.

    Attributes
    ----------
    name, title, do : str
        As in the coach's file.
    mark : Mark
    numbers : tuple of LiveNumber
    limits : tuple of str
        Parts of the body that the step asks more of and that the student has a limit of.
    """

    name: str
    title: str
    do: str
    mark: Mark
    numbers: tuple[LiveNumber, ...]
    limits: tuple[str, ...]


@define
class NumberDisplay:
    """Turn readings into what is shown; it remembers what is on the screen."""

    _numbers: dict[str, SteadyNumber] = field(factory=dict, init=False)
    _marks: dict[str, SteadyMark] = field(factory=dict, init=False)
    _steps: tuple[LiveStep, ...] = field(default=(), init=False)
    _steps_s: float = field(default=float("-inf"), init=False)

    def show(self, reading: LiveReading) -> tuple[LiveStep, ...]:
        """Return what is shown after the next reading.

        Parameters
        ----------
        reading : LiveReading

        Returns
        -------
        tuple of LiveStep
            Those of the last setup for `KEPT_S` after it; then none.
        """
        if reading.steps:
            self._steps = tuple(self._step(step, reading.time_s) for step in reading.steps)
            self._steps_s = reading.time_s
        elif reading.time_s - self._steps_s > KEPT_S:
            self.clear()
        return self._steps

    def clear(self) -> None:
        """Forget what was shown, as for another student."""
        self._numbers.clear()
        self._marks.clear()
        self._steps = ()

    def _step(self, step: RebuildStep, time_s: float) -> LiveStep:
        return LiveStep(
            name=step.name,
            title=step.title,
            do=step.do,
            mark=self._mark(f"step {step.name}", mark_of(step.lies), time_s),
            numbers=tuple(self._number(number, time_s) for number in step.numbers),
            limits=step.limits,
        )

    def _mark(self, key: str, mark: Mark, time_s: float) -> Mark:
        return self._marks.setdefault(key, SteadyMark()).push(mark, time_s=time_s)

    def _number(self, number: StepNumber, time_s: float) -> LiveNumber:
        name, filmed = number.quantity, number.filmed
        value = self._numbers.setdefault(name, SteadyNumber(WHOLE)).push(filmed.value) if filmed else None
        return LiveNumber(
            quantity=name,
            title=number.title,
            filmed="" if value is None else _say(name, value, filmed.unit),
            wanted=_say_wanted(number),
            margin=format_whole(filmed.margin, filmed.unit) if filmed else "",
            value=value,
            mark=self._mark(name, mark_of(number.lies), time_s),
            says="" if filmed else filmed.absent or "",
        )


def _say_wanted(number: StepNumber) -> str:
    unit = number.filmed.unit
    if number.wanted is not None:
        return _say(number.quantity, number.wanted, unit)
    ends: Sequence[float] = [end for end in (number.low, number.high) if end is not None]
    words = " to ".join(_say(number.quantity, end, unit) for end in ends)
    if len(ends) == 1:
        return f"{'at most' if number.low is None else 'at least'} {words}"
    return words


def _say(quantity: str, value: float, unit: str) -> str:
    """Say a number in whole units with the side in words."""
    if quantity == PUTTER_IN_USE:
        return format_whole(value, unit)
    measure = MEASURES[quantity]
    whole = float(round(value))
    figure = format_whole(abs(whole) if measure.signed else whole, unit)
    return " ".join(filter(None, (figure, split_number(measure, whole, short=True)[1])))
