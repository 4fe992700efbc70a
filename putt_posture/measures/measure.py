"""Every measure of a setup, present or absent, calculated from its record."""

from collections.abc import Iterable, Mapping

from putt_posture.measures.hidden_hands import hold_hands_against_others
from putt_posture.measures.record import Measure, NotSeen
from putt_posture.measures.registry import MEASURES
from putt_posture.posture.budget import estimate_from
from putt_posture.posture.marks import Marks, keep_known, mark_view
from putt_posture.posture.seen_setup import SeenSetup, see_setup
from putt_posture.posture.shaft_and_ball import no_ball, no_shaft
from putt_posture.values import VIEW_WORDS, Estimate, Posture, Scene, Student, View, ViewResult, absent

__all__ = ["measure_one", "measure_posture"]


def measure_posture(views: Mapping[View, ViewResult], student: Student) -> Posture:
    """Measure everything that the views allow.

    Parameters
    ----------
    views : mapping of View to ViewResult
        One or both views of the same setup.
    student : Student

    Returns
    -------
    Posture
        One estimate for each of `MEASURES`; absent ones say why.
    """
    seen = see_setup(views, student)
    estimates = {name: measure_one(measure, seen) for name, measure in MEASURES.items()}
    warnings: tuple[str, ...] = ()
    if seen.has("down_the_line"):
        widened, warnings = hold_hands_against_others(estimates, seen)
        estimates |= widened
    found = [measure for name, measure in MEASURES.items() if estimates[name]]
    marks = {view: {**mark_view(seen, view), **_own_marks(found, seen, view)} for view in views}
    return Posture(estimates=estimates, marks=marks, warnings=warnings)


def measure_one(measure: Measure, seen: SeenSetup) -> Estimate:
    """Measure one measure of a setup; absent, with the reason, where it is not known.

    Parameters
    ----------
    measure : Measure
    seen : SeenSetup
    """
    return measure.settle(_read(measure, seen), seen)


def _own_marks(measures: Iterable[Measure], seen: SeenSetup, view: View) -> Marks:
    return {name: at for each in measures for name, at in keep_known(each.marks(seen, view)).items()}


def _read(measure: Measure, seen: SeenSetup) -> Estimate:
    if not any(seen.has(view) for view in measure.views):
        return _missing_view(measure)
    if (lacking := _lacks(measure, seen)) is not None:
        return absent(lacking, unit=measure.unit, view=measure.views[0])
    reading = measure.reading(seen)
    if isinstance(reading, NotSeen):
        return absent(reading.reason, unit=measure.unit, view=reading.view)
    scene = seen.scene(reading.view)
    return estimate_from(
        reading.of,
        seen.planes[reading.view],
        scene,
        unit=measure.unit,
        model_sd=measure.model_sd,
        method=reading.method,
        unseen=reading.unseen,
        floor=measure.floor,
        other={**_finding(measure, scene), **reading.other},
    )


def _missing_view(measure: Measure) -> Estimate:
    views = [VIEW_WORDS[view] for view in measure.views]
    reason = f"No {' or '.join(views)} clip was given, and only that view shows it."
    return absent(reason, unit=measure.unit, view=measure.views[0])


def _lacks(measure: Measure, seen: SeenSetup) -> str | None:
    """Return the sentence of a measure that lacks the shaft or the ball; None where it has what it needs."""
    if measure.needs is None:
        return None
    scene = seen.scene(measure.views[0])
    if measure.needs == "shaft":
        return no_shaft(scene) if scene.shaft_px is None else None
    return no_ball(scene) if scene.ball_px is None else None


def _finding(measure: Measure, scene: Scene) -> dict[str, float]:
    """Return the uncertainty of finding shaft or ball, one sigma; empty where the coach drew or marked it."""
    sources = {"shaft": scene.shaft_source, "ball": scene.ball_source}
    if measure.needs is None or not measure.found_sd or sources[measure.needs] != "found":
        return {}
    return {f"{measure.needs} found in the picture": measure.found_sd}
