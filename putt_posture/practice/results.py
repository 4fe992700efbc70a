"""What practice tests say: shares of putts holed, and how much start lines scatter."""

from datetime import date

from attrs import frozen

from putt_posture.values import PuttCount, StartLineSpread
from putt_posture.values.showing import brief

__all__ = ["HoledShare", "PracticeResult", "SpreadChange", "Yardstick"]


@brief
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


@brief
@frozen(kw_only=True)
class PracticeResult:
    """The evaluation of one practice test, or of several pooled.

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
        One sentence where the shares do not fall with distance as in the model; empty where they do.
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


@brief
@frozen(kw_only=True)
class SpreadChange:
    """How the scatter of start lines changed between two tests; falsy where that is not known.

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
        """Whether it is certain: whether the interval excludes 0."""
        return bool(self) and not self.low_deg <= 0 <= self.high_deg


@brief
@frozen(kw_only=True)
class Yardstick:
    """Published putts of other people, to compare a student's with.

    Attributes
    ----------
    name : str
        A stable name for programs.
    title : str
        At most about 25 letters.
    who : str
        One sentence: whose putts they are.
    source : str
        Where they were published.
    counts : tuple of PuttCount
        The shortest putts first.
    modelled : bool
        Whether the model of start lines alone was fitted to them in print; for longer putts it fits badly, since speed
        matters there.
    """

    name: str
    title: str
    who: str
    source: str
    counts: tuple[PuttCount, ...]
    modelled: bool
