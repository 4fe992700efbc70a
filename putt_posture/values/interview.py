"""What the student said before the lesson, and what is read out of the words."""

from typing import Final, Literal, Self, get_args

from attrs import evolve, field, fields, frozen

from putt_posture.values.checks import one_of, text
from putt_posture.values.limits import Limit, read_limits
from putt_posture.values.misses import Miss, read_misses
from putt_posture.values.showing import brief
from putt_posture.values.student import Handed

__all__ = ["WEAK_PUTTS", "Interview", "WeakPutts"]

WeakPutts = Literal["short", "lag", "both"]
"""Which putts go worst: short ones, lag putts (long ones that are to stop near the hole), or both."""
WEAK_PUTTS: Final[tuple[WeakPutts, ...]] = get_args(WeakPutts)

_MOST: Final = 100_000
"""Letters of one answer, as the schema of `measures.json` has it."""


@brief
@frozen(kw_only=True)
class Interview:
    """What the student said, word for word; what is clear in it is read out by its properties.

    Pain and limits are health data: they are shown to the coach and the student, and to others only as
    `archive.people` allows.

    Attributes
    ----------
    misses : str
        Which putts are missed, and which way.
    weak_putts : WeakPutts or None
        None where it was not said.
    putter_story : str
        How the putter came to be chosen.
    limits : str
        Pain, and what the body does not allow.
    notes : str
        Anything else.

    Examples
    --------
    >>> said = Interview(misses="pulls the short ones", limits="bad back, no pain in the knees")
    >>> said.read_misses("right")
    (Miss(side='left', putts='short'),)
    >>> said.body_limits
    (Limit(part='back', words='bad back'),)
    """

    misses: str = field(default="", validator=text(most=_MOST))
    weak_putts: WeakPutts | None = field(default=None, validator=one_of(*WEAK_PUTTS, optional=True))
    putter_story: str = field(default="", validator=text(most=_MOST))
    limits: str = field(default="", validator=text(most=_MOST))
    notes: str = field(default="", validator=text(most=_MOST))

    def __bool__(self) -> bool:
        """Whether anything was said."""
        return any(getattr(self, each.name) for each in fields(type(self)))

    def filled_from(self, other: "Interview") -> Self:
        """Return the same with the answers that are missing taken from another; what is said here stays.

        Parameters
        ----------
        other : Interview
        """
        missing = [each.name for each in fields(Interview) if not getattr(self, each.name)]
        return evolve(self, **{name: getattr(other, name) for name in missing})

    def alone(self) -> "Interview":
        """Return what the student said without what a class made of this one adds."""
        return Interview(**{each.name: getattr(self, each.name) for each in fields(Interview)})

    def read_misses(self, handed: Handed) -> tuple[Miss, ...]:
        """Return the misses that are clear, each once, in the order of the text.

        Parameters
        ----------
        handed : Handed
            Which way the student putts; it says where a push or a pull goes.
        """
        return read_misses(self.misses, handed=handed)[0]

    def unread_misses(self, handed: Handed) -> tuple[str, ...]:
        """Return the parts of what was said of misses that were not read.

        Parameters
        ----------
        handed : Handed
        """
        return read_misses(self.misses, handed=handed)[1]

    @property
    def body_limits(self) -> tuple[Limit, ...]:
        """The limits by part of the body, one for each part that was named."""
        return read_limits(self.limits)[0]

    @property
    def unread_limits(self) -> tuple[str, ...]:
        """What was said of limits and names no part of the body that is known."""
        return read_limits(self.limits)[1]
