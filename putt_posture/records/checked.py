"""The check of a stored lesson's files before they are filed: each is what its name says, and nothing more.

`measures.csv` is written again from the document. Pictures are decoded, and written again if their file holds more than
the picture. Arrays, charts, pages and PDFs must pass a strict check, or the lesson is refused.
"""

import base64
from collections.abc import Callable, Collection, Mapping
from typing import Any, Final

from attrs import evolve
from PIL import Image

from putt_posture.disk.marks import STROKE_CLIPS
from putt_posture.documents.arrays import open_arrays
from putt_posture.documents.json_values import most_bytes_of, read_json
from putt_posture.documents.lesson_reading import DOCUMENT, read_document, record_of
from putt_posture.documents.schemas import check_document
from putt_posture.documents.seen_json import read_seen
from putt_posture.documents.stroke_series import STROKE_SERIES, read_series, series_as_csv
from putt_posture.documents.tables import document_as_csv
from putt_posture.documents.versions import bring_forward
from putt_posture.errors import UsageError
from putt_posture.records.alike import KnownPictures
from putt_posture.records.html_files import check_drawing, check_page, leave_out_clips
from putt_posture.records.kept import FILES_WITH_PICTURES, FILES_WITHOUT_PICTURES, KeptLesson
from putt_posture.records.picture_files import holds_nothing_else, read_picture, write_anew
from putt_posture.values import LessonRecord, Picture

__all__ = ["check_files"]

_SPEC: Final = "spec_sheet.json"
_SVG: Final = "data:image/svg+xml;"


class _Shown:
    """The pictures of a lesson, with which those in its pages are compared.

    Parameters
    ----------
    pictures : mapping of str to (H, W, 3) uint8
        By the name of the file.
    where : str
        The folder or lesson, for messages.
    """

    def __init__(self, pictures: Mapping[str, Picture], *, where: str) -> None:
        self._known = KnownPictures(list(pictures.values()))
        self._where = where
        self._found: set[bytes] = set()

    def check_html(self, data: bytes, *, name: str) -> bytes:
        """Check a page with the pictures in it; return it without the overlay clips, which are not kept with it."""
        page = leave_out_clips(_decode(data, name=name, where=self._where))
        for uri in check_page(page, name=name, where=self._where):
            inner = base64.b64decode(uri.partition(",")[2])
            if uri.startswith(_SVG):
                self.check_svg(inner, name=f"A chart in {name}")
            else:
                self._check_known(inner, name=name)
        return page.encode("utf-8")

    def check_svg(self, data: bytes, *, name: str) -> bytes:
        """Check a chart and return it as it is."""
        check_drawing(_decode(data, name=name, where=self._where), name=name, where=self._where)
        return data

    def check_pdf(self, data: bytes, *, name: str) -> bytes:
        """Check a PDF with the pictures in it and return it as it is."""
        from putt_posture.records.pdf_files import check_pdf

        for picture in check_pdf(data, name=name, where=self._where):
            self._check_known(picture, name=name)
        return data

    def _check_known(self, data: bytes, *, name: str) -> None:
        """Refuse a picture that is not a still: what it shows is not known, and there is no consent for it."""
        if data in self._found:  # the page and the PDF have the same pictures
            return
        embedded = Image.fromarray(read_picture(data, name="A picture.jpg", where=f"{name} of {self._where}"))
        if self._known.find(embedded) is None or not holds_nothing_else(data):
            raise UsageError(
                f"{name} of {self._where} holds a picture that is not among its stills. Take the file out of the "
                "folder, or measure the clips again."
            )
        self._found.add(data)


def check_files(lesson: KeptLesson, names: Collection[str]) -> KeptLesson:
    """Return a lesson with the given files, each read once, checked, and held in memory.

    Parameters
    ----------
    lesson : KeptLesson
        For instance a result folder.
    names : collection of str
        Of those files; those that the lesson does not have are skipped, and so are overlay clips, which are made again
        from a filmed clip. The document is always included.

    Returns
    -------
    KeptLesson
        Its record is read from the same bytes that it holds.

    Raises
    ------
    UsageError
        If a file is not as this program writes it, is too large, does not belong to the document, or could not be
        read later. The message names the file.
    """
    names = set(names) - STROKE_CLIPS
    strange = sorted(names - FILES_WITH_PICTURES - FILES_WITHOUT_PICTURES)
    if strange:
        raise UsageError(f"{strange[0]} of {lesson.title} is not a file that measure writes. Leave it out.")
    where = lesson.title
    document = _read(lesson, DOCUMENT)
    values = read_document(document, where=f"{DOCUMENT} of {where}")
    record = record_of(values)
    found = {DOCUMENT: document}
    wanted = sorted((names & lesson.names) - found.keys())
    pictures: dict[str, Picture] = {}
    for name in wanted:
        if name.endswith((".png", ".jpg")):
            data = _read(lesson, name)
            picture = read_picture(data, name=name, where=where, size=_size_of(name, record, values, where=where))
            pictures[name] = picture
            found[name] = write_anew(data, picture, name=name)
    shown = _Shown(pictures, where=where)
    checks: Mapping[str, Callable[[str], bytes]] = {
        ".csv": lambda name: _write_table(lesson, name, record, values),
        ".json": lambda name: _check_spec(_read(lesson, name), values, where=where),
        ".npz": lambda name: _check_arrays(_read(lesson, name), record, values, where=where),
        ".svg": lambda name: shown.check_svg(_read(lesson, name), name=name),
        ".html": lambda name: shown.check_html(_read(lesson, name), name=name),
        ".pdf": lambda name: shown.check_pdf(_read(lesson, name), name=name),
    }
    for name in wanted:
        if name not in found:
            found[name] = checks[name[name.rindex(".") :]](name)
    return evolve(lesson, record=record, names=frozenset(found), read=found.__getitem__)


def _read(lesson: KeptLesson, name: str) -> bytes:
    data, most = lesson.read(name), most_bytes_of(name)
    if len(data) > most:
        raise UsageError(
            f"{name} of {lesson.title} has {len(data):,} bytes, and at most {most:,} are taken. "
            "Measure the clips again."
        )
    return data


def _size_of(name: str, record: LessonRecord, document: Mapping[str, Any], *, where: str) -> tuple[int, int]:
    """Return the size of a picture according to the document."""
    if name == "stills/ghost.png":
        ghost = document["pictures"]["ghost"]
        found = None if ghost is None else (ghost["size"][0], ghost["size"][1])
    elif name.startswith("stills/stroke_"):
        drawn = document["pictures"]["strokes"].get(
            name.removeprefix("stills/stroke_").removesuffix(".jpg").removesuffix("_plain")
        )
        found = None if drawn is None else (drawn["size"][0], drawn["size"][1])
    elif name.startswith("stills/step_"):
        drawn = document["pictures"]["steps"].get(name.removeprefix("stills/step_").removesuffix(".jpg"))
        found = None if drawn is None else (drawn["size"][0], drawn["size"][1])
    else:
        view = name.removeprefix("stills/").removesuffix(".png").removesuffix("_plain.jpg")
        found = next((each.still_size for each in record.views.values() if each.view == view), None)
    if found is None:
        raise UsageError(
            f"{name} of {where} is a picture that the document does not mention. Remove the file from the folder, "
            "or measure the clips again."
        )
    return found


def _write_table(lesson: KeptLesson, name: str, record: LessonRecord, document: Mapping[str, Any]) -> bytes:
    """Write a table again: the measures from the document, the paths of the strokes from what was read of them."""
    if name != STROKE_SERIES:
        return document_as_csv(document).encode("utf-8")
    place = f"{STROKE_SERIES} of {lesson.title}"
    if not record.strokes:
        raise UsageError(f"{place} holds strokes, and the document has none. Take the file out, or measure again.")
    return series_as_csv(read_series(_read(lesson, name), record.strokes, where=place)).encode("utf-8")


def _check_spec(data: bytes, document: Mapping[str, Any], *, where: str) -> bytes:
    place = f"{_SPEC} of {where}"
    spec = bring_forward(read_json(data, where=place), "spec_sheet", where=place)
    check_document(spec, "spec_sheet", what=f"{place} is damaged. The numbers of the spec sheet do")
    fit = document["fit"]
    for name, wanted in (("length", fit["putter_length"]), ("lie", fit["lie"])):
        if any(spec[name][each] != wanted[each] for each in ("value", "standard_uncertainty")):
            raise UsageError(
                f"{place} belongs to another lesson: its {name} is not that of {DOCUMENT}. Measure the clips again."
            )
    return data


def _check_arrays(data: bytes, record: LessonRecord, document: Mapping[str, Any], *, where: str) -> bytes:
    place = f"The landmarks of {where}"
    arrays = open_arrays(data, record=record, where=place)
    arrays.check_whole()
    read_seen(arrays.seen(), strokes=arrays.strokes(), record=record, measures=document, where=place)
    return data


def _decode(data: bytes, *, name: str, where: str) -> str:
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        raise UsageError(f"{name} of {where} is damaged: it is not text in UTF-8. Measure the clips again.") from None
