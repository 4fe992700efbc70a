"""A value in words: how large it is and on which side, without a sign.

On a still and in a sentence a coach reads "9.1 cm outside", not "+9.1 cm". The words are those of the measure's record;
the digits and the unit are those of `putt_posture.figures`. Where the 95 % interval holds zero, the margin stands
beside the number, as the value may be on either side.
"""

from attrs import evolve

from putt_posture.errors import UsageError
from putt_posture.figures import DECIMALS, format_margin, format_number, format_value
from putt_posture.measures.record import Record
from putt_posture.values import Estimate

__all__ = ["say_band", "say_number", "say_value", "split_band", "split_number", "split_value"]


def say_number(measure: Record, value: float, *, short: bool = False) -> str:
    r"""Say a number of a measure that has no margin, such as a wanted one.

    Parameters
    ----------
    measure : Record
    value : float
        In the unit of the measure.
    short : bool
        Whether for a still, in as few words as can be; else for a sentence.

    Examples
    --------
    >>> from putt_posture.measures import MEASURES
    >>> say_number(MEASURES["hand_offset"], 9.1), say_number(MEASURES["hand_offset"], -2.0, short=True)
    ('9.1\xa0cm outside the shoulders', '2.0\xa0cm inside')
    >>> say_number(MEASURES["spine_tilt"], 34.0, short=True)
    '34.0°'
    """
    return " ".join(filter(None, split_number(measure, value, short=short)))


def split_number(measure: Record, value: float, *, short: bool = False) -> tuple[str, str]:
    r"""Return the figure of a number without a margin and the words that stand behind it.

    Parameters
    ----------
    measure : Record
    value : float
        In the unit of the measure.
    short : bool
        As for `say_number`.

    Examples
    --------
    >>> from putt_posture.measures import MEASURES
    >>> split_number(MEASURES["hand_offset"], -2.0), split_number(MEASURES["hand_offset"], 0.01)
    (('2.0\xa0cm', 'inside the shoulders'), ('0.0\xa0cm', ''))
    """
    figure = format_value(abs(value) if measure.signed else value, measure.unit)
    return figure, _side(measure, figure, value, short=short)


def say_value(measure: Record, estimate: Estimate, *, short: bool = False, margin: bool = False) -> str:
    r"""Say a present value of a measure.

    Parameters
    ----------
    measure : Record
    estimate : Estimate
        Not absent.
    short : bool
        Whether for a still, in as few words as can be; else for a sentence.
    margin : bool
        Whether the 95 % margin is written too; where the value may lie on either side of zero it always is.

    Raises
    ------
    AbsentNumber
        If the estimate is absent.

    Examples
    --------
    >>> from putt_posture.measures import MEASURES
    >>> hands = Estimate(value=9.1, standard_uncertainty=1.4, unit="cm")
    >>> say_value(MEASURES["hand_offset"], hands)
    '9.1\xa0cm outside the shoulders'
    >>> say_value(MEASURES["hand_offset"], hands, short=True, margin=True)
    '9.1 ± 2.7\xa0cm outside'
    >>> say_value(MEASURES["hand_offset"], evolve(hands, value=-1.0), short=True)
    '1.0 ± 2.7\xa0cm inside'
    """
    return " ".join(filter(None, split_value(measure, estimate, short=short, margin=margin)))


def split_value(measure: Record, estimate: Estimate, *, short: bool = False, margin: bool = False) -> tuple[str, str]:
    r"""Return the figure of a present value and the words that stand behind it, for a label with a line for each.

    Parameters
    ----------
    measure : Record
    estimate : Estimate
        Not absent.
    short, margin : bool
        As for `say_value`.

    Raises
    ------
    AbsentNumber
        If the estimate is absent.

    Examples
    --------
    >>> from putt_posture.measures import MEASURES
    >>> eyes = Estimate(value=-15.2, standard_uncertainty=1.4, unit="cm", by_hand=("ball",))
    >>> split_value(MEASURES["eye_offset"], eyes)
    ('15.2\xa0cm', 'inside the ball (by hand)')
    """
    value = float(estimate)
    unsure = measure.signed and estimate.low <= 0 <= estimate.high
    size = evolve(estimate, value=abs(value) if measure.signed else value, by_hand=())
    figure = format_margin(size) if margin or unsure else format_value(size.value, estimate.unit, margin=size.margin)
    by_hand = "(by hand)" if estimate.by_hand else ""
    return figure, " ".join(filter(None, (_side(measure, figure, value, short=short), by_hand)))


def split_band(measure: Record, low: float | None, high: float | None, *, short: bool = False) -> tuple[str, str]:
    r"""Return the figures of a band and the words that stand behind them; of one number where both read alike.

    Parameters
    ----------
    measure : Record
    low, high : float or None
        Its ends, in the unit of the measure; None for one that is open, of which there is at most one.
    short : bool
        As for `say_number`.

    Examples
    --------
    >>> from putt_posture.measures import MEASURES
    >>> split_band(MEASURES["hand_offset"], 0.0, 2.0)
    ('0.0 to 2.0\xa0cm', 'outside the shoulders')
    >>> split_band(MEASURES["hand_offset"], -1.0, 2.0, short=True)
    ('1.0\xa0cm inside', 'to 2.0\xa0cm outside')
    >>> split_band(MEASURES["elbow_depth"], -2.0, 2.0, short=True)
    ('within 2.0\xa0cm', '')
    >>> split_band(MEASURES["spine_tilt"], 35.0, 40.0, short=True)
    ('35.0 to 40.0°', '')
    >>> split_band(MEASURES["balance"], 45.0, None, short=True), split_band(MEASURES["hand_offset"], None, 3.0)
    (('at least 45\xa0%', ''), ('at most 3.0\xa0cm', 'outside the shoulders'))
    """
    if low is None or high is None:
        return _split_open(measure, low, high, short=short)
    if measure.signed and high <= 0:
        low, high = high, low  # in words the smaller size comes first
    one, two = (split_number(measure, each, short=short) for each in (low, high))
    if one == two:
        return one
    if one[1] and two[1] and one[0] == two[0]:
        return f"within {one[0]}", ""
    if one[1] and two[1] and one[1] != two[1]:
        return " ".join(one), f"to {' '.join(two)}"
    size = abs(low) if measure.signed else low
    bare = format_number(size, decimals=DECIMALS[measure.unit])
    return f"{bare} to {two[0]}", two[1] or one[1]


def _split_open(measure: Record, low: float | None, high: float | None, *, short: bool) -> tuple[str, str]:
    """Say a band with one end: how large a value may be to the side of that end, or must be at least."""
    end = low if high is None else high
    if end is None:
        raise UsageError(f"A band of {measure.title} has no end; give at least one of the two.")
    figure, side = split_number(measure, end, short=short)
    outward = measure.signed and end < 0
    most = "at most" if measure.signed else "up to"
    return f"{'at least' if (high is None) != outward else most} {figure}", side


def say_band(measure: Record, low: float | None, high: float | None, *, short: bool = False) -> str:
    r"""Say a band of a measure.

    Parameters
    ----------
    measure : Record
    low, high : float or None
        Its ends, in the unit of the measure; None for one that is open.
    short : bool
        As for `say_number`.

    Examples
    --------
    >>> from putt_posture.measures import MEASURES
    >>> say_band(MEASURES["eye_offset"], -3.0, 0.0)
    '0.0 to 3.0\xa0cm inside the ball'
    """
    return " ".join(filter(None, split_band(measure, low, high, short=short)))


def _side(measure: Record, figure: str, value: float, *, short: bool) -> str:
    """Return the words of the side; none where the figure is a printed zero."""
    said = measure.words.said
    is_zero = measure.signed and not any(digit in "123456789" for digit in figure.split(" ")[0])
    if is_zero:
        return ""
    plus, minus = (said.short_plus, said.short_minus) if short else (said.plus, said.minus)
    return plus if value >= 0 or not measure.signed else minus
