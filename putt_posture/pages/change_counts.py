"""How many of the numbers of two lessons changed, and how many would look so by chance, in words."""

from collections.abc import Sequence
from typing import Final

from putt_posture.documents.comparison_json import ChangeRow
from putt_posture.values import LEVEL

__all__ = ["OF_THE_SETUP", "OF_THE_STROKE", "say_counts"]

OF_THE_SETUP: Final = ("measure", "measures")
OF_THE_STROKE: Final = ("number of the stroke", "numbers of the stroke")


def say_counts(rows: Sequence[ChangeRow], *, taken: str = "in both lessons", of: tuple[str, str] = OF_THE_SETUP) -> str:
    """Return one or two sentences: how many changes there are, and how many are expected by chance.

    Parameters
    ----------
    rows : Sequence[ChangeRow]
    taken : str
        In which of the lessons, in words that follow "taken".
    of : (str, str)
        What one of them is called, and several.
    """
    compared, changed = sum(map(bool, rows)), sum(row.real for row in rows)
    maybe = sum(row.maybe for row in rows)
    if compared == 0:
        return f"No {of[0]} was taken {taken}, so no change can be shown."
    count = {0: "None", 1: "One"}.get(changed, str(changed))
    says = f"{count} of the {compared} {of[1]} taken {taken} changed by more than the noise."
    if compared == 1:
        says = f"The one {of[0]} taken {taken} {'changed' if changed else 'did not change'} by more than the noise."
    if changed:
        says += " If nothing had changed, a change would be named in at most 1 of 20 comparisons."
    if maybe:
        left = compared - changed
        says += (
            f" {'One' if maybe == 1 else maybe}{' more' if changed else ''} may have changed; of {left} that did not "
            f"change, {_say_expected(LEVEL * left)} would look that way by chance."
        )
    return says


def _say_expected(count: float) -> str:
    """Return how many are expected on average, in words."""
    return f"about {round(count)}" if count >= 0.75 else "fewer than one"
