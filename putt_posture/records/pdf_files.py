"""The check of a stored lesson's PDFs: no scripts, forms, attached files or other pictures."""

import io
import re
from collections.abc import Iterator
from typing import Any, Final, NoReturn

from pypdf import PdfReader
from pypdf.errors import PyPdfError
from pypdf.generic import DictionaryObject, IndirectObject, NameObject, StreamObject

from putt_posture.errors import UsageError

__all__ = ["check_pdf"]

_START: Final = b"%PDF-1."
_END: Final = re.compile(rb"startxref\s+\d+\s+%%EOF\s*$")
_MOST_OBJECTS: Final = 20_000
"""The longest report has about 1,500."""
_ACTS: Final = frozenset(
    {
        "/AA", "/AcroForm", "/AF", "/Annots", "/EF", "/EmbeddedFiles", "/Encrypt", "/GoToE", "/GoToR", "/ImportData",
        "/JavaScript", "/JS", "/Launch", "/Movie", "/Names", "/OpenAction", "/OPI", "/PS", "/Rendition", "/RichMedia",
        "/Sound", "/SubmitForm", "/Thumb", "/URI", "/XFA",
    }
)  # fmt: skip
"""Keys and names for scripts, links, forms, hidden layers and attachments (ISO 32000-2: 12.5 to 12.7, 13, 14.13); the
program writes none of them."""
_INLINE_PICTURE: Final = re.compile(rb"(?:^|\s)BI\s+/")
"""A picture inside a content stream (ISO 32000-2, 8.9.7)."""


def check_pdf(data: bytes, *, name: str, where: str) -> list[bytes]:
    """Check a PDF and return its pictures, each the bytes of a JPEG, which the caller checks.

    Parameters
    ----------
    data : bytes
    name : str
        Of the file.
    where : str
        What holds it, for the message.

    Raises
    ------
    UsageError
        If it is damaged, or anything is in it that the program does not write.
    """
    place = f"{name} of {where}"
    # One table of objects at the end: nothing was appended to the finished file, as edits of a PDF are.
    if not data.startswith(_START) or data.count(b"startxref") != 1 or not _END.search(data[-64:]):
        _refuse(place, "something other than one complete PDF")
    try:
        return list(_pictures_of(data, place))
    except (UsageError, MemoryError):
        raise
    except (PyPdfError, Exception) as error:  # a PDF reader may raise almost any exception on damaged bytes
        raise UsageError(f"{place} is damaged ({type(error).__name__}). Measure the clips again.") from None


def _pictures_of(data: bytes, place: str) -> Iterator[bytes]:
    reader = PdfReader(io.BytesIO(data), strict=True)
    if reader.is_encrypted:
        _refuse(place, "/Encrypt")
    numbers = {number for table in reader.xref.values() for number in table} | set(reader.xref_objStm)
    if len(numbers) > _MOST_OBJECTS:
        _refuse(place, f"{len(numbers)} objects")
    _check_inside(reader.trailer, place)
    for number in sorted(numbers - {0}):
        found = reader.get_object(number)
        _check_inside(found, place)
        if isinstance(found, StreamObject):
            yield from _look_into(found, place)


def _look_into(stream: StreamObject, place: str) -> Iterator[bytes]:
    kind, coded = stream.get("/Subtype"), stream.get("/Filter")
    if kind == "/Image":
        codes = coded if isinstance(coded, list) else [coded]
        if codes != ["/DCTDecode"] or "/SMask" in stream or "/Mask" in stream:
            _refuse(place, "a picture that is not a JPEG")
        yield bytes(stream._data)
    elif (kind == "/Form" or (kind is None and "/Length1" not in stream)) and _INLINE_PICTURE.search(stream.get_data()):
        _refuse(place, "a picture in a content stream")


def _check_inside(found: Any, place: str) -> None:
    """Check every key and name of an object; the objects that it points to are checked by themselves."""
    left = [found]
    while left:
        each = left.pop()
        if isinstance(each, IndirectObject):
            continue
        if isinstance(each, DictionaryObject):
            if acting := _ACTS & each.keys():
                _refuse(place, min(acting))
            left += [dict.__getitem__(each, key) for key in each]
        elif isinstance(each, list):
            left += list(list.__iter__(each))
        elif isinstance(each, NameObject) and each in _ACTS:
            _refuse(place, each)


def _refuse(place: str, found: str) -> NoReturn:
    raise UsageError(
        f"{place} is not as this program writes it: it holds {found}. Take the file out of the folder, or measure the "
        "clips again."
    )
