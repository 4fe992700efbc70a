"""What practice tests say: shares of putts holed, and how much start lines scatter."""

from datetime import date

from attrs import frozen

from putt_posture.values.history import PuttCount
from putt_posture.values.stroke import StartLineSpread

__all__ = ["HoledShare", "PracticeResult", "SpreadChange", "Yardstick"]


@frozen(kw_only=True)
class HoledShare:
    """Putts of one length.

    Attributes
    ----------
    distance_cm : float
        Ball to the middle of the hole.
    tried, holed : int
    share : float
        Holed of tried, 0 to 1.
    low, high : float
        95 % interval of the chance of holing, 0 to 1.
    """

    distance_cm: float
    tried: int
    holed: int
    share: float
    low: float
    high: float


@frozen(kw_only=True)
class PracticeResult:
    """One practice test read by itself, or several pooled.

    Attributes
    ----------
    tests : int
        How many.
    first, last : date
        The same day for one test.
    shares : tuple of HoledShare
        One for each length, the shortest first.
    spread : StartLineSpread or None
    why_not : str
        One sentence: why there is no spread; empty where there is one.
    misfit : str
        One sentence where the shares do not fall with distance as the model has it; empty where they do.
    """

    tests: int
    first: date
    last: date
    shares: tuple[HoledShare, ...]
    spread: StartLineSpread | None
    why_not: str = ""
    misfit: str = ""

    @property
    def tried(self) -> int:
        """Putts of all lengths."""
        return sum(each.tried for each in self.shares)

    @property
    def holed(self) -> int:
        """Of these."""
        return sum(each.holed for each in self.shares)


@frozen(kw_only=True)
class SpreadChange:
    """How the scatter of start lines changed between two tests; falsy where it cannot be told.

    Attributes
    ----------
    change_deg : float
        Later minus earlier, deg, + is more scatter; NaN where absent.
    low_deg, high_deg : float
        95 % interval, deg; NaN where absent.
    why_not : str
        One sentence; empty where there is a number.
    """

    change_deg: float
    low_deg: float
    high_deg: float
    why_not: str = ""

    def __bool__(self) -> bool:
        return not self.why_not

    @property
    def real(self) -> bool:
        """Whether it is a change at all: whether the interval leaves nought out."""
        return bool(self) and not self.low_deg <= 0 <= self.high_deg


@frozen(kw_only=True)
class Yardstick:
    """Published putts of other people, to hold a student's beside.

    Attributes
    ----------
    name : str
        For programs.
    title : str
        At most about 25 letters.
    who : str
        One sentence: whose putts they are.
    source : str
        Where they were published.
    counts : tuple of PuttCount
        The shortest putts first.
    """

    name: str
    title: str
    who: str
    source: str
    counts: tuple[PuttCount, ...]
