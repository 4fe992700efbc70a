"""Templates of the page, in its language; text that is shown in the coach's unit; messages for the coach.

The templates of `pages` are found too. They extend ``base.html.jinja``, which is here that of the lesson page, so that
a report, a comparison and a history are shown by one template in their files and on the page.

Every text that a person reads goes through the catalogue: ``_("…")`` in templates, `translate` in Python. A text
without an entry is shown in English.
"""

import gettext
from collections.abc import Callable, Mapping
from functools import cache
from importlib import resources
from typing import Any, Final

from jinja2 import ChoiceLoader, Environment, PackageLoader, StrictUndefined, pass_context
from jinja2.runtime import Context
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse

from putt_posture.drawing.colours import PART_COLOURS, PART_TITLES
from putt_posture.pages.setting import say_in_place
from putt_posture.server.phrases import in_page_words, texts_in_page_words
from putt_posture.server.state import state_of

__all__ = [
    "CONTRAST_COOKIE",
    "LANGUAGES",
    "answer_json",
    "render",
    "render_part",
    "translate",
    "translations",
    "wants_json",
]

LANGUAGES: Final = {"en": "English", "de": "Deutsch"}
"""The languages of the page, by ISO 639-1, each in its own words."""
CONTRAST_COOKIE: Final = "putt_posture_contrast"
"""Set to "high" by a browser that is used in bright sun; each browser has its own."""


def render(request: Request, template: str, *, status: int = 200, **data: Any) -> HTMLResponse:
    """Return a page.

    Parameters
    ----------
    request : Request
    template : str
        Name of a file in ``templates/``.
    status : int
    **data : Any
        What the template shows. Every text in it is shown as it is, never read as markup.
    """
    return HTMLResponse(render_part(request, template, **data), status_code=status)


def render_part(request: Request, template: str, **data: Any) -> str:
    """Return a part of a page as HTML, for a script that puts it in its place.

    Parameters
    ----------
    request : Request
    template : str
    **data : Any
        As for `render`.
    """
    language = state_of(request).language
    given = {
        "language": language,
        "contrast": "high" if request.cookies.get(CONTRAST_COOKIE) == "high" else "",
        "session": request.scope.get("session"),
        "path": request.url.path,
    } | data
    return _environment(language).get_template(template).render(given)


def answer_json(
    request: Request, said: Any, *, status: int = 200, headers: Mapping[str, str] | None = None
) -> JSONResponse:
    """Return an answer for a script, its texts in the words of the page.

    Parameters
    ----------
    request : Request
    said : Any
        What can be written as JSON.
    status : int
    headers : mapping of str to str, optional
    """
    return JSONResponse(texts_in_page_words(said, translate(request)), status_code=status, headers=headers)


def translate(request: Request) -> Callable[[str], str]:
    """Return the function that puts a text into the language of the page.

    Parameters
    ----------
    request : Request
    """
    return translations(state_of(request).language).gettext


@cache
def translations(language: str) -> gettext.NullTranslations:
    """Return the catalogue of a language; that of English is empty.

    Parameters
    ----------
    language : str
    """
    catalogue = resources.files("putt_posture.server").joinpath("languages", f"{language}.mo")
    if language == "en" or not catalogue.is_file():
        return gettext.NullTranslations()
    with catalogue.open("rb") as file:
        return gettext.GNUTranslations(file)


def wants_json(request: Request) -> bool:
    """Whether a script asks, which sets ``accept: application/json``, and not a browser for a page.

    Parameters
    ----------
    request : Request
    """
    return "application/json" in request.headers.get("accept", "")


def stylesheet() -> str:
    """Return the stylesheet of all pages of the project, for the page to build on."""
    source = Environment(loader=PackageLoader("putt_posture.pages", "templates"), autoescape=False)
    return source.get_template("style.css.jinja").render(colours=PART_COLOURS)


def _say_in_words(say: Callable[[str], str]) -> Callable[[Context, Any], Any]:
    @pass_context
    def say_here(context: Context, value: Any) -> Any:
        """Return what is set at one place of a template, in the words of the page; pictures and markup stay."""
        is_text = isinstance(value, str) and not isinstance(value, Markup)
        return say_in_place(context, in_page_words(value, say) if is_text else value)

    return say_here


@cache
def _environment(language: str) -> Environment:
    made = Environment(
        loader=ChoiceLoader([PackageLoader(f"putt_posture.{room}", "templates") for room in ("server", "pages")]),
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True, auto_reload=False,
        extensions=["jinja2.ext.i18n"], finalize=_say_in_words(translations(language).gettext),
    )  # fmt: skip
    made.globals.update(colours=PART_COLOURS, part_titles=PART_TITLES)
    made.install_gettext_translations(translations(language), newstyle=True)  # type: ignore[attr-defined]
    return made
