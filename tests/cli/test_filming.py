"""The page on how to film, in the terminal and as one file."""

import re
from xml.etree import ElementTree

import pytest

from putt_posture.cli import main
from putt_posture.filming import DRAWING, load_page

MUST_SAY = ("target line", "hip height", "4 to 6 m", "ball", "plumb line", "120 frames", "consent|agree", "guardian")


@pytest.mark.parametrize("columns", [40, 60, 80, 200])
def test_page_is_wrapped_to_the_terminal(columns, capsys, monkeypatch) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    assert main(["filming"]) == 0
    page = capsys.readouterr().out.partition("\nThe drawing:")[0]
    assert max(map(len, page.splitlines())) <= min(columns, 88)
    said = " ".join(page.split())
    for words in MUST_SAY:
        assert re.search(words, said), words


def test_page_names_the_drawing_that_is_there(capsys) -> None:
    assert main(["filming"]) == 0
    assert f"The drawing: {DRAWING}" in capsys.readouterr().out
    assert ElementTree.parse(DRAWING).getroot().tag == "{http://www.w3.org/2000/svg}svg"


def test_drawing_needs_nothing_from_outside() -> None:
    text = DRAWING.read_text(encoding="utf-8")
    assert 'href="http' not in text
    assert "<script" not in text
    assert "url(http" not in text


def test_html_holds_page_and_drawing_in_one_file(tmp_path, capsys) -> None:
    file = tmp_path / "filming.html"
    assert main(["filming", "--html", str(file)]) == 0
    assert capsys.readouterr().out == f"Written to {file}\n"
    text = file.read_text(encoding="utf-8")
    assert "<h1>How to film a putting posture</h1>" in text
    assert text.count("<svg ") == 1
    assert "<img" not in text
    assert text.count("<h2>") == load_page().count("\n## ")


def test_html_never_replaces_a_file(tmp_path, capsys) -> None:
    file = tmp_path / "filming.html"
    file.write_text("mine")
    assert main(["filming", "--html", str(file)]) == 2
    assert "is there already" in capsys.readouterr().err
    assert file.read_text() == "mine"
