"""``putt-posture archive show``: all that is known of one student."""

from __future__ import annotations

import sys
from datetime import date
from typing import TYPE_CHECKING, Any

from putt_posture.cli.command import command
from putt_posture.cli.shared_options import archive_options, json_option, number_argument

if TYPE_CHECKING:
    from rich.console import Console

    from putt_posture.archive import FiledLesson, OverviewLine, Settings

__all__ = ["show"]


@command(short_help="Show a student: consents, lessons, tests, what is due.")
@number_argument()
@json_option
@archive_options
def show(*, number: int, as_json: bool, archive: str | None, files: str | None) -> None:
    """Show the student NUMBER: what is known, what is allowed today, lessons, practice tests, and what is due."""
    from putt_posture.archive import (
        is_minor,
        load_lessons,
        load_permission,
        load_practice,
        load_standing,
        load_student,
        open_archive,
        read_settings,
    )
    from putt_posture.cli.archive.practice import practice_as_plain, show_practice
    from putt_posture.cli.archive.words import as_plain, print_json, say_age, say_body, show_consents
    from putt_posture.cli.table import open_console, show_bullet

    today = date.today()
    with open_archive(archive, files=files, make=False) as opened:
        student = load_student(opened, number)
        permission = load_permission(opened, number)
        lessons = load_lessons(opened, number, today=today)
        shown = permission.showing(today) != "nothing"
        practice = load_practice(opened, number, today=today) if shown else ()
        standing = load_standing(opened, number, today=today)
        settings = read_settings(opened)
    grown_at = settings.grown_at_years
    withheld = permission.say_withheld(today, pictures=any(each.has_pictures for each in lessons))
    if not shown and not lessons and not permission.consents:
        withheld = ()  # nobody was asked yet
    if as_json:
        document: dict[str, Any] = as_plain(student)
        document["minor"] = is_minor(today, born=student.born, adult=student.adult, grown_at=grown_at)
        document["consents"] = [
            {**as_plain(each), "counts_today": permission.counts(each, day=today, use="keeping")}
            for each in permission.consents
        ]
        document["consents_that_do_not_count"] = permission.doubts(today)
        document["withheld"] = withheld if lessons else ()
        document["lessons"] = lessons
        document["practice_tests"] = practice_as_plain(practice)
        document["due_on"] = standing and standing.due_on
        document["went_back"] = standing.drifts if standing else ()
        print_json(document)
        return
    console = open_console(sys.stdout)
    console.print(f"Student {number}: {student.name}")
    console.print(say_body(student))
    console.print(say_age(student, today=today, grown_at=grown_at))
    console.print(f"Enrolled {student.since}")
    if student.notes:
        console.print(student.notes)
    show_consents(permission, today=today, console=console)
    for each in withheld:
        show_bullet(each, console=console)
    _show_lessons(lessons, console=console)
    if practice:
        console.print("\nPractice tests")
        show_practice(practice, console=console)
    last = max([student.since, *(each.day for each in lessons), *(each.day for each in practice)])
    keep_until = student.keep_until or settings.student_until(last)
    _show_due(standing, lessons, settings, keep_until=keep_until, today=today, console=console)


def _show_lessons(lessons: tuple[FiledLesson, ...], *, console: Console) -> None:
    from putt_posture.cli.table import new_table, show_bullet
    from putt_posture.figures import count_of, format_length

    if not lessons:
        console.print("No lesson is filed.")
        return
    table = new_table()
    for title in ("Lesson", "Day", "Moment", "Putter", "Kept", "Place and coach"):
        table.add_column(title, justify="right" if title == "Lesson" else "left", no_wrap=title != "Place and coach")
    for each in lessons:
        kept = [count_of(each.clips, "clip")] * (each.clips > 0) + ["pictures"] * each.has_pictures
        putter = "" if each.putter_length_cm is None else format_length(each.putter_length_cm)
        where = ", ".join(filter(None, (each.told.place, each.told.coach)))
        table.add_row(str(each.number), str(each.day), each.moment, putter, ", ".join(kept) or "numbers", where)
    console.print(table)
    titles = {"misses": "misses", "putter_story": "putter", "limits": "pain or limits", "notes": "notes"}
    for each in lessons:
        for name, title in titles.items():
            if text := getattr(each.told, name):
                show_bullet(f"Lesson {each.number}, {title}: {text}", console=console)
    if any(each.told.limits for each in lessons):
        show_bullet(
            "What is written on pain or limits is what the student said, no medical finding. Pain that stays is for a "
            "clinician.",
            console=console,
        )


def _show_due(
    standing: OverviewLine | None,
    lessons: tuple[FiledLesson, ...],
    settings: Settings,
    *,
    keep_until: date,
    today: date,
    console: Console,
) -> None:
    from putt_posture.cli.archive.words import say_distance, say_drifts
    from putt_posture.cli.table import show_bullet

    console.print("\nDue")
    if standing is not None:
        show_bullet(f"Next visit {standing.due_on} ({say_distance(standing.due_on, today=today)})", console=console)
    for each in say_drifts(standing):
        show_bullet(each, console=console)
    pictured = [each.day for each in lessons if each.has_pictures]
    if pictured:
        show_bullet(f"Oldest pictures are kept until {settings.pictures_until(min(pictured))}", console=console)
    show_bullet(f"The student is kept until {keep_until}", console=console)
