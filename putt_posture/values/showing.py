"""How a value looks: in one line at a prompt, as a small page in a notebook, as a table of pandas.

The line is made here of the fields of a value. Page and table need pictures and words, which are made in rooms above
this one, and values may import none of them; so it is looked up by its name when it is needed.
"""

import importlib
from collections.abc import Mapping, Sized
from typing import TYPE_CHECKING, Any, Final, Literal, TypeVar

import attrs
import numpy as np

from putt_posture.values.checks import check_word

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["Shown", "Tabled", "brief", "say_brief"]

_LONGEST: Final = 100
"""The most letters of a line."""
_LONGEST_FIELD: Final = 24
"""The most letters of one text or number in it."""
_PAGES: Final = "putt_posture.pages.notebook"
_TABLES: Final = "putt_posture.documents.frames"
_T = TypeVar("_T")


class Shown:
    """What a notebook shows as a page: a value with numbers or pictures that say more than a line."""

    __slots__ = ()

    def _repr_html_(self) -> str:
        """Return the page of a value, a fragment of HTML without scripts, in which every text is escaped."""
        page: str = importlib.import_module(_PAGES).as_html(self)
        return page


class Tabled:
    """A value that can be a table: a lesson, measured or stored."""

    __slots__ = ()

    @property
    def _estimates(self) -> Mapping[Any, Any]:
        raise NotImplementedError

    @property
    def _landmarks(self) -> Mapping[Any, Any]:
        return {}

    @property
    def _strokes(self) -> Any:
        return None

    def to_frame(self, *, per: Literal["measure", "frame", "stroke"] = "measure") -> "pd.DataFrame":
        """Return the measures as a table of pandas.

        Parameters
        ----------
        per : {"measure", "frame", "stroke"}
            What one row is of. ``measure``: one row a measure with its name as the index, and the columns ``title``,
            ``value``, ``standard_uncertainty``, ``low``, ``high`` (the 95 % interval), ``unit``, ``view``, ``frames``,
            ``method`` and ``reason`` (why there is no number). ``frame``: one row a frame and measure, with ``view``,
            ``frame``, ``time_s``, ``setup``, ``measure``, ``value`` and ``unit``, before the frames are joined.
            ``stroke``: one row a stroke and each of its events and measures, with ``view``, ``stroke``, ``kind``,
            ``measure``, ``title``, ``value``, ``standard_uncertainty``, ``low``, ``high``, ``unit`` and ``reason``.

        Raises
        ------
        UsageError
            If `per` is another word, the values of single frames are asked of a lesson that was stored, or strokes of
            one in which none was measured.
        """
        check_word(per, "per", ("measure", "frame", "stroke"))
        tables = importlib.import_module(_TABLES)
        if per == "measure":
            table: pd.DataFrame = tables.frame_of(self._estimates)
        elif per == "stroke":
            table = tables.frame_of_strokes(self._strokes)
        else:
            table = tables.frame_of_frames(self._estimates, self._landmarks)
        return table


def brief(cls: type[_T]) -> type[_T]:
    """Give a class of attrs a repr of one line.

    The fields come in their order; long texts are cut off, arrays say their shape, and mappings, tuples and values
    inside say what they are and how many. Fields that attrs leaves out of a repr are left out, but for arrays.

    Parameters
    ----------
    cls : type
        A class of attrs.
    """
    cls.__repr__ = say_brief  # type: ignore[method-assign]
    return cls


def say_brief(value: Any) -> str:
    """Return the line of a value of attrs.

    Parameters
    ----------
    value : object
        Of a class of attrs.

    Examples
    --------
    >>> @brief
    ... @attrs.frozen
    ... class Track:
    ...     points: np.ndarray
    ...     times_s: tuple[float, ...]
    >>> Track(points=np.zeros((5, 2)), times_s=(0.1, 0.2, 0.3, 0.4, 0.5))
    Track(points=float64 (5, 2), times_s=5 items)
    """
    name = type(value).__name__
    said = f"{name}("
    fields = [each for each in attrs.fields(type(value)) if not each.name.startswith("_")]
    for index, each in enumerate(fields):
        held = getattr(value, each.name)
        if not _tells(held, each):
            continue
        part = f"{'' if said.endswith('(') else ', '}{each.name}={_say(held)}"
        room = _LONGEST - len(said) - (1 if index == len(fields) - 1 else 4)
        if len(part) > room:
            return f"{said}{'' if said.endswith('(') else ', '}…)"
        said += part
    return f"{said})"


def _tells(held: Any, field: "attrs.Attribute[Any]") -> bool:
    """Return whether a field is shown: not where it is empty, or has its default."""
    if isinstance(held, np.ndarray):
        return True
    if not field.repr or held is None or (isinstance(held, Sized) and len(held) == 0):
        return False
    return not (isinstance(field.default, str | int | float) and held == field.default)


def _say(held: Any) -> str:
    if isinstance(held, np.ndarray):
        return f"{held.dtype} {held.shape}"
    if isinstance(held, np.generic):
        held = held.item()
    if isinstance(held, float):
        return f"{held:.6g}"
    if attrs.has(type(held)):
        name = type(held).__name__
        # An estimate is a number and a posture counts its measures, which a line has room for; of others the name does.
        short = repr(held).removeprefix(f"{name}(").split(", ")[0].split(": ")[0].removesuffix(")")
        return short if name in ("Estimate", "Posture") else f"{name}(…)"
    if isinstance(held, Mapping):
        names = ", ".join(map(str, held))
        return f"{{{names if len(names) <= _LONGEST_FIELD else _count(held)}}}"
    if isinstance(held, tuple | list | set | frozenset):
        plain = all(isinstance(each, str | int | float) for each in held) and len(held) <= 4
        said = repr(held)
        return said if plain and len(said) <= _LONGEST_FIELD else _count(held)
    said = repr(held) if isinstance(held, str | int | bool) else str(held)
    return said if len(said) <= _LONGEST_FIELD else f"{said[: _LONGEST_FIELD - 1]}…"


def _count(held: Sized) -> str:
    return f"{len(held)} item{'' if len(held) == 1 else 's'}"
