"""Checks of values that a person writes: each mistake gets an error of this project, in one sentence.

A check says what was found, what was needed and what to do. Type and sign are checked here, when the value is made.
Whether a body, a putter or a wanted setup is possible is checked where it is used, as the bounds belong to the body
tables.
"""

import difflib
import functools
import inspect
import math
import numbers
import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import partial
from typing import Any, Final, NoReturn, ParamSpec, TypeVar

from putt_posture.errors import ArgumentError, UnknownName, UsageError
from putt_posture.shown import join_words

__all__ = [
    "check_call",
    "check_line",
    "check_mapping",
    "check_number",
    "check_path",
    "check_point",
    "check_scale_object",
    "check_segment",
    "check_text",
    "check_type",
    "check_word",
    "integer",
    "line",
    "number",
    "one_of",
    "text",
    "unknown_name",
    "where_given",
]

_P = ParamSpec("_P")
_R = TypeVar("_R")
_Validator = Callable[[Any, Any, Any], None]
_SHOWN: Final = 40
"""How many letters of a wrong value are quoted in a message."""
_EXAMPLES: Final[Mapping[str, str]] = {
    "cm": 'a number of centimetres; read_length_cm("5ft10in") makes one of a text',
    "deg": "a number of degrees",
    "s": "a number of seconds",
    "hz": "a number of frames a second",
    "percent": "a number of percent",
}
"""What to give instead, by the ending of the name that says the unit."""


def number(*, optional: bool = False, low: float | None = None, above: float | None = None) -> _Validator:
    """Return an attrs validator for a finite number.

    Parameters
    ----------
    optional : bool
        Whether None, for an unknown value, is allowed.
    low : float, optional
        The least value.
    above : float, optional
        What the value must be more than.
    """
    return _validator(partial(check_number, low=low, above=above), optional=optional)


def integer(*, low: int) -> _Validator:
    """Return an attrs validator for a whole number.

    Parameters
    ----------
    low : int
        The least value.
    """

    def check(value: object, name: str) -> None:
        if isinstance(value, bool) or not isinstance(value, numbers.Integral):
            raise ArgumentError(f"{name} is {_quote(value)}; a whole number is needed.")
        check_number(value, name, low=low)

    return _validator(check)


def one_of(*words: str, optional: bool = False) -> _Validator:
    """Return an attrs validator for one of a few words.

    Parameters
    ----------
    *words : str
    optional : bool
        Whether None, for an unknown value, is allowed.
    """
    return _validator(partial(check_word, words=words), optional=optional)


def text(*, optional: bool = False, most: int | None = None) -> _Validator:
    """Return an attrs validator for text.

    Parameters
    ----------
    optional : bool
        Whether None, for an unknown value, is allowed.
    most : int, optional
        How many letters it may have.
    """
    return _validator(partial(check_text, most=most), optional=optional)


def line() -> _Validator:
    """Return an attrs validator for a line of several places in the picture; empty where there is none."""
    return _validator(check_line)


def where_given(check: Callable[[object, str], None]) -> _Validator:
    """Return an attrs validator that checks a value where there is one; None means unknown.

    Parameters
    ----------
    check : callable
        One of the checks of this file: takes a value and what to call it.
    """
    return _validator(check, optional=True)


def check_number(value: object, name: str, *, low: float | None = None, above: float | None = None) -> None:
    """Check that a value is a finite number, and not too small.

    Parameters
    ----------
    value : object
    name : str
        What to call it; an ending such as ``_cm`` says the unit.
    low, above : float, optional
        The least value, and what the value must be more than.

    Raises
    ------
    ArgumentError
        If it is not a number.
    UsageError
        If it is not finite, or too small.

    Examples
    --------
    >>> check_number("178", "stature_cm of Student")
    Traceback (most recent call last):
    ...
    putt_posture.errors.ArgumentError: stature_cm of Student is the text '178'; a number of centimetres is needed; \
read_length_cm("5ft10in") makes one of a text.
    """
    if isinstance(value, bool) or not isinstance(value, numbers.Real):
        what, _, how = _EXAMPLES.get(name.split(" of ")[0].split("[")[0].rpartition("_")[2], "a number").partition("; ")
        raise ArgumentError(f"{name} is {_quote(value)}; {what} is needed{f'; {how}' if how else ''}.")
    found = float(value)
    if not math.isfinite(found):
        raise UsageError(f"{name} is {value}; a finite number is needed, or leave it out where it is not known.")
    if above is not None and found <= above:
        raise UsageError(f"{name} is {found:g}; it must be more than {above:g}. Check the number and its sign.")
    if low is not None and found < low:
        raise UsageError(f"{name} is {found:g}; it must be {low:g} or more. Check the number and its sign.")


def check_word(value: object, name: str, words: Sequence[str]) -> None:
    """Check that a value is one of a few words.

    Parameters
    ----------
    value : object
    name : str
        What to call it in the message.
    words : sequence of str

    Raises
    ------
    ArgumentError
        If it is not text.
    UsageError
        If it is another word.

    Examples
    --------
    >>> check_word("Right", "handed of Student", ("right", "left"))
    Traceback (most recent call last):
    ...
    putt_posture.errors.UsageError: handed of Student is 'Right'; 'right' or 'left' is needed. Did you mean 'right'?
    """
    needed = join_words([repr(word) for word in words], by="or")
    if not isinstance(value, str):
        raise ArgumentError(f"{name} is {_quote(value)}; {needed} is needed.")
    if value not in words:
        raise UsageError(f"{name} is {_quote(value, kind=False)}; {needed} is needed.{_guess(value, words)}")


def check_text(value: object, name: str, *, most: int | None = None) -> None:
    """Check that a value is text.

    Parameters
    ----------
    value : object
    name : str
        What to call it in the message.
    most : int, optional
        How many letters it may have.

    Raises
    ------
    ArgumentError
        If it is not.
    UsageError
        If it is longer.
    """
    if not isinstance(value, str):
        raise ArgumentError(f"{name} is {_quote(value)}; a text is needed.")
    if most is not None and len(value) > most:
        raise UsageError(f"{name} has {len(value)} letters, and at most {most} are kept. Shorten it.")


def check_type(value: object, name: str, kind: type, *, example: str = "") -> None:
    """Check that a value is of a type.

    Parameters
    ----------
    value : object
    name : str
        What to call it in the message.
    kind : type
    example : str
        What to write, for the message.

    Raises
    ------
    ArgumentError
        If it is not.
    """
    if not isinstance(value, kind):
        how = f" Write {example}." if example else ""
        raise ArgumentError(f"{name} is {_quote(value)}; a {kind.__name__} is needed.{how}")


def check_path(value: object, name: str) -> None:
    """Check that a value is one path.

    Parameters
    ----------
    value : object
    name : str
        What to call it in the message.

    Raises
    ------
    ArgumentError
        If it is not.
    """
    if isinstance(value, str | os.PathLike):
        return
    one = " Give one file; measure several in turn." if isinstance(value, list | tuple | set) else ""
    raise ArgumentError(f"{name} is {_quote(value)}; a path is needed, as text or a Path.{one}")


def check_mapping(value: object, name: str, words: Sequence[str]) -> None:
    """Check that a value is a mapping whose keys are views.

    Parameters
    ----------
    value : object
    name : str
        What to call it in the message.
    words : sequence of str
        The names of the views.

    Raises
    ------
    ArgumentError
        If it is not a mapping.
    UnknownName
        If a key is another.
    """
    if not isinstance(value, Mapping):
        raise ArgumentError(f"{name} is {_quote(value)}; a mapping by view is needed, such as {{{words[0]!r}: …}}.")
    for key in value:
        if key not in words:
            raise unknown_name(key, words, what="view", where=name)


def check_point(value: object, name: str) -> None:
    """Check that a value is a place in the picture: two finite numbers, u and v in pixels.

    Parameters
    ----------
    value : object
    name : str
        What to call it in the message.

    Raises
    ------
    ArgumentError
        If it is not a pair of numbers.
    UsageError
        If one of them is not finite.
    """
    if isinstance(value, str) or not _is_pair(value):
        raise ArgumentError(f"{name} is {_quote(value)}; two numbers are needed: (u, v) in pixels from the top left.")
    for axis, each in zip("uv", value, strict=True):  # type: ignore[call-overload]
        check_number(each, f"{axis} of {name}")


def check_line(value: object, name: str, *, fewest: int = 4, most: int = 100) -> None:
    """Check that a value is a line of several places in the picture, or empty.

    Parameters
    ----------
    value : object
    name : str
        What to call it in the message.
    fewest, most : int
        How many places a line has.

    Raises
    ------
    ArgumentError
        If it is not a list of pairs of numbers.
    UsageError
        If one of them is not finite, or there are too few or too many.
    """
    if isinstance(value, str) or not isinstance(value, Sequence):
        raise ArgumentError(f"{name} is {_quote(value)}; a list of places in the picture is needed: [(u, v), ...].")
    for place, each in enumerate(value):
        check_point(each, f"{name}[{place}]")
    if value and not fewest <= len(value) <= most:
        raise UsageError(f"{name} has {len(value)} points; {fewest} to {most} are needed. Mark it with as many.")


def check_segment(value: object, name: str) -> None:
    """Check that a value is two places in the picture.

    Parameters
    ----------
    value : object
    name : str
        What to call it in the message.

    Raises
    ------
    ArgumentError
        If it is not two pairs of numbers.
    UsageError
        If a number is not finite, or both places are the same.
    """
    if isinstance(value, str) or not _is_pair(value):
        raise ArgumentError(f"{name} is {_quote(value)}; two points are needed: ((u, v), (u, v)) in pixels.")
    ends = list(value)  # type: ignore[call-overload]
    for which, each in zip(("first", "second"), ends, strict=True):
        check_point(each, f"the {which} end of {name}")
    if tuple(ends[0]) == tuple(ends[1]):
        raise UsageError(f"Both ends of {name} are the same point; give its two ends.")


def check_scale_object(value: object, name: str) -> None:
    """Check that a value is a length in cm and its two ends in the picture.

    Parameters
    ----------
    value : object
    name : str
        What to call it in the message.

    Raises
    ------
    ArgumentError
        If it is not a number and two pairs of numbers.
    UsageError
        If a number is not finite, the length is not more than 0, or both ends are the same.
    """
    if not _is_pair(value) or isinstance(value, str):
        raise ArgumentError(
            f"{name} is {_quote(value)}; a length in centimetres and its two ends are needed: (cm, ((u, v), (u, v)))."
        )
    both: tuple[object, ...] = tuple(value)  # type: ignore[arg-type]
    check_number(both[0], f"the length_cm of {name}", above=0)
    check_segment(both[1], f"the ends of {name}")


def unknown_name(found: object, known: Iterable[str], *, what: str, where: str) -> UnknownName:
    """Return the error for an unknown name; it names the ones that come close.

    Parameters
    ----------
    found : object
    known : iterable of str
        The names that are there.
    what : str
        What it should be the name of: ``measure``.
    where : str
        Where it was looked up.

    Examples
    --------
    >>> print(unknown_name("spine tilt", ["spine_tilt", "hand_offset"], what="measure", where="the posture"))
    There is no measure 'spine tilt' in the posture. Did you mean 'spine_tilt'?
    """
    names = list(known)
    near = _guess(found, names) if isinstance(found, str) else ""
    listed = near or f" There are: {', '.join(names)}."
    return UnknownName(f"There is no {what} {_quote(found, kind=False)} in {where}.{listed}")


def check_call(function: Callable[_P, _R]) -> Callable[_P, _R]:
    """Turn a call with wrong arguments into an error of this project.

    The sentence names the argument, and those that the function has.

    Parameters
    ----------
    function : callable
    """
    signature = inspect.signature(function)

    @functools.wraps(function)
    def call(*args: _P.args, **kwargs: _P.kwargs) -> _R:
        try:
            signature.bind(*args, **kwargs)
        except TypeError as error:
            _refuse_call(function.__name__, signature, kwargs, str(error))
        return function(*args, **kwargs)

    return call


def _refuse_call(name: str, signature: inspect.Signature, given: Mapping[str, object], says: str) -> NoReturn:
    known = list(signature.parameters)
    extra = [each for each in given if each not in known]
    if not extra:
        raise ArgumentError(f"{name} was not called as it should be: {says}. It takes {', '.join(known)}.") from None
    near = _guess(extra[0], known) or f" It takes {', '.join(known)}."
    hint = " What is known of the student goes into Student(…)." if extra[0] in _OF_STUDENT else near
    raise ArgumentError(f"{name} takes no {extra[0]}.{hint}") from None


_OF_STUDENT: Final = frozenset(
    {"handed", "stature", "stature_cm", "height", "height_cm", "name", "sex", "wrist_floor_cm", "putter_length_cm"}
)


def _guess(found: str, known: Sequence[str]) -> str:
    lowered = {name.lower(): name for name in known}
    near = difflib.get_close_matches(found.strip().lower().replace(" ", "_").replace("-", "_"), lowered, n=3)
    return f" Did you mean {join_words([repr(lowered[name]) for name in near], by='or')}?" if near else ""


def _validator(check: Callable[[object, str], None], *, optional: bool = False) -> _Validator:
    """Return an attrs validator from a check; with `optional`, None means unknown."""

    def validate(owner: Any, attribute: Any, value: Any) -> None:
        if not (optional and value is None):
            check(value, f"{attribute.name} of {type(owner).__name__}")

    return validate


def _is_pair(value: object) -> bool:
    try:
        return len(value) == 2 and not isinstance(value, Mapping | set | frozenset)  # type: ignore[arg-type]
    except TypeError:
        return False


def _quote(value: object, *, kind: bool = True) -> str:
    """Return how a wrong value is named in a message: its text, or its type and the beginning of its text."""
    shown = repr(value)
    if len(shown) > _SHOWN:
        shown = shown[:_SHOWN] + "…"
    if value is None or not kind:
        return shown
    if isinstance(value, str):
        return f"the text {shown}"
    name = type(value).__name__
    return shown if shown.startswith(name) else f"{'an' if name[0] in 'aeiou' else 'a'} {name}, {shown}"
