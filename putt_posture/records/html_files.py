"""Pages and drawings of a stored lesson: their tags checked, and the pictures in them replaced.

Only a strict subset of HTML and SVG is accepted: every ``<`` begins a known tag, every attribute is a known one between
double quotes, and nothing points outside of the file. So a browser cannot read it in another way, however it repairs
broken markup.
"""

import base64
import io
import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Final, NoReturn

from attrs import field, frozen
from PIL import Image

from putt_posture.drawing.stills import as_jpeg
from putt_posture.errors import UsageError
from putt_posture.pages.lesson_files import EMBEDDED_BYTES
from putt_posture.pages.setting import CLIP_POLICY, POLICY, as_uri
from putt_posture.records.alike import KnownPictures
from putt_posture.values import Picture
from putt_posture.wording import FACES, FACES_HIDDEN

__all__ = [
    "Redrawn",
    "check_drawing",
    "check_page",
    "hide_faces_in_page",
    "read_body",
]

_COMMON: Final = frozenset({"class", "id"})
_PAGE_TAGS: Final[Mapping[str, frozenset[str]]] = {
    **dict.fromkeys(
        (
            "article", "body", "dd", "dl", "dt", "figcaption", "figure", "h1", "h2", "h3", "head", "header", "li",
            "em", "main", "ol", "p", "section", "small", "span", "strong", "style", "summary", "table", "tbody", "td",
            "thead", "title", "tr", "ul",
        ),
        _COMMON | {"aria-label", "dir"},
    ),
    "a": frozenset({"href"}),
    "button": _COMMON | {"type", "aria-label", "popovertarget", "popovertargetaction"},
    "div": _COMMON | {"popover"},
    "details": _COMMON | {"open"},
    "html": frozenset({"lang"}),
    "img": frozenset({"src", "alt"}),
    "meta": frozenset({"charset", "name", "content", "http-equiv"}),
    "th": frozenset({"scope"}),
    "video": frozenset({"controls", "preload", "playsinline", "src", "poster", "aria-label"}),
}  # fmt: skip
_METAS: Final = (
    {"charset": "utf-8"},
    {"name": "viewport", "content": "width=device-width, initial-scale=1"},
    {"http-equiv": "Content-Security-Policy", "content": POLICY},
    {"name": "referrer", "content": "no-referrer"},
)
"""The start of each page, in this order, before anything else can be read."""
_CLIP_METAS: Final = tuple({**each, "content": CLIP_POLICY} if "http-equiv" in each else each for each in _METAS)
"""The same of a page with clips beside it."""
_SHAPE: Final = frozenset({"id", "style", "transform", "clip-path", "d", "x", "y", "width", "height", "fill"})
_NAMES: Final = frozenset({"xmlns", "xmlns:xlink", "xmlns:dc", "xmlns:cc", "xmlns:rdf"})
_DRAWING_TAGS: Final[Mapping[str, frozenset[str]]] = {
    **dict.fromkeys(("g", "path", "rect", "clipPath", "defs"), _SHAPE),
    **dict.fromkeys(("metadata", "rdf:RDF", "cc:Work", "dc:format"), _NAMES),
    "dc:type": frozenset({"rdf:resource"}),
    "pattern": _SHAPE | {"patternUnits"},
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
_BODY: Final = ("<main>", "</main>")
_FETCHES: Final = re.compile(
    r"url|import(?!ant)|image|src|expression|behaviou?r|binding|[\\<@](?!media )", re.IGNORECASE
)
"""Parts of a style sheet that could load or run something; ``@media`` is the only rule with an @ that is allowed."""
_OWN_CLIP: Final = re.compile(r"url\(#[A-Za-z0-9_-]+\)")
_COLOUR: Final = re.compile(r"none|#[0-9A-Fa-f]{6}")
_OWN_PLACE: Final = re.compile(r"#[A-Za-z0-9_.-]*")
_OWN_CLIP_FILE: Final = re.compile(r"stroke_(?:down_the_line|face_on)\.mp4")
_OWN_PICTURE: Final = re.compile(r"data:image/(?:jpeg|svg\+xml);base64,[A-Za-z0-9+/]*={0,2}")
_SHOWN: Final = 40
"""Characters of the offending text that are quoted in a message."""
_CLIP: Final = re.compile(
    r'<figure class="pic clip">(?:(?!</figure>).)*?<video [^>]*?src="(?P<file>[^"]*)".*?</figure>\s*', re.DOTALL
)
"""The part of a page that shows a clip."""
_URI: Final = re.compile(r"data:([a-z]+/[a-z+.-]+);base64,([A-Za-z0-9+/=]*)")
_EVERY_URI: Final = re.compile(r"(?<!img-src )data:", re.IGNORECASE)
"""A data URI, however it is written; but not the one in the page's security policy."""
_RASTER_IN_SVG: Final = b"<image"


@frozen(kw_only=True, eq=False)
class Redrawn:
    """A picture with faces and the same picture with faces hidden, both (H, W, 3) uint8."""

    before: Picture = field(repr=False)
    after: Picture = field(repr=False)


def check_page(text: str, *, name: str, where: str) -> list[str]:
    """Check a page and return the data URIs of its pictures, which the caller checks.

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
        elif metas not in ([*_METAS], [*_CLIP_METAS]) and tag not in ("html", "head"):
            _refuse(place, f"<{tag}> before the four <meta> of the program")
        to = attributes.get("href", "#")
        if not (_OWN_PLACE.fullmatch(to) or _OWN_CLIP_FILE.fullmatch(to)):
            _refuse(place, to)
        if tag == "video" and not _OWN_CLIP_FILE.fullmatch(attributes.get("src", "")):
            _refuse(place, attributes.get("src", "a video without a file"))
        shown = [attributes[each] for each in (("poster",) if tag == "video" else ("src",)) if each in attributes]
        for each in shown:
            if not _OWN_PICTURE.fullmatch(each):
                _refuse(place, each)
        pictures += shown
    if metas not in ([*_METAS], [*_CLIP_METAS]):
        _refuse(place, "no policy that blocks scripts")
    return pictures


def read_body(page: bytes, *, name: str, where: str) -> str:
    """Return what a page of a stored lesson shows, for another page to hold; it has the same few tags.

    Parameters
    ----------
    page : bytes
    name : str
        Of the file.
    where : str
        What holds it, for the message.

    Raises
    ------
    UsageError
        If anything is in it that the program does not write.
    """
    try:
        text = page.decode("utf-8")
    except UnicodeDecodeError as error:
        _refuse(f"{name} of {where}", repr(error.object[error.start : error.end]))
    check_page(text, name=name, where=where)
    begins, ends = text.find(_BODY[0]), text.rfind(_BODY[1])
    if not 0 <= begins < ends:
        _refuse(f"{name} of {where}", "no <main>")
    return text[begins + len(_BODY[0]) : ends]


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
        if not _COLOUR.fullmatch(attributes.get("fill", "none")):
            _refuse(place, attributes["fill"])
        if fetches := _FETCHES.search(_OWN_CLIP.sub("", attributes.get("style", ""))):
            _refuse(place, f"{fetches[0]} in a style")


def hide_faces_in_page(page: str, pictures: Sequence[Redrawn], *, clips: Collection[str] = ()) -> str | None:
    """Replace the pictures with faces by those without, and say so among the facts at the top.

    A clip beside the page that is not given out with it is taken out of the page.

    Embedded pictures are recognised by their content, so it does not matter which JPEG library wrote them.

    Parameters
    ----------
    page : str
        The text of a `report.html`.
    pictures : sequence of Redrawn
    clips : collection of str
        Names of the clips whose heads were hidden too, and that go with the page.

    Returns
    -------
    str or None
        None if the page has a picture that is not one of these, as it is not known what it shows.
    """
    page = leave_out_clips(page, kept=clips)
    found = list(_URI.finditer(page))
    if len(found) != len(_EVERY_URI.findall(page)):
        return None
    known = KnownPictures([each.before for each in pictures])
    parts, done = [], 0
    for uri in found:
        kind, data = uri[1], base64.b64decode(uri[2])
        new = _redraw(data, pictures, known) if kind != "image/svg+xml" else _keep_drawing(uri[0], data)
        if new is None:
            return None
        parts += [page[done : uri.start()], new]
        done = uri.end()
    changed = "".join([*parts, page[done:]])
    if f"<dt>{FACES}</dt>" in changed:
        return changed
    return changed.replace("</dl>", f"<dt>{FACES}</dt><dd>{FACES_HIDDEN}</dd>\n</dl>", 1)


def leave_out_clips(page: str, *, kept: Collection[str] = ()) -> str:
    """Return a page without the clips beside it that do not go with it.

    Parameters
    ----------
    page : str
        The text of a `report.html`.
    kept : collection of str
        Names of the clips that do.
    """
    return _CLIP.sub(lambda part: part[0] if part["file"] in kept else "", page)


def _tags(
    text: str, begins: int, *, allowed: Mapping[str, frozenset[str]], place: str, comments: bool = False
) -> Iterator[tuple[str, dict[str, str]]]:
    """Go through the opening tags with their attributes; refuse anything else that begins with ``<``."""
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


def _keep_drawing(uri: str, data: bytes) -> str | None:
    return None if _RASTER_IN_SVG in data else uri


def _redraw(data: bytes, pictures: Sequence[Redrawn], known: KnownPictures) -> str | None:
    try:
        embedded = Image.open(io.BytesIO(data)).convert("RGB")
    except OSError:
        return None
    at = known.find(embedded)
    return None if at is None else as_uri(as_jpeg(pictures[at].after, most_bytes=EMBEDDED_BYTES))
