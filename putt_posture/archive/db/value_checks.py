"""Checks that the values of a row are possible: of the right type, among the known words, in range."""

import math
from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import suppress
from datetime import date
from typing import Any, Final, get_args

from sqlalchemy import JSON, BigInteger, Boolean, Column, Date, Double, Float, Integer, LargeBinary, String, Table

from putt_posture.archive.db.texts import clean
from putt_posture.archive.files.file_store import is_digest, is_name
from putt_posture.archive.people.permissions import SCOPES, Relation
from putt_posture.measures import MEASURES, RECORDS
from putt_posture.records import shows_student
from putt_posture.values import LANDMARK_NAMES, VIEWS, WEAK_PUTTS, Handed, Moment, ScaleSource, Sex

__all__ = ["find_impossible"]

Row = Mapping[str, Any]
_YEARS: Final = range(1900, 3000)
_POINTS_BYTES: Final = 33 * 3 * 4
_DEEPEST: Final = 20
"""How deep lists may be nested; this program writes less than half of it."""
_WORDS: Final[Mapping[str, Collection[str]]] = {
    "students.handed": get_args(Handed),
    "students.sex": get_args(Sex),
    "consents.scope": SCOPES,
    "consents.relation": get_args(Relation),
    "lessons.handed": get_args(Handed),
    "lessons.sex": get_args(Sex),
    "lessons.moment": get_args(Moment),
    "lessons.weak_putts": WEAK_PUTTS,
    "measures.name": RECORDS,
    "measures.view": VIEWS,
    "clips.view": VIEWS,
    "clips.kind": ("video", "still"),
    "clips.scale_source": get_args(ScaleSource),
    "setups.chosen_by": ("finder", "person"),
    "corrections.landmark": LANDMARK_NAMES,
}
"""The words that a column may have."""
_DIGESTS: Final = frozenset(
    {"lessons.document", "clips.sha256", "lesson_files.digest", "files.digest", "arrivals.digest", "departures.digest"}
)
_POSITIVE: Final = frozenset(
    {"students.stature_cm", "students.wrist_floor_cm", "lessons.stature_cm", "lessons.wrist_floor_cm"}
    | {"lessons.putter_length_cm", "clips.width", "clips.height", "clips.px_per_cm", "putts.distance_cm"}
)
_NOT_NEGATIVE: Final = frozenset(
    {"measures.frames", "measures.standard_uncertainty", "setups.number", "landmarks.frame", "landmarks.setup"}
    | {"corrections.frame", "putts.tried", "putts.holed", "files.size", "erasures.lessons", "erasures.files"}
)


def _is_json(value: Any, *, deep: int = _DEEPEST) -> bool:
    """Tell whether both databases accept it as JSON: finite numbers, no character that PostgreSQL refuses."""
    if deep == 0:
        return False
    if isinstance(value, dict):
        return all(_is_json(key) and _is_json(each, deep=deep - 1) for key, each in value.items())
    if isinstance(value, list):
        return all(_is_json(each, deep=deep - 1) for each in value)
    if isinstance(value, str):
        return "\0" not in value and value.encode("utf-8", "replace").decode("utf-8") == value
    return value is None or isinstance(value, bool) or _is_number(value)


def _is_whole(value: Any, *, bits: int) -> bool:
    return type(value) is int and -(1 << (bits - 1)) <= value < 1 << (bits - 1)


_KINDS: Final[Mapping[type, Callable[[Any], bool]]] = {
    JSON: _is_json,
    BigInteger: lambda value: _is_whole(value, bits=64),
    Boolean: lambda value: isinstance(value, bool),
    Integer: lambda value: _is_whole(value, bits=32),
    Double: lambda value: type(value) is float and math.isfinite(value),
    Float: lambda value: type(value) is float and math.isfinite(value),
    Date: lambda value: type(value) is date and value.year in _YEARS,
    LargeBinary: lambda value: isinstance(value, bytes | memoryview),
    String: lambda value: isinstance(value, str) and clean(value) == value,
}
"""The Python type for each type of column; subtypes come before their supertypes."""


def _is_dict_of(kind: Callable[[Any], bool]) -> Callable[[Any], bool]:
    return lambda value: isinstance(value, dict) and all(kind(each) for each in value.values())


def _is_list_of(kind: Callable[[Any], bool]) -> Callable[[Any], bool]:
    return lambda value: isinstance(value, list) and all(kind(each) for each in value)


def _is_number(value: Any) -> bool:
    return type(value) in (int, float) and math.isfinite(value)


def _is_text(value: Any) -> bool:
    return isinstance(value, str)


_SHAPES: Final[Mapping[str, Callable[[Any], bool]]] = {
    "lessons.versions": lambda value: isinstance(value, dict),
    "lessons.warnings": _is_list_of(_is_text),
    "measures.budget": _is_dict_of(_is_number),
    "measures.repeats": _is_list_of(_is_number),
    "fits.spec": lambda value: isinstance(value, dict),
    "landmarks.points": lambda value: len(value) == _POINTS_BYTES,
    "lesson_files.name": is_name,
    "standings.drifts": _is_list_of(lambda each: each in MEASURES),
}
_TOGETHER: Final[Mapping[str, tuple[tuple[Callable[[Row], bool], str], ...]]] = {
    "consents": (
        (lambda row: row["withdrawn_on"] is None or row["withdrawn_on"] >= row["given_on"],
         "withdrawn_on is before given_on"),
    ),
    "lesson_files": (
        (lambda row: row["shows_student"] is shows_student(row["name"]), "shows_student is not what its name says"),
    ),
    "measures": (
        (lambda row: (row["value"] is None) is (row["absent"] is not None), "value and absent contradict each other"),
        (lambda row: (row["value"] is None) is (row["standard_uncertainty"] is None),
         "value and standard_uncertainty contradict each other"),
        (lambda row: row["name"] not in RECORDS or row["unit"] == RECORDS[row["name"]].unit, "unit is another's"),
    ),
    "putts": ((lambda row: row["holed"] <= row["tried"], "holed is more than tried"),),
    "setups": ((lambda row: row["starts_s"] <= row["ends_s"], "ends_s is before starts_s"),),
    "students": ((lambda row: row["adult"] or row["born"] is not None, "born and adult are both missing"),),
}  # fmt: skip
"""Checks of several columns of a row together."""


def find_impossible(table: Table, row: Row) -> Iterator[str]:
    """Go through the impossible values of a row: the column and why, ``moment is 'befora'``.

    Parameters
    ----------
    table : Table
    row : Row
    """
    for column in table.columns:
        value = row[column.name]
        why = _detect_in(f"{table.name}.{column.name}", column, value)
        if why:
            yield f"{column.name} {why}"
    with suppress(TypeError, ValueError, AttributeError):  # one of the columns was reported already
        yield from [says for test, says in _TOGETHER.get(table.name, ()) if not test(row)]


def _detect_in(name: str, column: Column[Any], value: Any) -> str:
    if value is None:
        return "" if column.nullable else "is missing"
    kind = next(each for each in _KINDS if isinstance(column.type, each))
    if not _KINDS[kind](value):
        return f"is {_short(value)}, which is impossible"
    if name in _WORDS and value not in _WORDS[name]:
        return f"is {_short(value)}, and known are {', '.join(_WORDS[name])}"
    if name in _DIGESTS and not is_digest(value):
        return f"is {_short(value)}, which is no digest"
    if (name in _POSITIVE and value <= 0) or (name in _NOT_NEGATIVE and value < 0):
        return f"is {_short(value)}, which is impossible"
    shape = _SHAPES.get(name)
    return f"is {_short(value)}, which is impossible" if shape is not None and not shape(value) else ""


def _short(value: Any) -> str:
    said = repr(value)
    return said if len(said) <= 40 else f"{said[:40]}…"
