"""The plan of an earlier lesson taken up: what was worked on, whether it moved, and where it is now."""

from typing import Final

from putt_posture.figures import format_change, format_length
from putt_posture.findings.quantities import PUTTER_IN_USE, title_of
from putt_posture.measures import RECORDS
from putt_posture.values import Changes, Finding, Findings, InBand, LessonRecord, MeasureName, Plan, TakenUp

__all__ = ["take_up_plan"]

_NOW: Final = {
    "within": "It is not among today's findings any more.",
    "outside": "It is still among today's findings: stay with it.",
    "unsure": "Whether it lies within the band now, today's clips cannot tell.",
    "absent": "Where it is now could not be measured.",
}


def take_up_plan(before: LessonRecord, after: LessonRecord, changes: Changes) -> TakenUp | None:
    """Say what became of the plan of an earlier lesson.

    Parameters
    ----------
    before, after : LessonRecord
        Two lessons of one student, the plan in the first.
    changes : Changes
        From the first to the second.

    Returns
    -------
    TakenUp or None
        None where the earlier lesson had no finding to work on.
    """
    plan = before.plan
    if plan is None or plan.works_on is None:
        return None
    finding = _finding_of(before.findings, plan)
    if plan.quantity == PUTTER_IN_USE:
        moved, says = _of_putter(before, after)
    else:
        moved, says = _of_measure(MeasureName(plan.quantity), changes)
    lies = _lies(plan, after.findings, moved=moved)
    title = plan.title if finding is None else finding.short
    return TakenUp(
        works_on=plan.works_on,
        moved=moved,
        lies=lies,
        says=f"Last time's plan: {title}. {says} {_NOW[lies]}",
    )


def _finding_of(findings: Findings | None, plan: Plan) -> Finding | None:
    found = () if findings is None else findings.found
    return next((each for each in found if each.name == plan.works_on), None)


def _of_measure(name: MeasureName, changes: Changes) -> tuple[bool | None, str]:
    change = {**changes.measures, **changes.strokes}.get(name)
    if change is None or not change.change:
        reason = "" if change is None else f" {change.change.absent}"
        return None, f"How it changed could not be measured.{reason}"
    title, unit = RECORDS[name].title, change.change.unit
    moved = format_change(change.before.value, change.after.value, margin=change.change.margin, unit=unit)
    if change.real:
        return True, f"{title} changed by {moved}, which is more than the noise."
    if change.maybe:
        return None, f"{title} may have changed, by {moved}; that happens by chance too."
    return False, f"{title} changed by {moved}, which is no more than the noise."


def _of_putter(before: LessonRecord, after: LessonRecord) -> tuple[bool | None, str]:
    was, now = before.student.putter_length_cm, after.student.putter_length_cm
    if was is None or now is None:
        return None, "Whether the putter is another one is not known: type its length in both lessons."
    if abs(was - now) < 0.5:
        return False, f"It is the same putter, {format_length(now)}."
    return True, f"The putter was {format_length(was)} and is {format_length(now)} now."


def _lies(plan: Plan, today: Findings | None, *, moved: bool | None) -> InBand:
    if today is None:
        return "absent"
    if any(each.name == plan.works_on for each in today.found):
        return "outside"
    if any(each.name == plan.works_on for each in today.unsure):
        return "unsure"
    return "absent" if moved is None and not _was_looked_at(plan, today) else "within"


def _was_looked_at(plan: Plan, today: Findings) -> bool:
    return title_of(plan.quantity) not in {title for title, _ in today.not_judged}
