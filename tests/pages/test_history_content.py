"""What the page of a history says of the putter and of each measure, in words."""

from attrs import evolve
from invented_history import FIRST, REBUILT, START, drift, plain_changes, visit

from putt_posture.history import find_courses
from putt_posture.pages.history import write_history_page
from putt_posture.values import Estimate, History


def page_of(*visits):
    history = History(name="Robin Example", visits=visits)
    return write_history_page(history, find_courses(history, find_changes=plain_changes))


def plain(text):
    return text.replace("\N{NO-BREAK SPACE}", " ")


def fact(page, name):
    return next((plain(each.says) for each in page.facts if each.name == name), None)


def test_the_putter_in_use_is_that_of_the_latest_visit_and_the_same_in_every_place():
    read = Estimate(value=83.8, standard_uncertainty=1.3, unit="cm")
    latest = visit(2, START, "after", REBUILT)
    latest = evolve(
        latest, measured=evolve(latest.measured, measures=latest.measured.measures | {"putter_length": read})
    )
    page = page_of(visit(1, START, "before", FIRST, putter=91.44), latest)
    told = "33.0 ± 1.0 in (83.8 ± 2.5 cm), read from the picture"
    assert fact(page, "Putter in use") == told
    assert [plain(row.putter) for row in page.visits] == ["36.0 in (91.4 cm)", told]
    row = next(row for row in page.rows if row.title == "Putter as filmed")
    assert plain(row.latest) == "83.8 ± 2.5 cm"


def test_without_any_length_no_putter_is_told():
    page = page_of(visit(1, START, "before", FIRST, without=("putter_length",)))
    assert fact(page, "Putter in use") is None
    assert page.visits[0].putter == ""


def test_each_measure_is_a_real_change_or_may_be_one_or_is_within_the_noise():
    history = drift()
    courses = find_courses(history, find_changes=plain_changes)
    page = write_history_page(history, courses)
    for row, course in zip(page.rows, courses.values(), strict=True):
        since = course.since_first
        assert row.verdict == (
            "real change" if since.real else "may be a change" if since.maybe else "within the noise"
        )
        assert row.real == since.real
    assert {"real change", "may be a change", "within the noise"} == {row.verdict for row in page.rows}
