"""Over time: before and after, a student's history, practice tests, who is due."""

from collections.abc import Callable, Mapping
from typing import Any, Final

import attrs
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from putt_posture.archive import (
    add_practice_test,
    find_coming_of_age,
    load_overview,
    load_student,
    remove_practice_test,
)
from putt_posture.errors import UsageError
from putt_posture.figures import format_day, format_putt
from putt_posture.measures import MEASURES
from putt_posture.pages.history import history_as_pdf
from putt_posture.pages.history_answer import CHANCE_OF_BACK
from putt_posture.pages.practice import format_spread
from putt_posture.pages.setting import SLIDER_SCRIPT, as_uri
from putt_posture.practice import read_practice
from putt_posture.server.forms import Typed, with_form
from putt_posture.server.rendering import render, translate
from putt_posture.server.state import state_of
from putt_posture.services import lay_out_comparison, lay_out_student_history, load_summary
from putt_posture.services.sentences import say_distance
from putt_posture.units import read_day
from putt_posture.values import PracticeTest, PuttCount

__all__ = ["ROUTES", "TEST_LENGTHS_CM"]

TEST_LENGTHS_CM: Final = (90.0, 150.0, 300.0, 460.0, 610.0, 760.0)
"""Six putts from each: the putting test of Robertson and others 2015 (Eur. J. Sport Sci. 15:123; secondary)."""
PUTTS_EACH: Final = 6
_MOST_LINES: Final = 200
_MOST_WEEKS: Final = 52


def history(request: Request) -> Response:
    """Show a student's history.

    Parameters
    ----------
    request : Request
    """
    state, number = state_of(request), request.path_params["number"]
    with state.open_archive() as archive:
        laid = lay_out_student_history(archive, number, today=state.today())
    return render(
        request,
        "history_page.html.jinja",
        number=number,
        page=laid.page,
        pictures={name: as_uri(svg.encode("utf-8")) for name, svg in laid.charts.items()},
        points={chart.file: [attrs.asdict(each) for each in chart.points] for chart in laid.drawn},
    )


def history_pdf(request: Request) -> Response:
    """Give a student's history out as a PDF.

    Parameters
    ----------
    request : Request
    """
    state, number = state_of(request), request.path_params["number"]
    with state.open_archive() as archive:
        laid = lay_out_student_history(archive, number, today=state.today())
    made = history_as_pdf(laid.page, charts=laid.charts, made_on=state.today())
    headers = {"content-disposition": f'attachment; filename="history-{number}.pdf"'}
    return Response(made, media_type="application/pdf", headers=headers)


def compare(request: Request) -> Response:
    """Show two lessons of a student side by side, or let the coach choose two.

    Parameters
    ----------
    request : Request
    """
    state, number = state_of(request), request.path_params["number"]
    with state.open_archive() as archive:
        found = load_summary(archive, number, today=state.today())
        chosen = [_number(request, name) for name in ("before", "after")]
        if None in chosen:
            lessons = [(each.number, f"{format_day(each.day)}, {each.moment}") for each in found.lessons]
            suggested = [each for each, _title in (lessons[0], lessons[-1])] if len(lessons) > 1 else []
            return render(
                request, "compare_choose.html.jinja", student=found.student, lessons=lessons, suggested=suggested,
                withheld=found.withheld,
            )  # fmt: skip
        before, after = (each or 0 for each in chosen)
        mine = {each.number for each in found.lessons}
        if strange := [each for each in (before, after) if each not in mine]:
            raise UsageError(f"Lesson {strange[0]} is not one of {found.student.name}. Choose two of theirs.")
        laid = lay_out_comparison(before, after, today=state.today(), archive=archive)
    return render(
        request,
        "compare_page.html.jinja",
        number=number,
        report=laid.report,
        pictures={name: as_uri(picture) for name, picture in laid.pictures.items()},
        script=Markup(SLIDER_SCRIPT),
        before=before,
        after=after,
        in_step=_texts_in_step(translate(request)),
    )


def _texts_in_step(_: Callable[[str], str]) -> dict[str, str]:
    """Return the texts that the script of clips in step shows."""
    return {
        "loading": _("The clips are being made ready …"),
        "none": _("Of these two lessons no clips of one view are kept that may be shown, or no stroke was measured."),
        "lost": _("The program on the computer cannot be reached. Nothing is lost: try again when it runs."),
        "before": _("Before"),
        "after": _("After"),
        "play": _("Play"),
        "pause": _("Pause"),
        "half": _("Half speed"),
        "full": _("Full speed"),
        "scrub": _("Time in both clips"),
        "at": _("{time} s"),
    }


def practice(request: Request) -> Response:
    """Show the practice tests of a student, and the sheet for a new one.

    Parameters
    ----------
    request : Request
    """
    return _show_practice(request, Typed.filled({"day": state_of(request).today().isoformat()}))


def add_practice(request: Request, typed: Typed) -> Response:
    """Store a practice test that was typed in.

    Parameters
    ----------
    request : Request
    typed : Typed
        ``holed-N`` and ``tried-N`` for each length, ``day`` and ``note``.
    """
    state, number = state_of(request), request.path_params["number"]
    day = typed.read("day", read_day, needed="The day is missing. Give the day of the test.")
    counts = []
    for place, length_cm in enumerate(TEST_LENGTHS_CM):
        holed, tried = (typed.read(f"{what}-{place}", _count) or 0 for what in ("holed", "tried"))
        if holed or tried:
            counts.append(typed.check(f"tried-{place}", PuttCount, distance_cm=length_cm, tried=tried, holed=holed))
    if typed and not counts:
        typed.errors[""] = "No putt was counted. Tap what was holed and what was missed, then keep the test."
    if not typed or day is None:
        return _show_practice(request, typed, status=400)
    with state.open_archive() as archive:
        kept = [each for each in counts if each is not None]
        add_practice_test(archive, number, day=day, counts=kept, today=state.today(), note=typed.text("note"))
    return RedirectResponse(f"/students/{number}/practice#tests", status_code=303)


def remove_practice(request: Request, _typed: Typed) -> Response:
    """Remove a practice test.

    Parameters
    ----------
    request : Request
    _typed : Typed
        Nothing is typed.
    """
    state, number = state_of(request), request.path_params["number"]
    with state.open_archive() as archive:
        remove_practice_test(archive, request.path_params["test"], student=number)
    return RedirectResponse(f"/students/{number}/practice", status_code=303)


def overview(request: Request) -> Response:
    """Show who is due, whose setup went back, who came last, and who comes of age.

    Parameters
    ----------
    request : Request
    """
    state = state_of(request)
    weeks = min(_number(request, "weeks") or 0, _MOST_WEEKS)
    with state.open_archive() as archive:
        found = load_overview(archive, today=state.today(), most=_MOST_LINES, within_days=7 * weeks)
        of_age = find_coming_of_age(archive, today=state.today(), within_days=7 * weeks, most=_MOST_LINES)
    return render(
        request,
        "overview.html.jinja",
        overview=found,
        due={line.number: say_distance(line.due_on, today=found.today) for line in (*found.due, *found.drifted)},
        back={line.number: [MEASURES[name].title for name in line.drifts] for line in found.drifted},
        chance=CHANCE_OF_BACK,
        of_age=of_age,
        weeks=weeks,
    )


def _show_practice(request: Request, typed: Typed, *, status: int = 200) -> Response:
    state, number = state_of(request), request.path_params["number"]
    with state.open_archive() as archive:
        student = load_student(archive, number)
        found = load_summary(archive, number, today=state.today())
    return render(
        request,
        "practice.html.jinja",
        status=status,
        student=student,
        typed=typed,
        lengths=[format_putt(each) for each in TEST_LENGTHS_CM],
        putts_each=PUTTS_EACH,
        tests=[_say_test(each) for each in reversed(found.practice)],
        withheld=found.withheld,
        tests_say=found.tests_say,
    )


def _say_test(test: PracticeTest) -> Mapping[str, Any]:
    result = read_practice(test)
    return {
        "number": test.number,
        "day": format_day(test.day),
        "note": test.note,
        "shares": [
            {
                "putt": format_putt(each.distance_cm),
                "holed": f"{each.holed} of {each.tried}",
                "share": f"{each.share:.0%} ({each.low:.0%} to {each.high:.0%})",
            }
            for each in result.shares
        ],
        "spread": f"{format_spread(result.spread) if result.spread is not None else result.why_not} {result.misfit}",
    }


def _count(text: str) -> int:
    if not text.isascii() or not text.isdigit() or len(text) > 3:
        raise UsageError(f"{text!r} is not a number of putts. Type a whole number from 0 to 999.")
    return int(text)


def _number(request: Request, name: str) -> int | None:
    said = request.query_params.get(name, "")
    return int(said) if said.isascii() and said.isdigit() and len(said) < 10 else None


ROUTES: Final = (
    Route("/overview", overview),
    Route("/students/{number:int}/history", history),
    Route("/students/{number:int}/history.pdf", history_pdf),
    Route("/students/{number:int}/compare", compare),
    Route("/students/{number:int}/practice", practice),
    Route("/students/{number:int}/practice", with_form(add_practice), methods=["POST"]),
    Route("/students/{number:int}/practice/{test:int}/remove", with_form(remove_practice), methods=["POST"]),
)
