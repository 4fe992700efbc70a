"""The name of a step of a rebuild, as the coach says it: "shoulders back"."""

from typing import Final

from putt_posture.errors import UsageError
from putt_posture.values.checks import check_text

__all__ = ["LONGEST_STEP", "read_step"]

LONGEST_STEP: Final = 60
"""Letters; a longer name does not go over a picture on a phone."""


def read_step(name: object) -> str:
    """Read the name of a step; it is kept as it was said, with single spaces.

    Parameters
    ----------
    name : str

    Raises
    ------
    UsageError
        If it is no text, empty, or too long to stand over a picture.

    Examples
    --------
    >>> read_step(" shoulders  back ")
    'shoulders back'
    """
    check_text(name, "step")
    words = " ".join(str(name).split())
    if not words:
        raise UsageError('The step has no name. Say what was filmed: "shoulders back".')
    if len(words) > LONGEST_STEP:
        raise UsageError(
            f"The name of the step has {len(words)} letters, and {LONGEST_STEP} are the most. Say it in a few words: "
            '"shoulders back".'
        )
    return words
