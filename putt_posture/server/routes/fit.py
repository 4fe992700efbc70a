"""The fit as a conversation: the wanted setup and the putter on sliders, the ghost on the student's own still.

Each address is there twice: for the draft at hand, and for a filed lesson. What is set stands in the address, so that
a page can be loaded again, printed, and opened beside another.
"""

import hashlib
from collections.abc import Callable, Iterable, Mapping
from typing import Any, Final
from urllib.parse import parse_qsl

from attrs import frozen
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import BaseRoute, Route

from putt_posture.archive import load_lesson, open_lesson
from putt_posture.documents import DOCUMENT
from putt_posture.drawing.ghost import GhostLines
from putt_posture.errors import UsageError
from putt_posture.pages.club_spec import spec_sheet_as_html, spec_sheet_as_pdf
from putt_posture.pages.held_putter import write_cost, write_suggestion
from putt_posture.pages.setting import as_uri
from putt_posture.records import KeptLesson, read_result_folder
from putt_posture.server.fit_sliders import PUTTER, WANTED, SliderState, list_sliders, read_sliders
from putt_posture.server.forms import Typed, with_form
from putt_posture.server.rendering import answer_json, render, render_part, translate
from putt_posture.server.state import ServerState, state_of
from putt_posture.services import OpenFit, TriedFit, keep_wanted_in_archive, keep_wanted_in_folder, open_fit
from putt_posture.shown_units import length_in_shown_unit, say_in_shown_unit, shown_length_unit
from putt_posture.values import Point

__all__ = ["ROUTES"]

_BY_FIT: Final = "by_fit"
"""Field of the sliders that are left to the fit, in a page without scripts."""


@frozen(kw_only=True)
class _Place:
    """The lesson of an address.

    Attributes
    ----------
    base : str
        The address of its fit.
    opened : OpenFit
    draft : object or None
        The draft at hand; None for a filed lesson.
    number : int or None
        Of a filed lesson.
    """

    base: str
    opened: OpenFit
    draft: Any = None
    number: int | None = None


def show(request: Request) -> Response:
    """Show the page.

    Parameters
    ----------
    request : Request
    """
    place = _open(request)
    tried, wrong = _try(place.opened, _asked(request))
    wanted, putter = list_sliders(tried)
    return render(
        request,
        "fit.html.jinja",
        status=400 if wrong else 200,
        place=place,
        student=place.opened.lesson.student,
        wanted=wanted,
        putter=putter,
        answer=_answer(request, place.opened, tried, (*wanted, *putter)),
        crop=place.opened.crop,
        box=None if place.opened.crop is None else _as_view_box(place.opened.crop.box_px),
        query=request.url.query,
        wrong=wrong,
        kept="kept" in request.query_params,
    )


def answer(request: Request) -> Response:
    """Return what follows from the sliders as they stand now, as JSON.

    Parameters
    ----------
    request : Request
    """
    opened = _open(request).opened
    tried = opened.try_out(*read_sliders(_asked(request), before=opened.wanted))
    states = [state for part in list_sliders(tried) for state in part]
    return answer_json(request, _answer(request, opened, tried, states))


def curves(request: Request) -> Response:
    """Return how the setup changes with the length of the putter, as JSON: the chart, and its numbers to read off.

    Parameters
    ----------
    request : Request
    """
    opened, _ = _open(request).opened, translate(request)
    wanted, _chosen = read_sliders(_asked(request), before=opened.wanted)
    found = opened.draw_curves(wanted, unit=shown_length_unit())
    if found is None:
        return answer_json(request, {"chart": None, "says": _("No putter can be tried for this setup."), "stops": []})
    chart, says = found
    return answer_json(
        request,
        {
            "chart": as_uri(chart.svg.encode("utf-8")),
            "says": say_in_shown_unit(says),
            "stops": [
                {
                    "value": round(length_in_shown_unit(stop.length_cm, "cm")[0], 2),
                    "x": stop.points[0].x,
                    "y": [point.y for point in stop.points],
                    "says": f"{stop.says}: {say_in_shown_unit('; '.join(point.says for point in stop.points))}",
                }
                for stop in chart.stops
            ],
        },
    )


def still(request: Request) -> Response:
    """Return the picture under the ghost.

    Parameters
    ----------
    request : Request
    """
    picture = _open(request).opened.still
    if picture is None:
        raise UsageError("No picture was kept of this lesson.")
    return Response(picture, media_type="image/jpeg")


def show_spec(request: Request) -> Response:
    """Show the spec sheet, to look at and print.

    Parameters
    ----------
    request : Request
    """
    place, sheet = _sheet(request)
    return render(
        request, "fit_spec_sheet.html.jinja", sheet=sheet, place=place, query=request.url.query,
    )  # fmt: skip


def download_html(request: Request) -> Response:
    """Return the spec sheet as one HTML file.

    Parameters
    ----------
    request : Request
    """
    _, sheet = _sheet(request)
    return _as_download(spec_sheet_as_html(sheet), "spec_sheet.html", "text/html; charset=utf-8")


def download_pdf(request: Request) -> Response:
    """Return the spec sheet as a PDF.

    Parameters
    ----------
    request : Request
    """
    state, (_, sheet) = state_of(request), _sheet(request)
    made = spec_sheet_as_pdf(sheet, made_on=state.today(), paper=state.paper)
    return _as_download(made, "spec_sheet.pdf", "application/pdf")


def keep(request: Request, typed: Typed) -> Response:
    """Keep the wanted setup with the lesson, so that its report and spec sheet follow it.

    Parameters
    ----------
    request : Request
    typed : Typed
    """
    state, place = state_of(request), _open(request)
    asked = _leave_to_fit(parse_qsl(typed.text("asked"), keep_blank_values=True))
    wanted, _ = read_sliders(asked, before=place.opened.wanted)
    if place.draft is not None:
        folder = state.drafts.result_folder(place.draft.id)
        keep_wanted_in_folder(folder, wanted, made_on=state.today(), paper=state.paper)
        return RedirectResponse(f"{place.base}?kept=yes", status_code=303)
    assert place.number is not None
    with state.open_archive() as archive:
        made = keep_wanted_in_archive(archive, place.number, wanted, today=state.today(), paper=state.paper)
    return RedirectResponse(f"/filed/{made.filed or made.lesson}/fit?kept=yes", status_code=303)


def _open(request: Request) -> _Place:
    state = state_of(request)
    if (id := request.path_params.get("draft")) is not None:
        draft = state.drafts.load(id)
        folder = state.drafts.result_folder(id)
        if not folder.is_dir():
            raise UsageError("This lesson was not measured yet. Measure its clips first.")
        opened = _find_open(state, f"draft {id}", read_result_folder(folder))
        return _Place(base=f"/lessons/{id}/fit", opened=opened, draft=draft)
    number = request.path_params["lesson"]
    with state.open_archive() as archive:
        load_lesson(archive, number)
        opened = _find_open(state, f"filed {number}", open_lesson(archive, number, today=state.today()))
    return _Place(base=f"/filed/{number}/fit", opened=opened, number=number)


def _find_open(state: ServerState, name: str, kept: KeptLesson) -> OpenFit:
    """Return a lesson that is open as it may be shown now, or open it."""
    stamp = hashlib.sha256(kept.read(DOCUMENT) + repr(sorted(kept.names)).encode()).hexdigest()
    with state.fits.use((name, stamp), lambda: open_fit(kept)) as opened:
        return opened


def _asked(request: Request) -> dict[str, str]:
    return _leave_to_fit(request.query_params.multi_items())


def _leave_to_fit(pairs: Iterable[tuple[str, str]]) -> dict[str, str]:
    """Return what was set by name; what is left to the fit is empty."""
    pairs = list(pairs)
    left = {value for name, value in pairs if name == _BY_FIT}
    names = {slider.name for slider in (*WANTED, *PUTTER)}
    return {name: "" if name in left else value for name, value in pairs if name in names}


def _try(opened: OpenFit, asked: Mapping[str, str]) -> tuple[TriedFit, str]:
    """Try what was set; where it cannot be, the lesson's own setup, and the sentence that says why."""
    try:
        return opened.try_out(*read_sliders(asked, before=opened.wanted)), ""
    except UsageError as error:
        return opened.try_out(opened.wanted), str(error)


def _sheet(request: Request) -> tuple[_Place, Any]:
    place = _open(request)
    tried = place.opened.try_out(*read_sliders(_asked(request), before=place.opened.wanted))
    return place, place.opened.write_spec_sheet(tried, made_on=state_of(request).today())


def _answer(request: Request, opened: OpenFit, tried: TriedFit, states: Iterable[SliderState]) -> dict[str, Any]:
    fit, cost = tried.body.fit, write_cost(opened.lesson, tried.body.fit, tried.held)
    suggestion = write_suggestion(fit)
    given = {
        "tried": tried,
        "fit": fit,
        "suggestion": suggestion,
        "cost": cost,
        "sheet": opened.write_spec_sheet(tried, made_on=state_of(request).today()),
    }
    return {
        "says": say_in_shown_unit(" ".join(filter(None, (suggestion, cost.says)))),
        "sliders": {
            each.slider.name: {
                "value": each.value,
                "says": say_in_shown_unit(each.says),
                "by_fit": each.by_fit,
            }
            for each in states
        },
        "ghost": None if tried.ghost is None else _as_shapes(tried.ghost),
        "html": render_part(request, "fit_answer.html.jinja", **given),
    }


def _as_shapes(ghost: GhostLines) -> dict[str, Any]:
    """Return the ghost as attributes of SVG."""
    return {
        "body": "".join(f"M{' '.join(_place(point) for point in line)}Z" for line in ghost.outlines),
        "shaft": _line(ghost.putter),
        "head": _line(ghost.head),
        "ball": {
            "cx": _number(ghost.ball[0]),
            "cy": _number(ghost.ball[1]),
            "r": _number(ghost.ball_radius_px),
        },
    }


def _as_view_box(box_px: tuple[int, int, int, int]) -> str:
    left, top, right, bottom = box_px
    return f"{left} {top} {right - left} {bottom - top}"


def _line(ends: tuple[Point, Point]) -> dict[str, str]:
    (x1, y1), (x2, y2) = ends
    return {"x1": _number(x1), "y1": _number(y1), "x2": _number(x2), "y2": _number(y2)}


def _place(point: Point) -> str:
    return f"{_number(point[0])},{_number(point[1])}"


def _number(value: float) -> str:
    return f"{value:.2f}"


def _as_download(content: str | bytes, name: str, kind: str) -> Response:
    return Response(content, media_type=kind, headers={"content-disposition": f'attachment; filename="{name}"'})


def _twice(path: str, endpoint: Callable[..., Any], **more: Any) -> tuple[BaseRoute, ...]:
    return (
        Route(f"/lessons/{{draft}}/fit{path}", endpoint, **more),
        Route(f"/filed/{{lesson:int}}/fit{path}", endpoint, **more),
    )


ROUTES: Final[tuple[BaseRoute, ...]] = (
    *_twice("", show),
    *_twice("/answer", answer),
    *_twice("/curves", curves),
    *_twice("/still.jpg", still),
    *_twice("/spec", show_spec),
    *_twice("/spec_sheet.html", download_html),
    *_twice("/spec_sheet.pdf", download_pdf),
    *_twice("/keep", with_form(keep), methods=["POST"]),
)
