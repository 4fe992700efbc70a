"""Pages and drawings of a stored lesson: only the few tags that the program itself writes, and nothing that acts.

What is taken is a strict subset of HTML and SVG, in which every ``<`` begins a known tag, every attribute is a known
one between double quotes, and nothing points outside of the file. No browser can read anything else in it, however it
mends broken markup.
"""

import re
from collections.abc import Iterator, Mapping
from typing import Final, NoReturn

from putt_posture.errors import UsageError

__all__ = ["check_drawing", "check_page"]

_POLICY: Final = "default-src 'none'; img-src data:; style-src 'unsafe-inline'"
"""The content security policy of every page that the program writes: nothing is run, nothing is fetched."""

_COMMON: Final = frozenset({"class", "id"})
_PAGE_TAGS: Final[Mapping[str, frozenset[str]]] = {
    **dict.fromkeys(
        (
            "article", "body", "dd", "dl", "dt", "figcaption", "figure", "h1", "h2", "h3", "head", "header", "li",
            "main", "p", "section", "small", "span", "strong", "style", "summary", "table", "tbody", "td", "thead",
            "title", "tr", "ul", "div",
        ),
        _COMMON | {"aria-label", "dir"},
    ),
    "a": frozenset({"href"}),
    "details": _COMMON | {"open"},
    "html": frozenset({"lang"}),
    "img": frozenset({"src", "alt"}),
    "meta": frozenset({"charset", "name", "content", "http-equiv"}),
    "th": frozenset({"scope"}),
}  # fmt: skip
_METAS: Final = (
    {"charset": "utf-8"},
    {"name": "viewport", "content": "width=device-width, initial-scale=1"},
    {"http-equiv": "Content-Security-Policy", "content": _POLICY},
    {"name": "referrer", "content": "no-referrer"},
)
"""What stands at the head of a page, in this order, before anything else could be read."""

_SHAPE: Final = frozenset({"id", "style", "transform", "clip-path", "d", "x", "y", "width", "height"})
_NAMES: Final = frozenset({"xmlns", "xmlns:xlink", "xmlns:dc", "xmlns:cc", "xmlns:rdf"})
_DRAWING_TAGS: Final[Mapping[str, frozenset[str]]] = {
    **dict.fromkeys(("g", "path", "rect", "clipPath", "defs"), _SHAPE),
    **dict.fromkeys(("metadata", "rdf:RDF", "cc:Work", "dc:format"), _NAMES),
    "dc:type": frozenset({"rdf:resource"}),
    "style": frozenset({"type"}),
    "svg": _NAMES | {"width", "height", "viewBox", "version"},
    "use": _SHAPE | {"xlink:href"},
}
_DRAWING_START: Final = re.compile(
    r'<\?xml version="1\.0" encoding="utf-8" standalone="no"\?>\s*<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1\.1//EN"\s+'
    r'"http://www\.w3\.org/Graphics/SVG/1\.1/DTD/svg11\.dtd">\s*(?=<svg )'
)
_COMMENT: Final = re.compile(r"<!--[^<>]*?-->")
_PAGE_START: Final = re.compile(r"<!doctype html>\s*(?=<html)")
_TAG: Final = re.compile(r'<(/?)([A-Za-z][A-Za-z0-9:]*)((?:\s+[A-Za-z:-]+(?:="[^"<>]*")?)*)\s*(/?)>')
_ATTRIBUTE: Final = re.compile(r'([A-Za-z:-]+)(?:="([^"<>]*)")?')
_STYLE_END: Final = "</style>"
_FETCHES: Final = re.compile(r"url|import|image|src|expression|behaviou?r|binding|[\\<@](?!media )", re.IGNORECASE)
"""What in a style sheet could fetch or run something; ``@media`` is the one rule with an @ that is known."""
_OWN_CLIP: Final = re.compile(r"url\(#[A-Za-z0-9_-]+\)")
_OWN_PLACE: Final = re.compile(r"#[A-Za-z0-9_.-]*")
_OWN_PICTURE: Final = re.compile(r"data:image/(?:jpeg|svg\+xml);base64,[A-Za-z0-9+/]*={0,2}")
_SHOWN: Final = 40
"""Letters of what was found that are quoted in a message."""


def check_page(text: str, *, name: str, where: str) -> list[str]:
    """Check a page and return the data URIs of its pictures, which are for the caller to look into.

    Parameters
    ----------
    text : str
    name : str
        Of the file.
    where : str
        What holds it, for the message.

    Raises
    ------
    UsageError
        If anything is in it that the program does not write.
    """
    place = f"{name} of {where}"
    start = _PAGE_START.match(text)
    if start is None:
        _refuse(place, text[:_SHOWN])
    pictures: list[str] = []
    metas: list[dict[str, str]] = []
    for tag, attributes in _tags(text, start.end(), allowed=_PAGE_TAGS, place=place):
        if tag == "meta":
            metas.append(attributes)
        elif metas != [*_METAS] and tag not in ("html", "head"):
            _refuse(place, f"<{tag}> before the four <meta> of the program")
        if not _OWN_PLACE.fullmatch(attributes.get("href", "#")):
            _refuse(place, attributes["href"])
        if "src" in attributes:
            if not _OWN_PICTURE.fullmatch(attributes["src"]):
                _refuse(place, attributes["src"])
            pictures.append(attributes["src"])
    if metas != [*_METAS]:
        _refuse(place, "no policy that keeps scripts out")
    return pictures


def check_drawing(text: str, *, name: str, where: str) -> None:
    """Check a chart in SVG.

    Parameters
    ----------
    text, name, where
        As for `check_page`.

    Raises
    ------
    UsageError
        If anything is in it that the program does not write.
    """
    place = f"{name} of {where}"
    start = _DRAWING_START.match(text)
    if start is None:
        _refuse(place, text[:_SHOWN])
    for _, attributes in _tags(text, start.end(), allowed=_DRAWING_TAGS, place=place, comments=True):
        if not _OWN_PLACE.fullmatch(attributes.get("xlink:href", "#")):
            _refuse(place, attributes["xlink:href"])
        if not _OWN_CLIP.fullmatch(attributes.get("clip-path", "url(#a)")):
            _refuse(place, attributes["clip-path"])
        if fetches := _FETCHES.search(attributes.get("style", "")):
            _refuse(place, f"{fetches[0]} in a style")


def _tags(
    text: str, begins: int, *, allowed: Mapping[str, frozenset[str]], place: str, comments: bool = False
) -> Iterator[tuple[str, dict[str, str]]]:
    """Go through the opening tags with their attributes; refuse whatever else begins with ``<``."""
    at = begins
    while (at := text.find("<", at)) >= 0:
        if comments and (comment := _COMMENT.match(text, at)):
            at = comment.end()
            continue
        found = _TAG.match(text, at)
        if found is None or found[2] not in allowed or (found[1] and found[3].strip()):
            _refuse(place, text[at : at + _SHOWN])
        closing, tag, inner, _ = found.groups()
        at = found.end()
        pairs = _ATTRIBUTE.findall(inner)
        attributes = dict(pairs)
        if len(attributes) != len(pairs) or not attributes.keys() <= allowed[tag]:
            _refuse(place, f"<{tag}{inner}>")
        if closing:
            continue
        if tag == "style":
            ends = text.find(_STYLE_END, at)
            if ends < 0:
                _refuse(place, "a style without an end")
            if fetches := _FETCHES.search(text, at, ends):
                _refuse(place, f"{fetches[0]} in a style")
            at = ends
        yield tag, attributes


def _refuse(place: str, found: str) -> NoReturn:
    shown = found if len(found) <= _SHOWN else f"{found[:_SHOWN]}…"
    raise UsageError(
        f"{place} is not as this program writes it: it holds {shown!r}. Take the file out of the folder, or measure "
        "the clips again."
    )
