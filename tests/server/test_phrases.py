"""Sentences of the library on the page: they name what the page has, and no option and no command."""

import ast
import re
from importlib import resources
from pathlib import Path

import pytest
from attrs import evolve
from drafted import Stored, at, give_result
from markupsafe import Markup
from reading import error_of, text_of

from putt_posture.cli.archive.group import archive
from putt_posture.errors import SetupNotFound
from putt_posture.server.languages.make_catalogues import extract_texts
from putt_posture.server.measuring import prepare
from putt_posture.server.phrases import PHRASES, in_page_words
from putt_posture.shown_units import AsIs

PACKAGE = Path(str(resources.files("putt_posture")))
COMMANDS = sorted(archive.commands)
NAMED = re.compile(rf"(?<![\w-])--[a-z][a-z-]+|\barchive (?:{'|'.join(COMMANDS)})\b(?! of)")
IN_THE_TERMINAL = re.compile(r"putt-posture (?:archive )?[a-z-]+(?: --[a-z-]+)?")
"""A command that is named in full is one to type in the terminal."""
NEVER_ON_THE_PAGE = {
    "archive/backup/back_up.py": "putt_posture archive backup",  # stands in the backup itself
    "archive/backup/source.py": "",  # a backup is restored in the terminal
    "archive/place.py": "",  # the archive is given where the program is started
    "batch/cluster.py": "",  # many lessons are started in the terminal
    "batch/ledger.py": "",
    "batch/pairing.py": "",
    "batch/tasks.py": "",
    "disk/marks.py": "",  # stands in the folder itself
    "disk/sealing/sealed.py": "",  # what is encrypted is opened in the terminal, or by another program
    "doctor.py": "",  # is a command, and names pip
    "guide/make_options.py": "",
    "landmarks/weights/build_weights.py": "",
    "live/following.py": "",  # takes such an end off a sentence
    "measures/page.py": "",
    "server/certificate.py": "",  # said where the program is started
    "server/network.py": "",
    "server/phrases.py": "",
    "server/run.py": "",
}
"""Files whose sentences do not reach the page, and why."""


def texts_of(path):
    """Yield the texts in a file that are no docstrings; what is filled in is a gap between two."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    docs = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs:
            yield node.value


def named_in(text):
    return NAMED.findall(IN_THE_TERMINAL.sub("", text))


def found_texts():
    for path in sorted(PACKAGE.rglob("*.py")):
        place = path.relative_to(PACKAGE).as_posix()
        if not place.startswith("cli/"):
            for text in texts_of(path):
                if named_in(text):
                    yield place, text


@pytest.fixture(scope="module")
def found():
    return list(found_texts())


def test_sentences_with_options_and_commands_are_found(found) -> None:
    assert len(found) > 50
    assert {"setups/observed.py", "clips/days.py", "services/filing.py"} <= {place for place, _ in found}


def test_every_option_and_command_that_the_library_names_has_words_of_the_page(found) -> None:
    left = []
    for place, text in found:
        if place == "scene/scale.py":  # the two are put together
            text = f"check {text if 'height' not in text else '--scale-object'} and --height."
        said = in_page_words(text, str)
        if place not in NEVER_ON_THE_PAGE and named_in(said):
            left.append((place, said))
    assert left == []


def test_files_that_never_reach_the_page_still_name_something(found) -> None:
    assert set(NEVER_ON_THE_PAGE) <= {place for place, _ in found}


def test_every_phrase_is_used(found) -> None:
    whole = [text for place, text in found if place != "server/phrases.py"]
    whole += ["check --shaft-at, --putter-length and --height", "check --scale-object and --height"]
    assert [phrase for phrase, _ in PHRASES if not any(phrase in text for text in whole)] == []


def test_every_label_that_a_phrase_names_is_a_text_of_the_page() -> None:
    texts = extract_texts()
    labels = {label for _, said in PHRASES for label in re.findall("“([^”]+)”", said)}
    assert len(labels) > 10
    assert [label for label in labels if label not in texts] == []


@pytest.mark.parametrize(
    ("library", "page"),
    [
        (
            "a.mov shows more than one setup: the student also stands still at 9.1 s. Only the setup that is held "
            "longest is measured; give the time of another with --setup-at.",
            "a.mov shows more than one setup: the student also stands still at 9.1 s. Only the setup that is held "
            "longest is measured; choose another with “Choose another frame” on the page “By hand”.",
        ),
        (
            "No still moment at address was found in a.mov: no one. Give its time with --setup-at SECONDS, or film "
            "again with a second of stillness before the stroke.",
            "No still moment at address was found in a.mov: no one. Choose a still picture of it in place of the "
            "clip, or film again with a second of stillness before the stroke.",
        ),
        (
            "a.mov: the student is seen from the front. Give this clip to --face-on, or film along the target line.",
            "a.mov: the student is seen from the front. Put this clip under “Face on”, or film along the target line.",
        ),
        (
            "The ball is to the left, as for a left-hander, but --handed right was given. Give --handed left, or film.",
            "The ball is to the left, as for a left-hander, but “Putts” right was chosen. Choose left, or film.",
        ),
        (
            "Take it back with archive erase-lesson (this one is 3) and file it again with the right --putter-length.",
            "Take it back with “Erase” on its page (this one is 3) and file it again with the right “Putter in use: "
            "length”.",
        ),
        (
            "Erase what is kept with archive retention --erase, or write the consent down with archive consent.",
            "Erase what is kept on the page “What is past its time”, or write the consent down on the student's page "
            "“Consents”.",
        ),
        ("The folder x already holds something. Give a new folder, or add --replace to replace it.",
         "The folder x already holds something. Give a new folder."),
        ("The lesson is dated today. Another day: --day.",
         "The lesson is dated today. Another day: “Day of the lesson” on the page “Keep”."),
    ],
)  # fmt: skip
def test_a_sentence_reads_as_one_of_the_page(library, page) -> None:
    assert in_page_words(library, str) == page


def test_labels_are_in_the_language_of_the_page_and_what_was_typed_stays() -> None:
    german = {"Choose another frame": "Anderes Bild wählen", "By hand": "Von Hand"}.get
    said = in_page_words("give the time of another with --setup-at.", german)
    assert said == "choose another with “Anderes Bild wählen” on the page “Von Hand”."
    assert in_page_words(AsIs("with archive erase-lesson"), str) == "with archive erase-lesson"
    marked = in_page_words(Markup("<p>the ball&#39;s centre with --ball-at</p>"), str)
    assert isinstance(marked, Markup)
    assert marked == "<p>the ball&#39;s centre with “Place the ball” on the page “By hand”</p>"


@pytest.fixture
def draft(state, coach):
    """A guest's draft with the sample clips."""
    coach.post("/samples/before")
    return state.drafts.list()[0]


def test_why_it_was_not_measured_is_said_in_the_words_of_the_page(state, coach, draft) -> None:
    job = prepare(state, draft, archive=None)
    wrong = SetupNotFound(
        "a.mov: this is not a putting address. Give the time of one with --setup-at, or a still of one."
    )
    with pytest.raises(SetupNotFound):
        evolve(job, lesson=Stored(out=job.out, error=wrong)).run()
    says = text_of(coach.get(at(draft, "/input")))
    assert "this is not a putting address. Choose a still picture of one in place of the clip, or film again." in says
    assert "--setup-at" not in says


def test_a_message_a_field_and_an_answer_to_a_script_say_it_in_the_words_of_the_page(state, coach) -> None:
    state.open_archive(make=True).close()
    expected = "Look for the student with “Find a student by name”."
    page = coach.post("/lessons", data={"student": "9"})
    assert page.status_code == 404
    assert expected in text_of(page)
    script = coach.post("/lessons", data={"student": "9"}, headers={"accept": "application/json"})
    assert script.json()["says"].endswith(expected)
    state.language = "de"
    page = coach.post("/lessons", data={"student": "9"})
    assert "“Find a student by name”" not in text_of(page)
    assert "archive find" not in text_of(page)


def test_a_backup_beside_a_full_folder_is_said_without_an_option(state, coach, tmp_path) -> None:
    state.open_archive(make=True).close()
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "x").write_text("x")
    page = coach.post("/keeping/backup", data={"folder": str(tmp_path / "full")})
    assert page.status_code == 400
    said = error_of(page, "folder") or text_of(page)
    assert "full" in said
    assert "--replace" not in said


def test_warnings_of_a_stored_report_are_said_in_the_words_of_the_page(state, coach, draft, folder) -> None:
    give_result(state, draft, folder)
    report = state.drafts.result_folder(draft.id) / "report.html"
    report.write_text(report.read_text().replace("</main>", "<p>Give --student-at x,y if that is wrong.</p></main>"))
    says = text_of(coach.get(at(draft)))
    assert "Film again with the student alone in the picture if that is wrong." in says
    assert "--student-at" not in says
