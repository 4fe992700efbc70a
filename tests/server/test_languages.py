"""The texts of the page in its other languages: all of them, with the same places to fill in."""

import io
import re
from gettext import GNUTranslations

import pytest

from putt_posture.server.languages.make_catalogues import FOLDER, as_mo, as_po, extract_texts, read_catalogue
from putt_posture.server.rendering import LANGUAGES

OTHERS = sorted(set(LANGUAGES) - {"en"})
PLACE = re.compile(r"%\(\w+\)[sd]|\{\w+\}|%%")


@pytest.fixture(scope="module")
def texts():
    return extract_texts()


def test_the_texts_of_templates_and_of_python_are_found(texts):
    assert "To the content" in texts
    assert "There is no such page. Go back to the start." in texts
    assert len(texts) > 300


@pytest.mark.parametrize("language", OTHERS)
def test_every_text_is_translated_with_its_places(language, texts):
    catalogue = read_catalogue(language)
    wrong = []
    for text in texts:
        if not text.id:
            continue
        found = catalogue.get(text.id if isinstance(text.id, str) else text.id[0])
        said = found.string if found is not None else ""
        forms = [said] if isinstance(said, str) else list(said)
        ids = [text.id] if isinstance(text.id, str) else list(text.id)
        places = set().union(*(PLACE.findall(each) for each in ids))
        if not all(forms) or any(set(PLACE.findall(each)) != places for each in forms):
            wrong.append(text.id)
    assert wrong == []


@pytest.mark.parametrize("language", OTHERS)
def test_the_catalogue_that_is_read_is_made_from_the_one_that_is_written(language):
    catalogue = read_catalogue(language)
    assert (FOLDER / f"{language}.po").read_bytes() == as_po(catalogue)
    made = GNUTranslations(io.BytesIO(as_mo(catalogue)))
    with (FOLDER / f"{language}.mo").open("rb") as file:
        read = GNUTranslations(file)
    forms = [(text.id, count) for text in catalogue if text.id and not isinstance(text.id, str) for count in (1, 2)]
    assert [read.ngettext(*ids, count) for ids, count in forms] == [made.ngettext(*ids, count) for ids, count in forms]
    single = [text.id for text in catalogue if text.id and isinstance(text.id, str)]
    assert [read.gettext(text) for text in single] == [made.gettext(text) for text in single]
    assert len(single) > 300


@pytest.mark.parametrize("language", OTHERS)
def test_a_page_is_shown_in_the_language_of_the_coach(language, state, coach):
    state.language = language
    page = coach.get("/").text
    assert f'<html lang="{language}"' in page
    assert read_catalogue(language).get("Begin a lesson").string in page
