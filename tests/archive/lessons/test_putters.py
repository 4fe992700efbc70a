"""A putter that differs from the one typed before is asked about, and a page shows one length for one putter."""

from datetime import date

import pytest
from filed import TODAY, file_one, make_lesson_of

from putt_posture.archive import ask_about_putter, load_history, withdraw_consent
from putt_posture.units import CM_PER_INCH

ONE_DATABASE = "rules on what was read; the queries are tried elsewhere in both"
FIRST, LATER = date(2026, 5, 1), date(2026, 6, 1)


@pytest.fixture
def file_putter(archive, player, stored):
    """File a lesson with a putter typed in inches, or none."""

    def file_it(inches, day, tag):
        def put(document):
            document["student"]["putter_length_cm"] = None if inches is None else inches * CM_PER_INCH

        return file_one(archive, player, make_lesson_of(stored, tag=tag, change=put), day=day)

    return file_it


def ask(archive, player, inches, *, day=LATER, **more):
    length = inches and inches * CM_PER_INCH
    said = ask_about_putter(archive, player, length_cm=length, day=day, today=TODAY, **more)
    return said.replace("\N{NO-BREAK SPACE}", " ")


def test_another_length_than_last_time_is_asked_about_with_both_lengths_and_what_to_do(archive, player, file_putter):
    file_putter(36, FIRST, "one")
    before = ask(archive, player, 33)
    assert before.startswith(
        "The putter typed is 33.0 in (83.8 cm), and on 1 May 2026 it was 36.0 in (91.4 cm). Is it another one?"
    )
    assert "stop with Ctrl-C" in before
    filed = file_putter(33, LATER, "two")
    after = ask(archive, player, 33, lesson=filed)
    assert f"archive erase-lesson (this one is {filed})" in after
    assert "--putter-length" in after


def test_the_putter_typed_last_is_what_counts_and_a_lesson_without_one_is_passed_over(archive, player, file_putter):
    file_putter(36, FIRST, "one")
    file_putter(33, FIRST, "two")
    file_putter(None, LATER, "three")
    assert ask(archive, player, 33) == ""
    assert "it was 33.0 in (83.8 cm)" in ask(archive, player, 36)


@pytest.mark.parametrize("inches", [36, 36.1, None])
def test_the_same_putter_and_no_putter_raise_no_question(archive, player, file_putter, inches):
    file_putter(36, FIRST, "one")
    assert ask(archive, player, inches) == ""


def test_a_first_lesson_and_one_before_it_raise_no_question(archive, player, file_putter):
    assert ask(archive, player, 33) == ""
    file_putter(36, LATER, "one")
    assert ask(archive, player, 33, day=FIRST) == ""


def test_nothing_is_told_of_a_putter_that_may_not_be_shown(archive, player, file_putter):
    file_putter(36, FIRST, "one")
    withdraw_consent(archive, player, scopes=["measures"], on=TODAY)
    assert ask(archive, player, 33) == ""


def test_a_history_has_the_typed_length_in_place_of_the_one_read_from_the_picture(archive, player, stored):
    def put(document):
        document["student"]["putter_length_cm"] = 91.44
        document["measures"]["putter_length"].update(
            value=88.0, standard_uncertainty=2.0, low=84.1, high=91.9, absent=None
        )

    file_one(archive, player, make_lesson_of(stored, tag="one", change=put), day=FIRST)
    (visit,) = load_history(archive, player, today=TODAY).visits
    found = visit.measured.measures["putter_length"]
    assert (visit.putter_in_use_cm, found.value, found.standard_uncertainty) == (91.44, 91.44, 0.3)
    assert found.method == "typed by the coach"
