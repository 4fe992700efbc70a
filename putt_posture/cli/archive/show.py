"""``putt-posture archive show``: all that is known of one student."""

from __future__ import annotations

import sys
from datetime import date
from typing import TYPE_CHECKING, Any

from putt_posture.cli.command import command
from putt_posture.cli.shared_options import archive_options, json_option, number_argument, units_option

if TYPE_CHECKING:
    from rich.console import Console

    from putt_posture.archive import FiledLesson
    from putt_posture.services import StudentSummary
    from putt_posture.values import History

__all__ = ["show"]


@command(short_help="Show a student: consents, lessons, tests, what is due.")
@number_argument()
@json_option
@units_option
@archive_options
def show(*, number: int, as_json: bool, archive: str | None, files: str | None) -> None:
    """Show the student NUMBER: personal data, what is allowed today, lessons, practice tests, and what is due."""
    from putt_posture.archive import load_history, open_archive
    from putt_posture.changes import find_changes
    from putt_posture.cli.archive.practice import show_practice
    from putt_posture.cli.archive.words import print_json, show_consents
    from putt_posture.cli.strokes import show_stroke_in_short
    from putt_posture.cli.table import open_console, show_bullet
    from putt_posture.services import load_summary, may_show_numbers
    from putt_posture.services.sentences import say_age, say_body
    from putt_posture.shown_units import AsIs

    today = date.today()
    with open_archive(archive, files=files, make=False) as opened:
        found = load_summary(opened, number, today=today)
        shown = may_show_numbers(opened, number, today=today)
        visits = load_history(opened, number, today=today) if shown else None
    if as_json:
        print_json(_as_document(found, visits, today))
        return
    student, console = found.student, open_console(sys.stdout)
    console.print(f"Student {number}: {student.name}")
    console.print(say_body(student))
    console.print(say_age(student, today=today, grown_at=found.settings.grown_at_years))
    console.print(f"Enrolled {student.since}")
    if student.notes:
        console.print(AsIs(student.notes))
    show_consents(found.permission, today=today, console=console)
    for each in found.withheld:
        show_bullet(each, console=console)
    _show_lessons(found.lessons, console=console)
    if visits is not None:
        show_stroke_in_short(visits, find_changes=find_changes, console=console)
    if found.practice:
        console.print("\nPractice tests")
        show_practice(found.practice, console=console)
        for each in found.tests_say:
            show_bullet(each, console=console)
    _show_due(found, today=today, console=console)


def _as_document(found: StudentSummary, visits: History | None, today: date) -> dict[str, Any]:
    from putt_posture.cli.archive.practice import practice_as_plain
    from putt_posture.cli.archive.words import as_plain

    permission = found.permission
    document: dict[str, Any] = as_plain(found.student)
    document["minor"] = found.minor
    document["consents"] = [
        {**as_plain(each), "counts_today": permission.counts(each, day=today, use="keeping")}
        for each in permission.consents
    ]
    document["consents_that_do_not_count"] = permission.doubts(today)
    document["withheld"] = found.withheld if found.lessons else ()
    document["lessons"] = found.lessons
    document["stroke"] = {} if visits is None else _stroke_as_plain(visits)
    document["practice_tests"] = practice_as_plain(found.practice)
    document["tests_beside_findings"] = found.tests_say
    document["due_on"] = found.overview and found.overview.due_on
    document["went_back"] = found.overview.drifts if found.overview else ()
    return document


def _stroke_as_plain(visits: History) -> dict[str, Any]:
    """Return what a coach follows of the stroke, as JSON knows it: first and latest number, and what changed."""
    from putt_posture.changes import find_changes
    from putt_posture.history import STROKE_IN_SHORT, find_stroke_courses

    courses = find_stroke_courses(visits, find_changes=find_changes)
    plain: dict[str, Any] = {}
    for name in STROKE_IN_SHORT:
        course = courses.get(name)
        if course is None or course.first is None or course.latest is None:
            continue
        ends = {}
        for when, place in (("first", course.first), ("latest", course.latest)):
            visit = visits.visits[place]
            number = visit.measured.measures[name]
            ends[when] = {"day": visit.day, "value": number.value, "low": number.low, "high": number.high}
        since = course.since_first
        known = since is not None and bool(since.change)
        plain[name] = {
            "unit": visits.visits[course.first].measured.measures[name].unit,
            **ends,
            "change": since.change.value if since is not None and known else None,
            "change_low": since.change.low if since is not None and known else None,
            "change_high": since.change.high if since is not None and known else None,
            "real": since is not None and since.real,
        }
    return plain


def _show_lessons(lessons: tuple[FiledLesson, ...], *, console: Console) -> None:
    from putt_posture.cli.table import new_table, show_bullet
    from putt_posture.figures import count_of, format_length
    from putt_posture.pages.interview import answers_of
    from putt_posture.shown_units import AsIs

    if not lessons:
        console.print("No lesson is filed.")
        return
    table = new_table()
    for title in ("Lesson", "Day", "Moment", "Putter", "Kept", "Place and coach"):
        table.add_column(title, justify="right" if title == "Lesson" else "left", no_wrap=title != "Place and coach")
    for each in lessons:
        kept = [count_of(each.clips, "clip")] * (each.clips > 0) + ["pictures"] * each.has_pictures
        putter = "" if each.putter_length_cm is None else format_length(each.putter_length_cm)
        where = AsIs(", ".join(filter(None, (each.notes.place, each.notes.coach))))
        table.add_row(str(each.number), str(each.day), each.moment, putter, ", ".join(kept) or "numbers", where)
    console.print(table)
    for each in lessons:
        for answer in answers_of(each.notes):
            show_bullet(AsIs(f"Lesson {each.number}, {answer.name.lower()}: {answer.says}"), console=console)
    if any(each.notes.limits for each in lessons):
        show_bullet(
            "Notes on pain or limits are what the student said, not a medical finding. See a clinician about pain that "
            "stays.",
            console=console,
        )


def _show_due(found: StudentSummary, *, today: date, console: Console) -> None:
    from putt_posture.cli.table import show_bullet
    from putt_posture.services.sentences import say_distance, say_drifts

    console.print("\nDue")
    if found.overview is not None:
        due_on = found.overview.due_on
        show_bullet(f"Next visit {due_on} ({say_distance(due_on, today=today)})", console=console)
    for each in say_drifts(found.overview):
        show_bullet(each, console=console)
    pictured = [each.day for each in found.lessons if each.has_pictures]
    if pictured:
        kept_until = found.settings.pictures_until(min(pictured))
        show_bullet(f"Oldest pictures are kept until {kept_until}", console=console)
    show_bullet(f"The student is kept until {found.keep_until}", console=console)
