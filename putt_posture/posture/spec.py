"""How one measure is got from one view, and the estimates of a list of such."""

from collections.abc import Mapping

from attrs import field, frozen

from putt_posture.body import PUTTER_TAPE_SD_CM
from putt_posture.posture.budget import FrameMeasure, estimate_from
from putt_posture.posture.model_error import MODEL_SD
from putt_posture.posture.plane import Plane
from putt_posture.values import MEASURES, Estimate, MeasureName, Scene, View, absent

__all__ = ["Spec", "estimates_of", "no_measure", "typed_length"]


@frozen(kw_only=True)
class Spec:
    """One measure: its function of the plane, a phrase on how it is got, and the sentence where it cannot be.

    `other` are further causes of uncertainty, one sigma each.
    """

    name: MeasureName
    measure: FrameMeasure
    method: str
    unseen: str
    other: Mapping[str, float] = field(factory=dict)


def estimates_of(specs: list[Spec], plane: Plane, scene: Scene) -> dict[MeasureName, Estimate]:
    """Return the estimate of each spec, present or absent."""
    return {
        spec.name: estimate_from(
            spec.measure,
            plane,
            scene,
            unit=MEASURES[spec.name][0],
            model_sd=MODEL_SD[spec.name],
            method=spec.method,
            unseen=spec.unseen,
            other=spec.other,
        )
        for spec in specs
    }


def typed_length(length_cm: float) -> Estimate:
    """Return the putter's length as the coach typed it, cm."""
    return Estimate(
        value=length_cm, standard_uncertainty=PUTTER_TAPE_SD_CM, unit="cm", frames=0, method="typed by the coach"
    )


def no_measure(name: MeasureName, reason: str, view: View | None) -> Estimate:
    """Return the absent estimate of a measure with its unit."""
    return absent(reason, unit=MEASURES[name][0], view=view)
