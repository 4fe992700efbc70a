"""The suggestion: the putter that lets a student hold the wanted setup."""

import math
from collections.abc import Iterator
from typing import Final, Literal

from attrs import evolve, frozen

from putt_posture.body import LONGEST_PUTTER_CM, check_student
from putt_posture.figures import format_given, format_length, format_value
from putt_posture.fitting.assumptions import list_assumptions, say_disagreements
from putt_posture.fitting.body_model import ClipLengths
from putt_posture.fitting.curves import find_curves
from putt_posture.fitting.evidence import (
    find_by_body,
    find_by_height_rule,
    find_measured_setup,
    name_current_putter,
    solve_by_tables,
)
from putt_posture.fitting.filmed import add_filmed_errors, find_filmed_data, find_shown_tilt
from putt_posture.fitting.geometry import find_toe_lift
from putt_posture.fitting.inputs import USUAL_LIE, FilmedSetup, find_putter_in_use, read_filmed_setup
from putt_posture.fitting.limits import (
    check_putter_lie,
    check_wanted_setup,
    find_stock_length_in,
    keep_length_to_rules,
    keep_lie_to_rules,
)
from putt_posture.fitting.put_aside import Doubt, find_doubts, say_doubts, say_long_putter, say_wrist_doubt
from putt_posture.fitting.solution import SetupSolution, find_figure, solve_setup
from putt_posture.fitting.student_model import find_student_model, say_beyond_tables
from putt_posture.values import Estimate, Evidence, Fit, Posture, PutterCurves, Student, WantedSetup, absent
from putt_posture.values.checks import check_type

__all__ = ["FittedBody", "estimate_toe_lift", "find_body_curves", "find_fitted_body", "fit_putter"]

SURPRISE: Final = 4.0
"""Filmed hands that differ by more standard uncertainties from what the body tables allow are a mistake, not an unusual
body."""

HEAD_LENGTH: Final = Estimate(
    value=11.5, standard_uncertainty=1.0, unit="cm", method="heel to toe of a putter head, common practice"
)


@frozen(kw_only=True)
class _Found:
    """The intermediate results."""

    solution: SetupSolution
    moved: Evidence | None = None
    reason: str | None = None
    doubts: tuple[Doubt, ...] = ()

    def puts_aside(self, name: str) -> bool:
        """Return whether one of the filmed data, or the putter, contradicts all others."""
        return any(doubt.put_aside for doubt in self.doubts if doubt.name == name)


@frozen(kw_only=True, eq=False)
class FittedBody:
    """A fit, and the body that it was found for.

    Attributes
    ----------
    fit : Fit
    student : Student
    wanted : WantedSetup
    solution : SetupSolution or None
        None where no length was found.
    """

    fit: Fit
    student: Student
    wanted: WantedSetup
    solution: SetupSolution | None = None


def fit_putter(
    posture: Posture | None,
    student: Student,
    *,
    wanted: WantedSetup | None = None,
    lengths: ClipLengths | None = None,
    without_putter: bool = False,
    curves: Literal["found", "left out"] = "found",
) -> Fit:
    """Suggest a putter length and lie.

    A jointed model of the student's body is put into the wanted setup; where its hands then are, and where the ball
    lies under its eyes, gives length and lie. The model's lengths come from the body tables, from the wrist height
    where it was measured, and from scaled clips. The filmed hand height, the putter in use and the filmed eyes show
    what this body does in the filmed setup, and correct the model by their precision; the nearer that setup is to the
    wanted one, the more they count.

    Parameters
    ----------
    posture : Posture or None
        None where nothing was filmed. Used where it has ``spine_tilt``, ``hand_offset`` and ``hand_height``;
        ``shaft_lie``, the elbow bends, ``knee_flex``, ``back_rounding``, ``head_drop`` and ``eye_offset`` are used
        where they are present.
    student : Student
    wanted : WantedSetup, optional
        What the coach wants; common practice by default.
    lengths : ClipLengths, optional
        Lengths between joints from clips whose scale is not based on the stature.
    without_putter : bool
        Whether the posture was filmed without a putter. The hands then show the height of a grip less surely, the lie
        as filmed is a usual one, and the putter in use says nothing about the setup.
    curves : {"found", "left out"}
        Whether `Fit.curves` is found, which takes as long as all else.

    Returns
    -------
    Fit
        `putter_length` in cm, top of the grip to the sole, kept to the Rules; absent, with the reason, where the wanted
        setup is impossible, the filmed setup is impossible for this student, or the body tables do not cover the
        stature. `evidence` has the lengths that could still be found, `disagreements` what was put aside because it
        contradicts the rest.

    Raises
    ------
    UsageError
        If the student, the wanted setup or the putter's lie is impossible, or an argument is of the wrong type.
    """
    return find_fitted_body(
        posture, student, wanted=wanted, lengths=lengths, without_putter=without_putter, curves=curves
    ).fit


def find_fitted_body(
    posture: Posture | None,
    student: Student,
    *,
    wanted: WantedSetup | None = None,
    lengths: ClipLengths | None = None,
    without_putter: bool = False,
    curves: Literal["found", "left out"] = "found",
) -> FittedBody:
    """Suggest a putter, and return the body that it was found for too, so that other putters can be tried on it.

    Parameters
    ----------
    posture, student, wanted, lengths, without_putter, curves
        As for `fit_putter`.

    Raises
    ------
    UsageError
        As `fit_putter` does.
    """
    if posture is not None:
        check_type(posture, "posture", Posture, example="fit_putter(None, student) where nothing was filmed")
    check_type(student, "student", Student, example='Student(stature_cm=178, handed="right")')
    if wanted is not None:
        check_type(wanted, "wanted", WantedSetup, example="WantedSetup(knee_flex_deg=20)")
    check_student(student)
    wanted = check_wanted_setup(wanted or WantedSetup())
    if student.putter_lie_deg is not None:
        check_putter_lie(student.putter_lie_deg)
    filmed = read_filmed_setup(posture, without_putter=without_putter) if posture is not None else None
    putter = find_putter_in_use(student)
    if (beyond := say_beyond_tables(student)) is not None:
        in_use = [] if putter is None else [name_current_putter(putter, put_aside=False)]
        return FittedBody(fit=_give_no_length(beyond, tuple(in_use)), student=student, wanted=wanted)
    found = _find(filmed, student, wanted, lengths, None if without_putter else putter)
    by_tables = _solve_by_tables(student, wanted)
    evidence = tuple(_gather_evidence(filmed, student, putter, found, by_tables, without_putter=without_putter))
    said = tuple(_say_what_does_not_agree(found, student, filmed))
    solution = found.solution
    reason = found.reason or solution.length.absent
    if reason is None and solution.length.value > LONGEST_PUTTER_CM:
        came_out = format_length(solution.length.value)
        reason = f"The length came out at {came_out}, longer than any putter; check the scale and the student's height."
    if reason is not None:
        apart = say_disagreements(evidence, student, filmed=filmed, wanted_tilt=None)
        return FittedBody(fit=_give_no_length(reason, evidence, (*said, *apart)), student=student, wanted=wanted)
    lie, lie_note = keep_lie_to_rules(solution.lie)
    length, length_note = keep_length_to_rules(solution.length)
    notes = (note for note in (lie_note, length_note) if note)
    assumptions = list_assumptions(
        filmed,
        student,
        wanted,
        setup=solution.setup,
        hold_cm=float(solution.body["hold"]),
        believed=[doubt.name for doubt in found.doubts if not doubt.put_aside],
        without_putter=without_putter,
    )
    apart = say_disagreements(evidence, student, filmed=filmed, wanted_tilt=solution.setup["spine_tilt"])
    fit = Fit(
        putter_length=length,
        stock_length_in=find_stock_length_in(length),
        lie=lie,
        evidence=evidence,
        assumptions=(*assumptions, *notes),
        setup=solution.setup,
        toe_lift=estimate_toe_lift(lie, student.putter_lie_deg),
        curves=None if curves == "left out" else _find_curves(solution, student, wanted, length),
        figure=None if solution.stands is None else find_figure(solution.stands, putter_cm=length.value),
        disagreements=(*said, *apart),
        tilt_by_tables=by_tables[-1][2].setup.get("spine_tilt"),
    )
    return FittedBody(fit=fit, student=student, wanted=wanted, solution=solution)


def find_body_curves(body: FittedBody) -> PutterCurves | None:
    """Find how the setup of a body changes with putters of other lengths; None where no length was found.

    Parameters
    ----------
    body : FittedBody
    """
    if body.solution is None:
        return None
    return _find_curves(body.solution, body.student, body.wanted, body.fit.putter_length)


def _find_curves(solution: SetupSolution, student: Student, wanted: WantedSetup, length: Estimate) -> PutterCurves:
    numbers = {name: one.value for name, one in solution.setup.items()}
    return find_curves(
        solution.body,
        wanted,
        numbers | {"lie": solution.lie.value},
        sex=student.sex,
        suggested_cm=length.value,
        current_cm=student.putter_length_cm,
    )


def _solve_by_tables(student: Student, wanted: WantedSetup) -> tuple[tuple[str, Student, SetupSolution], ...]:
    """Put a body of the tables into the wanted setup: by the height, then by the wrist height where it is known."""
    students = {"body_model": evolve(student, wrist_floor_cm=None)}
    if student.wrist_floor_cm is not None:
        students["wrist_floor"] = student
    return tuple((name, each, solve_by_tables(each, wanted)) for name, each in students.items())


def _give_no_length(reason: str, evidence: tuple[Evidence, ...], said: tuple[str, ...] = ()) -> Fit:
    return Fit(
        putter_length=absent(reason, unit="cm"),
        stock_length_in=None,
        lie=absent(reason, unit="deg"),
        evidence=evidence,
        disagreements=said,
    )


def _say_what_does_not_agree(found: _Found, student: Student, filmed: FilmedSetup | None) -> Iterator[str]:
    if wrist := say_wrist_doubt(student):
        yield wrist
    if found.doubts and filmed is not None:
        yield from say_doubts(found.doubts, student, filmed)
    elif long := say_long_putter(student):
        yield long


def _find(
    filmed: FilmedSetup | None,
    student: Student,
    wanted: WantedSetup,
    lengths: ClipLengths | None,
    putter: Estimate | None,
) -> _Found:
    model = find_student_model(student, wanted, measured=lengths)
    if filmed is None or filmed.missing:
        return _Found(solution=solve_setup(model, model.spread(), wanted, sex=student.sex))
    model = add_filmed_errors(model, filmed)
    samples = model.spread()
    data = find_filmed_data(model, samples, filmed, putter=putter, sex=student.sex)
    if not all(math.isfinite(one.predicted) for one in data.values()):
        beyond = (
            f"The hands are {format_value(abs(filmed.offset.value), 'cm')} from below the shoulders, farther than the "
            "arms reach; check the scale and the points."
        )
        return _Found(solution=solve_setup(model, samples, wanted, sex=student.sex), reason=beyond)
    shown = find_shown_tilt(filmed, wanted)
    solution = solve_setup(model, samples, wanted, sex=student.sex, data=tuple(data.values()), shown_tilt=shown)
    unheld = [one for name, one in data.items() if name != "putter"]
    without = solve_setup(model, samples, wanted, sex=student.sex, data=unheld, shown_tilt=shown)
    moved = None
    if without.length:
        tilt = without.setup["spine_tilt"].value
        moved = Evidence(
            name="moved_setup",
            title="By the filmed body in the wanted setup",
            length=evolve(without.length, view="down_the_line", frames=filmed.hand_height.frames),
            says="The filmed hands and joints correct the body tables; this body is then moved from "
            f"{format_value(filmed.tilt.value, 'deg')} of tilt to {format_value(tilt, 'deg')}, its hands from an "
            f"offset of {format_value(filmed.offset.value, 'cm', signed=True)} to "
            f"{format_value(wanted.hand_offset_cm, 'cm', signed=True)}.",
        )
    surprise = float(solution.posterior.surprise()[0])
    reason: str | None = None
    if abs(surprise) > SURPRISE:
        expected = data["hand_height"].predicted
        reason = (
            f"The filmed hands are {format_value(filmed.hand_height.value, 'cm')} above the ground, but a body of "
            f"{format_given(student.stature_cm, 'cm')}, bent as filmed, holds them at about "
            f"{format_value(expected, 'cm')}; check the student's height, the scale and the points."
        )
    if reason is not None:
        return _Found(solution=solution, reason=reason)
    return _Found(solution=solution, moved=moved, doubts=find_doubts(solution.posterior, tuple(data)))


def _gather_evidence(
    filmed: FilmedSetup | None,
    student: Student,
    putter: Estimate | None,
    found: _Found,
    by_tables: tuple[tuple[str, Student, SetupSolution], ...],
    *,
    without_putter: bool,
) -> Iterator[Evidence]:
    for name, body, solution in by_tables:
        if length := find_by_body(solution, body, name=name):
            yield length
    if filmed is not None and filmed.hand_height:
        yield find_measured_setup(filmed, student, without_putter=without_putter)
    if found.moved is not None:
        yield found.moved
    if by_rule := find_by_height_rule(student.stature_cm):
        yield by_rule
    if putter is not None:
        unheld = without_putter or (not found.doubts and say_long_putter(student) is not None)
        aside = found.puts_aside("putter") or unheld
        yield name_current_putter(putter, put_aside=aside)


def estimate_toe_lift(lie: Estimate, putter_lie_deg: float | None) -> Estimate:
    """Find how far the toe of a putter is off the ground, cm; − = the heel is.

    Parameters
    ----------
    lie : Estimate
        Of the shaft as it is held, deg.
    putter_lie_deg : float or None
        Of the putter; the usual one where it is not known.
    """
    putter_lie = USUAL_LIE.value if putter_lie_deg is None else putter_lie_deg
    value = float(find_toe_lift(putter_lie, lie.value, HEAD_LENGTH.value))
    return Estimate(
        value=value,
        standard_uncertainty=math.hypot(
            math.radians(lie.standard_uncertainty) * HEAD_LENGTH.value,
            value / HEAD_LENGTH.value * HEAD_LENGTH.standard_uncertainty,
        ),
        unit="cm",
        method=f"putter of {format_given(putter_lie, 'deg')} lie on a shaft at {format_value(lie.value, 'deg')}",
    )
