"""The coach's file: bands, faults with their causes and effects, steps of the rebuild and drills, in TOML.

The shipped one is ``coach.toml``, starting values and common practice. A coach's own file holds only what differs: its
tables and keys are laid over the shipped ones, and every text that it changes is marked as the coach's own.
"""

import json
import re
import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from importlib import resources
from string import Formatter
from typing import Any, Final, Literal

from attrs import evolve, field, fields, frozen
from jsonschema import Draft202012Validator

from putt_posture.errors import UsageError
from putt_posture.fitting import check_wanted_setup
from putt_posture.measures import MEASURES
from putt_posture.values import Drill, WantedSetup

__all__ = ["OWN", "PUTTER_IN_USE", "BandRule", "CoachFile", "Fault", "Step", "load_coach_file", "read_coach_file"]

PUTTER_IN_USE: Final = "putter_in_use"
"""The one quantity with a band that is no measure: the length as typed, or else as measured."""
OWN: Final = "the coach's own"
_PLACES: Final = frozenset({"value", "wanted", "off", "pull", "push", "lead", "trail"})
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
    by_eye : str
        How a coach can check it without the program.
    source : str
    """

    below: float | None = None
    above: float | None = None
    low: float | None = None
    high: float | None = None
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
    fault = next(_find_faults(whole), None)
    if fault is not None:
        path, said = fault
        line = _find_line(text, path)
        place = f"{where}, line {line}" if line else where
        raise UsageError(f"{place}: {_shorten('.'.join(path))}: {_shorten(said)}.")
    return evolve(_build(whole), text=text)


def _shipped() -> dict[str, Any]:
    return tomllib.loads(resources.files("putt_posture.findings").joinpath("coach.toml").read_text(encoding="utf-8"))


@cache
def _checker() -> Draft202012Validator:
    text = resources.files("putt_posture.findings").joinpath("coach.schema.json").read_text(encoding="utf-8")
    return Draft202012Validator(json.loads(text))


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


def _find_faults(whole: Mapping[str, Any]) -> Iterator[tuple[_Path, str]]:
    """Yield what is wrong, with its place."""
    errors = sorted(_checker().iter_errors(whole), key=lambda error: list(map(str, error.absolute_path)))
    for error in errors:
        path = tuple(map(str, error.absolute_path))
        if error.validator == "additionalProperties":
            known = error.schema["properties"]
            strange = next(key for key in error.instance if key not in known)
            yield (*path, strange), f"is not known here; known are {', '.join(known)}"
        elif error.validator == "required":
            yield path, f"{error.message}; a new table needs all of its keys"
        else:
            yield path, str(error.message)
    if errors:
        return
    yield from _faults_of_wanted(whole.get("wanted", {}))
    yield from _faults_of_bands(whole["bands"])
    yield from _faults_of_names(whole)
    yield from _faults_of_order(whole)
    for table in ("faults", "steps", "drills"):
        for name, entry in whole[table].items():
            for key, text in entry.items():
                if isinstance(text, str):
                    yield from _faults_of_text((table, name, key), text, filled=table == "faults")


def _faults_of_wanted(wanted: Mapping[str, float]) -> Iterator[tuple[_Path, str]]:
    known = [each.name for each in fields(WantedSetup)]
    for name in wanted:
        if name not in known:
            yield ("wanted", name), f"is not known here; known are {', '.join(known)}"
            return
    for name, value in wanted.items():
        try:
            check_wanted_setup(WantedSetup(**{name: float(value)}))
        except (UsageError, OverflowError) as error:
            yield ("wanted", name), str(error).rstrip(".")


def _faults_of_bands(bands: Mapping[str, Mapping[str, Any]]) -> Iterator[tuple[_Path, str]]:
    for name, band in bands.items():
        if name != PUTTER_IN_USE and name not in MEASURES:
            yield ("bands", name), f"is no measure; known are {', '.join(MEASURES)} and {PUTTER_IN_USE}"
        around, ends = {"below", "above"} & set(band), {"low", "high"} & set(band)
        if not around and not ends:
            yield ("bands", name), "has no end; give below or above, or low or high"
        for one, other in (("below", "low"), ("above", "high")):
            if one in band and other in band:
                yield ("bands", name, other), f"stands beside {one}; give one of them"
        if around and name not in _COUNTS_FROM:
            yield ("bands", name, min(around)), "counts from a wanted value, and there is none for it; give low or high"
        if ends == {"low", "high"} and band["low"] >= band["high"]:
            yield ("bands", name, "low"), f"{band['low']} is not less than high, {band['high']}"


def _faults_of_names(whole: Mapping[str, Any]) -> Iterator[tuple[_Path, str]]:
    for name, fault in whole["faults"].items():
        path = ("faults", name)
        for band in _several(fault["band"]):
            rule = whole["bands"].get(band)
            ends = {"below": ("below", "low"), "above": ("above", "high")}[fault["side"]]
            if rule is None:
                yield (*path, "band"), f"there is no band {band}"
            elif not any(end in rule for end in ends):
                yield (*path, "side"), f"the band {band} has no end {fault['side']}"
        for key, table in (("leads_to", "faults"), ("drills", "drills")):
            for each in fault[key]:
                if each not in whole[table]:
                    yield (*path, key), f"there is no table [{table}.{each}]"
        if fault["loads"] and not fault["instead"]:
            yield (*path, "instead"), "is empty, and loads names parts of the body; say what to do with a limit there"
    for name, step in whole["steps"].items():
        for each in step["shows"]:
            if each != PUTTER_IN_USE and each not in MEASURES:
                yield ("steps", name, "shows"), f"{each} is no measure"


def _faults_of_order(whole: Mapping[str, Any]) -> Iterator[tuple[_Path, str]]:
    order, faults = whole["order"], whole["faults"]
    for name in order:
        if name not in faults:
            yield ("order",), f"{name} is no fault"
        if order.count(name) > 1:
            yield ("order",), f"{name} stands there twice"
    for name in faults:
        if name not in order:
            yield ("order",), f"{name} is missing"
    if set(order) != set(faults):
        return
    for name, fault in faults.items():
        for effect in fault["leads_to"]:
            if effect in faults and order.index(effect) <= order.index(name):
                yield ("order",), f"{effect} comes before {name}, which leads to it; a cause comes first"


def _faults_of_text(path: _Path, text: str, *, filled: bool) -> Iterator[tuple[_Path, str]]:
    try:
        places = [place for _, place, _, _ in Formatter().parse(text) if place is not None]
    except ValueError:
        yield path, "has a bracket without its other half"
        return
    for place in places:
        if not filled or place not in _PLACES:
            yield path, f"has {{{place}}}, which is not filled in here; known are {', '.join(sorted(_PLACES))}"


_COUNTS_FROM: Final[Mapping[str, str]] = {
    "hand_offset": "hand_offset_cm",
    "elbow_depth": "elbow_depth_cm",
    "eye_offset": "eye_offset_cm",
    "balance": "balance_percent",
    "knee_flex": "knee_flex_deg",
    "back_rounding": "back_rounding_deg",
    "head_drop": "head_drop_deg",
    "spine_tilt": "tilt_deg",
    "shaft_lie": "lie_deg",
    PUTTER_IN_USE: "",
}
"""The field of `WantedSetup` that a band counts from; of the putter it is the suggested length."""


def wanted_field(quantity: str) -> str:
    """Return the field of `WantedSetup` that a quantity counts from; empty where it has none.

    Parameters
    ----------
    quantity : str
    """
    return _COUNTS_FROM.get(quantity, "")


def _build(whole: Mapping[str, Any]) -> CoachFile:
    wanted = whole.get("wanted")
    return CoachFile(
        about=whole["about"],
        wanted=None if not wanted else WantedSetup(**{name: float(value) for name, value in wanted.items()}),
        bands={
            name: BandRule(**{key: value for key, value in band.items() if key != "why"})
            for name, band in whole["bands"].items()
        },
        faults=tuple(_fault(name, whole["faults"][name]) for name in whole["order"]),
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


def _find_line(text: str, path: _Path) -> int:
    """Return the line of a key, counted from 1, or of the nearest table above it; 0 where it is nowhere in the text."""
    table: _Path = ()
    best, found = 0, 0
    for number, line in enumerate(text.splitlines(), 1):
        header = re.match(r"\s*\[\s*([^\[\]]+?)\s*\]", line)
        key = re.match(r"\s*([A-Za-z0-9_.\"'-]+)\s*=", line)
        if header:
            table = _parts(header[1])
        here = table if header else (*table, *_parts(key[1])) if key else None
        if here and path[: len(here)] == here and len(here) > best:
            best, found = len(here), number
    return found


def _parts(dotted: str) -> _Path:
    return tuple(part.strip().strip("\"'") for part in dotted.split("."))


def _shorten(text: str) -> str:
    one = " ".join(text.split()).rstrip(".")
    return one if len(one) <= 3 * _SHOWN else f"{one[:_SHOWN]} … {one[-_SHOWN:]}"
