"""The measures of one lesson by name."""

from collections.abc import Iterator, Mapping
from typing import Final, NewType

from attrs import field, frozen

from putt_posture.values.checks import unknown_name
from putt_posture.values.estimate import Estimate
from putt_posture.values.scene import Point
from putt_posture.values.showing import Shown
from putt_posture.values.student import View

__all__ = ["MeasureName", "Posture"]

MeasureName = NewType("MeasureName", str)
"""The name of a record of `putt_posture.measures`, which are all that make one.

A type of its own, so that the type checker takes no title or other text for a name and no list of names is kept beside
the records; at run time it is a plain string. What users ask for by name (`Posture`) takes any string.
"""
_LONGEST: Final = 100
"""The most letters of a repr."""


@frozen(kw_only=True)
class Posture(Shown, Mapping[MeasureName, Estimate]):
    """Every measure, present or absent: a mapping of their names to estimates.

    An absent measure is there, as an estimate that is falsy and says why. A name that is not a measure raises
    `UnknownName`, which says the names that come close; `get` returns None for it, or its default, as every
    mapping does.

    Attributes
    ----------
    estimates : mapping of MeasureName to Estimate
        One entry for each record of `putt_posture.measures`.
    marks : mapping of View to mapping of mark name to points
        Where things are in the still of each view, pixels of its full-size upright picture, so that a
        measure can be drawn; a mark that was not found is left out. Down the line: ``spine`` (mid-hip,
        mid-shoulder), ``head`` (mid-shoulder, mid-ear), ``near_leg`` (hip, knee, ankle), ``near_arm``
        (shoulder, elbow, wrist), ``hands`` (hand centre), ``eyes`` (mid-point), ``foot`` (heel, toe tip, on
        the ground), ``balance`` (centre of mass, the ground under it), ``back`` (outline from pelvis to neck),
        ``back_tangents`` (low point and its direction's end, high point and its direction's end),
        ``elbow_gap`` (skin of the elbow, skin of the ribs), ``ground`` (two points), ``shaft`` (butt, sole),
        ``ball`` (centre). Face on: ``spine``, ``shoulders``, ``hips``, ``ankles`` (trail, lead),
        ``lead_arm``, ``trail_arm``, ``lead_leg``, ``trail_leg``, ``hands``, ``eyes``, ``elbow_gap_lead``,
        ``elbow_gap_trail``, ``balance``, ``ground``, ``shaft``, ``ball``.
    warnings : tuple of str
        Sentences about measures that disagree with each other.

    Examples
    --------
    >>> tilt = Estimate(value=30.0, standard_uncertainty=2.0, unit="deg")
    >>> posture = Posture(estimates={"spine_tilt": tilt})
    >>> "spine_tilt" in posture, len(posture), list(posture)
    (True, 1, ['spine_tilt'])
    >>> posture["spine tilt"]
    Traceback (most recent call last):
    ...
    putt_posture.errors.UnknownName: There is no measure 'spine tilt' in the posture. Did you mean 'spine_tilt'?
    >>> posture
    Posture(1 of 1 measures: spine_tilt)
    """

    estimates: Mapping[MeasureName, Estimate]
    marks: Mapping[View, Mapping[str, tuple[Point, ...]]] = field(factory=dict)
    warnings: tuple[str, ...] = ()

    def __getitem__(self, name: str) -> Estimate:
        try:
            return self.estimates[MeasureName(name)]
        except (KeyError, TypeError):
            raise unknown_name(name, self.estimates, what="measure", where="the posture") from None

    def __iter__(self) -> Iterator[MeasureName]:
        return iter(self.estimates)

    def __len__(self) -> int:
        return len(self.estimates)

    def __repr__(self) -> str:
        """Return how many measures there are, and the names of the first, in one line."""
        found = [name for name, estimate in self.items() if estimate]
        said = f"Posture({len(found)} of {len(self)} measures"
        shown = ", ".join(found)
        room = _LONGEST - len(said) - len(": )")
        if len(shown) > room:
            shown = shown[: room - 3].rsplit(", ", 1)[0] + ", …"
        return f"{said}{': ' if shown else ''}{shown})"
