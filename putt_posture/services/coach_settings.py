r"""What a coach has set, changed from a page: bands, order, words and drills in a file of their own, and defaults.

The coach's own file holds only what differs from the shipped values, so a value that is set back to the shipped one is
taken out of it. Comments that the coach wrote stay. A file is written whole, and only once the library has read it.
"""

import tomllib
from collections.abc import Mapping, MutableMapping
from pathlib import Path
from typing import Any, Final

import tomlkit
from attrs import field, frozen
from tomlkit.exceptions import ParseError

from putt_posture.disk.defaults import find_defaults_file
from putt_posture.disk.defaults_writing import write_defaults
from putt_posture.disk.folders import fresh_file
from putt_posture.errors import UsageError
from putt_posture.findings import CoachFile, load_coach_file, read_coach_file, read_shipped_text
from putt_posture.services.coach_files import MOST_BYTES, open_coach_file

__all__ = [
    "CoachSettings",
    "change_coach_text",
    "find_own_coach_file",
    "load_coach_settings",
    "move_fault",
    "save_coach_text",
]

Value = str | int | float | bool | list[str]
Place = tuple[str, ...]
_OWN_FILE: Final = "coach.toml"


@frozen(kw_only=True)
class CoachSettings:
    """The coach's own file and what is in force by it.

    Attributes
    ----------
    path : Path
        Where the coach's own file is, or will be.
    text : str
        Of the coach's own file; empty where nothing was changed.
    coach : CoachFile
        What is in force.
    shipped : mapping
        The starting values, as TOML gives them.
    own : mapping
        What the coach's own file holds.
    """

    path: Path
    text: str = field(repr=False)
    coach: CoachFile = field(repr=False)
    shipped: Mapping[str, Any] = field(repr=False)
    own: Mapping[str, Any] = field(repr=False)

    def is_own(self, path: Place) -> bool:
        """Tell whether the coach changed a value.

        Parameters
        ----------
        path : tuple of str
            Table and key.
        """
        return _at(self.own, path) is not None

    def value(self, path: Place) -> Any:
        """Return a value that is in force; None where there is none.

        Parameters
        ----------
        path : tuple of str
        """
        own = _at(self.own, path)
        return _at(self.shipped, path) if own is None else own

    def starting_value(self, path: Place) -> Any:
        """Return the starting value; None where there is none.

        Parameters
        ----------
        path : tuple of str
        """
        return _at(self.shipped, path)


def find_own_coach_file() -> Path:
    """Return where the coach's own file is kept if no other place was given: beside the defaults file."""
    return find_defaults_file().with_name(_OWN_FILE)


def load_coach_settings(path: Path | None) -> CoachSettings:
    """Load the coach's own file over the starting values.

    Parameters
    ----------
    path : Path or None
        None where the coach has none yet.

    Raises
    ------
    UsageError
        As `open_coach_file` does.
    """
    shipped = tomllib.loads(read_shipped_text())
    place = path or find_own_coach_file()
    if path is None and not place.exists():
        return CoachSettings(path=place, text="", coach=load_coach_file(), shipped=shipped, own={})
    coach = open_coach_file(place)
    return CoachSettings(path=place, text=coach.text, coach=coach, shipped=shipped, own=tomllib.loads(coach.text))


def change_coach_text(text: str, changes: Mapping[Place, Value | None]) -> str:
    r"""Return the text of a coach's own file with some values changed.

    Parameters
    ----------
    text : str
    changes : mapping of tuple of str to value or None
        By table and key. None, and the starting value itself, take the coach's own value out.

    Raises
    ------
    UsageError
        If the text is not TOML.

    Examples
    --------
    >>> print(change_coach_text("# mine\n", {("bands", "hand_offset", "above"): 4}))
    # mine
    <BLANKLINE>
    [bands.hand_offset]
    above = 4
    <BLANKLINE>
    >>> change_coach_text("[bands.hand_offset]\nabove = 4\n", {("bands", "hand_offset", "above"): 3})
    ''
    """
    shipped = tomllib.loads(read_shipped_text())
    try:
        document = tomlkit.parse(text)
    except ParseError as error:
        raise UsageError(f"The coach's file is not TOML: {error}.") from None
    for path, value in changes.items():
        if value is None or value == _at(shipped, path):
            _take_out(document, path)
        else:
            _put(document, path, value)
    return tomlkit.dumps(document)


def move_fault(settings: CoachSettings, fault: str, *, by: int) -> str:
    """Return the text of the coach's own file with a fault moved in the order.

    Parameters
    ----------
    settings : CoachSettings
    fault : str
    by : int
        Places; − = earlier.

    Raises
    ------
    UsageError
        If there is no such fault.
    """
    order = [each.name for each in settings.coach.faults]
    if fault not in order:
        raise UsageError("There is no such fault. Load the page again.")
    at = order.index(fault)
    order.insert(min(max(at + by, 0), len(order) - 1), order.pop(at))
    return change_coach_text(settings.text, {("order",): order})


def save_coach_text(path: Path, text: str) -> CoachFile:
    """Check the text of a coach's own file and write it; the defaults name it from then on.

    Parameters
    ----------
    path : Path
    text : str

    Returns
    -------
    CoachFile
        What is in force by it.

    Raises
    ------
    UsageError
        If something in it is not known, of the wrong type or out of range; the sentence names the line. Nothing is
        written then.
    OutputError
        If it cannot be written.
    """
    if len(text.encode("utf-8")) > MOST_BYTES:
        raise UsageError(
            f"This text is longer than {MOST_BYTES:,} bytes. Keep only what differs from the shipped values."
        )
    text = text.replace("\r\n", "\n")
    coach = read_coach_file(text, where="The coach's file")
    with fresh_file(path, replace=True, what="coach's file", private=True) as file:
        file.write(text.encode("utf-8"))
    write_defaults({"coach_file": str(path.absolute())})
    return coach


def _at(table: Mapping[str, Any], path: Place) -> Any:
    found: Any = table
    for name in path:
        if not isinstance(found, Mapping) or name not in found:
            return None
        found = found[name]
    return found


def _put(document: MutableMapping[str, Any], path: Place, value: Value) -> None:
    *tables, key = path
    place = document
    for depth, name in enumerate(tables):
        if name not in place:
            place[name] = tomlkit.table(is_super_table=depth < len(tables) - 1)
        place = place[name]
    place[key] = value


def _take_out(document: MutableMapping[str, Any], path: Place) -> None:
    places: list[MutableMapping[str, Any]] = [document]
    for name in path[:-1]:
        if not isinstance(places[-1].get(name), MutableMapping):
            return
        places.append(places[-1][name])
    places[-1].pop(path[-1], None)
    for above, name in zip(reversed(places[:-1]), reversed(path[:-1]), strict=True):
        if not above[name]:
            above.pop(name)
