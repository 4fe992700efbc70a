"""Bring the catalogues up to date with the texts of the lesson page.

Run it with ``python -m putt_posture.server.languages.make_catalogues``. It needs Babel, which is among the packages for
the checks. What has no translation yet is left empty in the ``.po`` and shown in English.
"""

import io
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from babel.messages.catalog import Catalog
from babel.messages.extract import DEFAULT_KEYWORDS, extract_from_dir
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

from putt_posture.archive import SCOPE_TITLES
from putt_posture.drawing.stroke_times import KIND_WORDS
from putt_posture.values import EVENT_TITLES, VIEW_TITLES

__all__ = ["FOLDER", "as_mo", "as_po", "extract_texts", "read_catalogue"]

FOLDER: Final = Path(__file__).parent
_SERVER: Final = FOLDER.parent
_METHODS: Final = [("**/templates/**.jinja", "jinja2"), ("**.py", "python")]
_OPTIONS: Final = {
    "**/templates/**.jinja": {"extensions": "jinja2.ext.i18n", "newstyle_gettext": "true", "trim_blocks": "true"}
}
_KEYWORDS: Final = {**DEFAULT_KEYWORDS, "say": None}
"""In Python a text is marked by the function that `translate` returns, called ``say`` or ``_``."""
_NO_TIME: Final = datetime(2026, 1, 1, tzinfo=UTC)
"""Babel puts two times into a ``.mo``; so it is the same each time."""
_MADE: Final = (
    '"POT-Creation-Date', '"PO-Revision-Date', '"Generated-By', '"Last-Translator', '"Language-Team', '"Project-Id',
    '"Report-Msgid',
)  # fmt: skip


def extract_texts() -> Catalog:
    """Return the texts of the page and what it names: views, consents, events, kinds of strokes; no translations."""
    found = Catalog(project="putt_posture", charset="utf-8")
    for file, _line, text, _comments, context in extract_from_dir(_SERVER, _METHODS, _OPTIONS, _KEYWORDS):
        found.add(text, locations=[(Path(file).as_posix(), 0)], context=context)
    for title in (*VIEW_TITLES.values(), *SCOPE_TITLES.values(), *EVENT_TITLES.values(), *KIND_WORDS.values()):
        found.add(title)
    return found


def read_catalogue(language: str) -> Catalog:
    """Read what was translated into a language; empty where there is none.

    Parameters
    ----------
    language : str
        As in ISO 639-1.
    """
    path = FOLDER / f"{language}.po"
    if not path.exists():
        return Catalog(locale=language, charset="utf-8")
    return read_po(io.BytesIO(path.read_bytes()), locale=language)


def as_po(catalogue: Catalog) -> bytes:
    """Return a catalogue as the bytes of its ``.po``, sorted, without times and lines, so that it is always the same.

    Parameters
    ----------
    catalogue : Catalog
    """
    stream = io.BytesIO()
    write_po(stream, catalogue, width=120, no_location=True, sort_output=True, ignore_obsolete=True)
    lines = stream.getvalue().decode("utf-8").splitlines()
    lines = lines[lines.index('msgid ""') :]  # without Babel's comment on who wrote it
    return "\n".join(line for line in lines if not line.startswith(_MADE)).encode("utf-8") + b"\n"


def as_mo(catalogue: Catalog) -> bytes:
    """Return a catalogue as the bytes of its ``.mo``.

    Parameters
    ----------
    catalogue : Catalog
    """
    stream = io.BytesIO()
    catalogue.creation_date = catalogue.revision_date = _NO_TIME
    write_mo(stream, catalogue)
    return stream.getvalue()


def _make() -> None:
    texts = extract_texts()
    for path in sorted(FOLDER.glob("*.po")):
        catalogue = read_catalogue(path.stem)
        catalogue.update(texts, no_fuzzy_matching=True)
        path.write_bytes(as_po(catalogue))
        path.with_suffix(".mo").write_bytes(as_mo(read_catalogue(path.stem)))
        print(f"{path.name}: {sum(not message.string for message in catalogue if message.id)} without translation")


if __name__ == "__main__":
    _make()
