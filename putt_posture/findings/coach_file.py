"""The coach's file: bands, faults with their causes and effects, steps of the rebuild and drills, in TOML.

The shipped one is ``coach.toml``, starting values and common practice. A coach's own file holds only what differs: its
tables and keys are laid over the shipped ones, and every text that it changes is marked as the coach's own.
"""

import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from importlib import resources
from typing import Any, Final, Literal

from attrs import evolve, field, frozen

from putt_posture.errors import UsageError
from putt_posture.findings.coach_checks import find_line, find_mistakes
from putt_posture.values import Drill, WantedSetup

__all__ = [
    "OWN",
    "BandRule",
    "CoachFile",
    "Fault",
    "Sign",
    "Step",
    "list_differences",
    "load_coach_file",
    "read_coach_file",
    "read_shipped_text",
]

OWN: Final = "the coach's own"
_SHOWN: Final = 60
Side = Literal["below", "above"]
_Path = tuple[str, ...]


@frozen(kw_only=True)
class BandRule:
    """How far a value may be from what is wanted.

    Attributes
    ----------
    below, above : float or None
        From the wanted value; None where that side is open.
    low, high : float or None
        The ends themselves.
    doubt : float
        What the number may be off beyond its own uncertainty, one sigma, in its unit.
    by_eye : str
        How a coach can check it without the program.
    source : str
    """

    below: float | None = None
    above: float | None = None
    low: float | None = None
    high: float | None = None
    doubt: float = 0.0
    by_eye: str
    source: str


@frozen(kw_only=True)
class Fault:
    """One way in which a setup leaves a band; see ``coach.toml`` for what each text is.

    Attributes
    ----------
    name : str
    bands : tuple of str
        The bands it may leave; one is enough.
    side : {"below", "above"}
    title, short, then, because, ball, change, instead, feel, source : str
    leads_to : tuple of str
        Faults that it causes.
    misses : tuple of str
        ``pull``, ``push``, ``both``, ``short``, ``long``.
    putts : {"short", "lag", "both"}
    loads : tuple of str
        Parts of the body that the change asks more of.
    drills : tuple of str
    """

    name: str
    bands: tuple[str, ...]
    side: Side
    title: str
    short: str
    then: str
    leads_to: tuple[str, ...]
    because: str
    ball: str
    misses: tuple[str, ...]
    putts: Literal["short", "lag", "both"]
    change: str
    instead: str
    loads: tuple[str, ...]
    drills: tuple[str, ...]
    feel: str
    source: str


@frozen(kw_only=True)
class Sign:
    """What one number of the stroke shows of the setup's story.

    Attributes
    ----------
    measure : str
        The number of the stroke.
    low, high : float
        Below or above which it is a sign, in its unit.
    of : tuple of str
        The faults that it fits.
    below, above, stays : str
        What it says on each side, and where it is no sign.
    source : str
    """

    measure: str
    low: float
    high: float
    of: tuple[str, ...]
    below: str
    above: str
    stays: str
    source: str


@frozen(kw_only=True)
class Step:
    """One step of the rebuild, as the file has it."""

    name: str
    title: str
    do: str
    shows: tuple[str, ...]
    loads: tuple[str, ...]
    source: str


@frozen(kw_only=True)
class CoachFile:
    """All of the coach's file, checked.

    Attributes
    ----------
    about : str
        Where the values come from.
    wanted : WantedSetup or None
        None where the file asks for nothing.
    bands : mapping of str to BandRule
        By measure, or `PUTTER_IN_USE`.
    faults : tuple of Fault
        In the coach's order, a cause before its effects.
    signs : tuple of Sign
        What the stroke can show of the faults.
    steps : tuple of Step
    drills : mapping of str to (Drill, loads)
        With the parts of the body that each asks more of.
    text : str
        The coach's own file, as it was read; empty for the shipped values.
    """

    about: str
    wanted: WantedSetup | None
    bands: Mapping[str, BandRule]
    faults: tuple[Fault, ...]
    signs: tuple[Sign, ...]
    steps: tuple[Step, ...]
    drills: Mapping[str, tuple[Drill, tuple[str, ...]]]
    text: str = field(default="", repr=False)


@cache
def load_coach_file() -> CoachFile:
    """Return the shipped values."""
    return _build(_shipped())


def read_coach_file(text: str, *, where: str) -> CoachFile:
    r"""Read a coach's own file over the shipped values.

    Parameters
    ----------
    text : str
        TOML; tables and keys as in ``coach.toml``, and ``[wanted]`` with the fields of `WantedSetup`.
    where : str
        What to call the file in a message.

    Raises
    ------
    UsageError
        If it is not TOML, or something in it is not known, of the wrong type, out of range or contradicts the rest;
        the sentence names the line.

    Examples
    --------
    >>> read_coach_file("[bands.hand_offset]\nabove = 4", where="mine.toml").bands["hand_offset"].above
    4
    >>> read_coach_file("[bands.hand_offset]\nabove = -1", where="mine.toml")
    Traceback (most recent call last):
    ...
    putt_posture.errors.UsageError: mine.toml, line 2: bands.hand_offset.above: -1 is less than the minimum of 0.
    """
    try:
        own = tomllib.loads(text)
    except RecursionError:
        raise UsageError(f"{where} is not TOML: its lists are nested too deeply.") from None
    except tomllib.TOMLDecodeError as error:
        raise UsageError(f"{where} is not TOML: {_shorten(str(error))}.") from None
    except ValueError:  # Python's own limit
        raise UsageError(f"{where} holds a number with thousands of digits.") from None
    whole = _overlay(_shipped(), own)
    fault = next(find_mistakes(whole), None)
    if fault is not None:
        path, said = fault
        line = find_line(text, path)
        place = f"{where}, line {line}" if line else where
        raise UsageError(f"{place}: {_shorten('.'.join(path))}: {_shorten(said)}.")
    return evolve(_build(whole), text=text)


def read_shipped_text() -> str:
    """Return the text of the shipped values, ``coach.toml``."""
    return resources.files("putt_posture.findings").joinpath("coach.toml").read_text(encoding="utf-8")


def list_differences(coach: CoachFile) -> tuple[str, ...]:
    r"""Return what a coach's own file changes, a line for each key: the value there, and the shipped one.

    Parameters
    ----------
    coach : CoachFile

    Examples
    --------
    >>> list_differences(read_coach_file("[bands.hand_offset]\nabove = 4", where="mine.toml"))
    ('bands.hand_offset.above: 4 (shipped: 3)',)
    """
    shipped = _shipped()
    return tuple(_differences(tomllib.loads(coach.text), shipped, ()))


def _differences(own: Mapping[str, Any], shipped: Mapping[str, Any], path: _Path) -> Iterator[str]:
    for key, value in own.items():
        known, here = shipped.get(key), (*path, key)
        if isinstance(value, Mapping):
            yield from _differences(value, known if isinstance(known, Mapping) else {}, here)
        elif known is None:
            yield f"{'.'.join(here)}: {_shorten(str(value))} (new)"
        elif value != known:
            yield f"{'.'.join(here)}: {_shorten(str(value))} (shipped: {_shorten(str(known))})"


def _shipped() -> dict[str, Any]:
    return tomllib.loads(read_shipped_text())


def _overlay(below: Mapping[str, Any], above: Mapping[str, Any], path: _Path = ()) -> dict[str, Any]:
    """Lay one table over another; a table that changes a text says that it is the coach's own."""
    joined = dict(below)
    for key, value in above.items():
        known = below.get(key)
        joined[key] = (
            _overlay(known, value, (*path, key)) if isinstance(known, Mapping) and isinstance(value, Mapping) else value
        )
    changed = any(joined[key] != below.get(key) for key in joined)
    if len(path) == 2 and changed and "source" not in above and "source" in below:
        joined["source"] = OWN
    if not path and changed and "about" not in above:
        joined["about"] = f"{below['about']}, and {OWN} where they differ"
    return joined


def _build(whole: Mapping[str, Any]) -> CoachFile:
    wanted = whole.get("wanted")
    return CoachFile(
        about=whole["about"],
        wanted=None if not wanted else WantedSetup(**{name: float(value) for name, value in wanted.items()}),
        bands={name: BandRule(**band) for name, band in whole["bands"].items()},
        faults=tuple(_fault(name, whole["faults"][name]) for name in whole["order"]),
        signs=tuple(Sign(measure=name, **_frozen(sign)) for name, sign in whole["signs"].items()),
        steps=tuple(Step(name=name, **_frozen(step)) for name, step in whole["steps"].items()),
        drills={
            name: (
                Drill(
                    name=name,
                    title=drill["title"],
                    purpose=drill["for"],
                    setup=drill["setup"],
                    right=drill["right"],
                    source=drill["source"],
                ),
                tuple(drill["loads"]),
            )
            for name, drill in whole["drills"].items()
        },
    )


def _fault(name: str, entry: Mapping[str, Any]) -> Fault:
    held = _frozen(entry)
    return Fault(name=name, bands=_several(held.pop("band")), **held)


def _frozen(entry: Mapping[str, Any]) -> dict[str, Any]:
    return {key: tuple(value) if isinstance(value, list) else value for key, value in entry.items()}


def _several(names: Any) -> tuple[str, ...]:
    return (names,) if isinstance(names, str) else tuple(names)


def _shorten(text: str) -> str:
    one = " ".join(text.split()).rstrip(".")
    return one if len(one) <= 3 * _SHOWN else f"{one[:_SHOWN]} … {one[-_SHOWN:]}"
