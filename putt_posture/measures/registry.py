"""The records of all measures, by name, in the order of the report.

The record and the formula of a measure are in the file of its part of the body: `trunk`, `head`, `arms`, `legs`,
`balance` or `club`. Every `Measure` of these files is included.
"""

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from typing import Final

from packaging.version import InvalidVersion, Version

from putt_posture.measures import arms, balance, club, head, legs, trunk
from putt_posture.measures.record import Measure
from putt_posture.values import MeasureName

__all__ = ["MEASURES", "Measures"]


class Measures(Mapping[MeasureName, Measure]):
    """Records by name; iteration follows their `order`.

    Parameters
    ----------
    records : iterable of Measure

    Raises
    ------
    ValueError
        If two have the same name, or the same place in the order.

    Examples
    --------
    >>> MEASURES["spine_tilt"].unit, list(MEASURES)[:2]
    ('deg', ['spine_tilt', 'back_rounding'])
    """

    def __init__(self, records: Iterable[Measure]) -> None:
        self._records: dict[MeasureName, Measure] = {}
        for record in records:
            self._take_in(record)

    def __getitem__(self, name: str) -> Measure:
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
    def trying(self, record: Measure) -> Iterator[None]:
        """Add a record for the duration of the block: to try a measure before it goes into the file of its part.

        Parameters
        ----------
        record : Measure

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

    def _take_in(self, record: Measure) -> None:
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
"""All measures that the program knows."""
