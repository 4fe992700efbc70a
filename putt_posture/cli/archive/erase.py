"""``putt-posture archive erase``, ``erase-lesson`` and ``erasures``: what is erased for good, after a question."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date

import click

from putt_posture.cli.command import command
from putt_posture.cli.shared_options import archive_options, json_option, number_argument
from putt_posture.cli.stopping import say_when_stopped
from putt_posture.errors import UsageError

__all__ = ["ask_for", "confirm", "erase", "erase_lesson", "erasures", "yes_option"]

yes_option = click.option("--yes", is_flag=True, help="Do not ask first.")


def confirm(question: str, *, yes: bool) -> None:
    """Ask a question that needs a yes to go on.

    Raises
    ------
    UsageError
        If there is no terminal to ask on.
    click.Abort
        If the answer is no, or Ctrl-C.
    """
    if yes:
        return
    _check_terminal()
    with _on_a_new_line():
        agreed = click.confirm(question, err=True)
    if not agreed:
        raise click.Abort


def ask_for(question: str) -> str:
    """Ask for something to be typed before going on.

    Raises
    ------
    UsageError
        If there is no terminal to ask on.
    click.Abort
        At Ctrl-C.
    """
    _check_terminal()
    with _on_a_new_line():
        typed: str = click.prompt(question, err=True)
    return typed


@command(short_help="Erase a student for good.")
@number_argument()
@click.option(
    "--reason", required=True, metavar="TEXT", help="Why, for the record of erasures, which keeps it; without a name."
)
@yes_option
@archive_options
def erase(*, number: int, reason: str, yes: bool, archive: str | None, files: str | None) -> None:
    """Erase the student NUMBER for good, with all rows, clips and stills. The name must be typed first.

    The record of erasures keeps the day and the reason, but no name.
    """
    from putt_posture.archive import load_lessons, load_student, open_archive
    from putt_posture.cli.archive.words import WHEN_STOPPED
    from putt_posture.cli.table import open_console
    from putt_posture.figures import count_of
    from putt_posture.services import check_reason
    from putt_posture.services import erase as erase_for_good
    from putt_posture.services.sentences import IN_BACKUPS, say_erased

    console = open_console(sys.stdout)
    with open_archive(archive, files=files, make=False) as opened:
        name = load_student(opened, number).name
        check_reason(opened, number, reason)
        lessons = len(load_lessons(opened, number))
        typed = None
        if not yes:
            typed = ask_for(f"This erases {name} with {count_of(lessons, 'lesson')} for good. To go on, type the name")
        with say_when_stopped(WHEN_STOPPED):
            erased = erase_for_good(opened, number, typed_name=typed, reason=reason, today=date.today())
    console.print(f"Erased: {say_erased(erased)}.")
    console.print(IN_BACKUPS)


@command("erase-lesson", short_help="Erase one lesson for good.")
@number_argument("lesson")
@yes_option
@archive_options
def erase_lesson(*, lesson: int, yes: bool, archive: str | None, files: str | None) -> None:
    """Erase the lesson LESSON for good, with its numbers, clips and pictures. The student stays."""
    from putt_posture.archive import erase_lesson as erase
    from putt_posture.archive import load_lesson, load_student, open_archive
    from putt_posture.cli.archive.words import WHEN_STOPPED
    from putt_posture.cli.table import open_console
    from putt_posture.services.sentences import IN_BACKUPS, say_erased

    with open_archive(archive, files=files, make=False) as opened:
        found = load_lesson(opened, lesson)
        name = load_student(opened, found.student).name
        confirm(f"Erase lesson {lesson} of {found.day}, of {name}, for good?", yes=yes)
        with say_when_stopped(WHEN_STOPPED):
            erased = erase(opened, lesson)
    console = open_console(sys.stdout)
    console.print(f"Erased: {say_erased(erased)}.")
    console.print(IN_BACKUPS)


@command(short_help="Show the record of erasures.")
@json_option
@archive_options
def erasures(*, as_json: bool, archive: str | None, files: str | None) -> None:
    """Show that students were erased, when and why. Who they were is not kept."""
    from putt_posture.archive import load_erasures, open_archive
    from putt_posture.cli.archive.words import print_json
    from putt_posture.cli.table import new_table, open_console

    with open_archive(archive, files=files, make=False) as opened:
        found = load_erasures(opened)
    if as_json:
        names = ("day", "lessons", "files", "reason")
        print_json({"erasures": [dict(zip(names, each, strict=True)) for each in found]})
        return
    console = open_console(sys.stdout)
    if not found:
        console.print("No student was erased here.")
        return
    table = new_table()
    for title in ("Day", "Lessons", "Files", "Reason"):
        table.add_column(title, justify="right" if title in ("Lessons", "Files") else "left", no_wrap=title != "Reason")
    for day, lessons, gone, reason in found:
        table.add_row(str(day), str(lessons), str(gone), reason)
    console.print(table)


@contextmanager
def _on_a_new_line() -> Iterator[None]:
    """End the line of a question that was left with Ctrl-C."""
    try:
        yield
    except click.Abort:
        click.echo(err=True)
        raise


def _check_terminal() -> None:
    if not sys.stdin.isatty():
        raise UsageError("This must be confirmed, and there is no terminal to ask on. Add --yes. Nothing was erased.")
