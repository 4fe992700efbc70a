"""The records of all measures, by name, in the order of the report.

The record and the formula of a measure are in the file of its part of the body: `trunk`, `head`, `arms`, `legs`,
`balance` or `club`. Every `Measure` of these files is included. The records of a stroke are in `stroke_paths` and
`stroke_body`, every `StrokeMeasure` of them. `RECORDS` are both, those of the setup first.
"""

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from typing import Any, Final, Generic, TypeVar

from packaging.version import InvalidVersion, Version

from putt_posture.measures import arms, balance, club, head, legs, stroke_body, stroke_paths, trunk
from putt_posture.measures.record import Measure, Record, StrokeMeasure
from putt_posture.values import MeasureName

__all__ = ["MEASURES", "RECORDS", "STROKE_MEASURES", "Measures", "Records"]

_Kind = TypeVar("_Kind", bound=Record)


class Records(Mapping[MeasureName, Record]):
    """The records of several registries under one roof, those of the first in front.

    Parameters
    ----------
    *parts : mapping of MeasureName to Record
        No name is in two of them.

    Examples
    --------
    >>> RECORDS["tempo_ratio"].unit, len(RECORDS) == len(MEASURES) + len(STROKE_MEASURES)
    ('ratio', True)
    """

    def __init__(self, *parts: "Measures[Any]") -> None:
        self._parts = parts
        Measures(record for part in parts for record in part.values())  # names and places differ

    def __getitem__(self, name: str) -> Record:
        for part in self._parts:
            if name in part:
                record: Record = part[name]
                return record
        raise KeyError(name)

    def __iter__(self) -> Iterator[MeasureName]:
        return (name for part in self._parts for name in part)

    def __len__(self) -> int:
        return sum(len(part) for part in self._parts)

    def __repr__(self) -> str:
        return f"<Records: {', '.join(self)}>"

    def known_to(self, version: str) -> frozenset[MeasureName]:
        """Return the names of the measures that a version of the program knew; all of them for an empty version.

        Parameters
        ----------
        version : str
            As for `Measures.known_to`.
        """
        return frozenset().union(*(part.known_to(version) for part in self._parts))


class Measures(Mapping[MeasureName, _Kind], Generic[_Kind]):
    """Records of one kind by name; iteration follows their `order`.

    Parameters
    ----------
    records : iterable of Record

    Raises
    ------
    ValueError
        If two have the same name, or the same place in the order.

    Examples
    --------
    >>> MEASURES["spine_tilt"].unit, list(MEASURES)[:2]
    ('deg', ['spine_tilt', 'back_rounding'])
    """

    def __init__(self, records: Iterable[_Kind]) -> None:
        self._records: dict[MeasureName, _Kind] = {}
        for record in records:
            self._take_in(record)

    def __getitem__(self, name: str) -> _Kind:
        return self._records[MeasureName(name)]

    def __iter__(self) -> Iterator[MeasureName]:
        return iter(self._records)

    def __len__(self) -> int:
        return len(self._records)

    def __repr__(self) -> str:
        return f"<Measures: {', '.join(self)}>"

    def known_to(self, version: str) -> frozenset[MeasureName]:
        """Return the names of the measures that a version of the program knew; all of them for an empty version.

        Parameters
        ----------
        version : str
            Such as ``"0.1.0"``; empty for all.

        Examples
        --------
        >>> len(MEASURES.known_to("0.1.0")), len(MEASURES.known_to("0.0.9"))
        (23, 0)
        """
        try:
            then = Version(version)
        except InvalidVersion:
            return frozenset(self)
        return frozenset(name for name, record in self.items() if Version(record.since) <= then)

    @contextmanager
    def trying(self, record: _Kind) -> Iterator[None]:
        """Add a record for the duration of the block: to try a measure before it goes into the file of its part.

        Parameters
        ----------
        record : Record

        Raises
        ------
        ValueError
            If there is one with its name, or at its place in the order.
        """
        before = self._records
        try:
            self._take_in(record)
            yield
        finally:
            self._records = before

    def _take_in(self, record: _Kind) -> None:
        for other in self._records.values():
            if record.name == other.name:
                raise ValueError(f"Two measures are named {record.name}; give one of them another name.")
            if record.order == other.order:
                raise ValueError(
                    f"{record.name} and {other.name} both have the order {record.order}; give one of them another."
                )
        found = [*self._records.values(), record]
        self._records = {each.name: each for each in sorted(found, key=lambda each: each.order)}


MEASURES: Final = Measures(
    record
    for part in (trunk, head, arms, legs, balance, club)
    for record in vars(part).values()
    if isinstance(record, Measure)
)
"""All measures of a setup that the program knows."""
STROKE_MEASURES: Final = Measures(
    record
    for part in (stroke_paths, stroke_body)
    for record in vars(part).values()
    if isinstance(record, StrokeMeasure)
)
"""All measures of a stroke that the program knows."""
RECORDS: Final = Records(MEASURES, STROKE_MEASURES)
"""All of both."""
