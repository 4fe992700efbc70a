"""What a coach's file must keep: its schema, its names, its order; and the line on which a mistake stands."""

import json
import re
from collections.abc import Iterator, Mapping
from functools import cache
from importlib import resources
from string import Formatter
from typing import Any, Final

from attrs import fields
from jsonschema import Draft202012Validator

from putt_posture.errors import UsageError
from putt_posture.findings.quantities import PUTTER_IN_USE, counts_from_wanted
from putt_posture.fitting import check_wanted_setup
from putt_posture.measures import MEASURES, STROKE_MEASURES
from putt_posture.values import WantedSetup

__all__ = ["find_line", "find_mistakes"]

_PLACES: Final = {
    "faults": frozenset({"value", "wanted", "off", "pull", "push", "lead", "trail"}),
    "signs": frozenset({"value", "lead", "trail"}),
}
"""What is filled in, by the table."""
_Path = tuple[str, ...]


def find_mistakes(whole: Mapping[str, Any]) -> Iterator[tuple[_Path, str]]:
    """Yield what is wrong in a coach's file, each with its place; nothing where it can be used.

    Parameters
    ----------
    whole : mapping
        The file over the shipped values, as TOML gives it.

    Yields
    ------
    path : tuple of str
        Table and key.
    said : str
        What is wrong, as the end of a sentence.
    """
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
    yield from _mistakes_of_wanted(whole.get("wanted", {}))
    yield from _mistakes_of_bands(whole["bands"])
    yield from _mistakes_of_names(whole)
    yield from _mistakes_of_order(whole)
    yield from _mistakes_of_signs(whole)
    for table in ("faults", "signs", "steps", "drills"):
        for name, entry in whole[table].items():
            for key, text in entry.items():
                if isinstance(text, str):
                    yield from _mistakes_of_text((table, name, key), text, places=_PLACES.get(table, frozenset()))


def _mistakes_of_wanted(wanted: Mapping[str, float]) -> Iterator[tuple[_Path, str]]:
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


def _mistakes_of_bands(bands: Mapping[str, Mapping[str, Any]]) -> Iterator[tuple[_Path, str]]:
    for name, band in bands.items():
        if name != PUTTER_IN_USE and name not in MEASURES:
            yield ("bands", name), f"is no measure; known are {', '.join(MEASURES)} and {PUTTER_IN_USE}"
        around, ends = {"below", "above"} & set(band), {"low", "high"} & set(band)
        if not around and not ends:
            yield ("bands", name), "has no end; give below or above, or low or high"
        for one, other in (("below", "low"), ("above", "high")):
            if one in band and other in band:
                yield ("bands", name, other), f"stands beside {one}; give one of them"
        if around and not counts_from_wanted(name):
            yield ("bands", name, min(around)), "counts from a wanted value, and there is none for it; give low or high"
        if ends == {"low", "high"} and band["low"] >= band["high"]:
            yield ("bands", name, "low"), f"{band['low']} is not less than high, {band['high']}"


def _mistakes_of_names(whole: Mapping[str, Any]) -> Iterator[tuple[_Path, str]]:
    for name, fault in whole["faults"].items():
        path = ("faults", name)
        for band in _bands_of(fault):
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


def _mistakes_of_signs(whole: Mapping[str, Any]) -> Iterator[tuple[_Path, str]]:
    for name, sign in whole["signs"].items():
        path = ("signs", name)
        if name not in STROKE_MEASURES:
            yield path, f"is no number of the stroke; known are {', '.join(STROKE_MEASURES)}"
        if sign["low"] >= sign["high"]:
            yield (*path, "low"), f"{sign['low']} is not less than high, {sign['high']}"
        for fault in sign["of"]:
            if fault not in whole["faults"]:
                yield (*path, "of"), f"there is no table [faults.{fault}]"


def _mistakes_of_order(whole: Mapping[str, Any]) -> Iterator[tuple[_Path, str]]:
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


def _mistakes_of_text(path: _Path, text: str, *, places: frozenset[str]) -> Iterator[tuple[_Path, str]]:
    try:
        found = [place for _, place, _, _ in Formatter().parse(text) if place is not None]
    except ValueError:
        yield path, "has a bracket without its other half"
        return
    for place in found:
        if place not in places:
            known = f"; known are {', '.join(sorted(places))}" if places else ""
            yield path, f"has {{{place}}}, which is not filled in here{known}"


def _bands_of(fault: Mapping[str, Any]) -> list[str]:
    return [fault["band"]] if isinstance(fault["band"], str) else list(fault["band"])


def find_line(text: str, path: _Path) -> int:
    """Return the line of a key, counted from 1, or of the nearest table above it; 0 where it is nowhere in the text.

    Parameters
    ----------
    text : str
        TOML.
    path : tuple of str
        Table and key.
    """
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


@cache
def _checker() -> Draft202012Validator:
    text = resources.files("putt_posture.findings").joinpath("coach.schema.json").read_text(encoding="utf-8")
    return Draft202012Validator(json.loads(text))
