"""Every state of every page, from made-up students, in one folder with an index to look at.

Run it as ``python tests/pages/made_up_students.py FOLDER``; ``--pdf`` makes the PDFs too. Nobody real is meant.
"""

import sys
from collections.abc import Callable, Mapping
from datetime import date
from functools import cache
from html import escape
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))
sys.path.insert(0, str(Path(__file__).parent.parent / "strokes"))

from attrs import evolve, frozen
from changed_lesson import make_changed_lesson
from compared import AFTER_ON, make_after
from invented import MADE_ON, advise, make_lesson
from invented_history import drift, many, one_visit, plain_changes, practised
from shown_strokes import add_no_stroke, add_strokes

from putt_posture.club_spec import find_club_spec
from putt_posture.comparison import compare
from putt_posture.drawing.faces import hide_heads
from putt_posture.drawing.history_chart import draw_history_charts
from putt_posture.drawing.stills import as_jpeg, draw_stills
from putt_posture.filming.page import store_page
from putt_posture.history import find_courses, find_putter_changes
from putt_posture.pages.club_spec import spec_sheet_as_html, spec_sheet_as_pdf, write_spec_sheet
from putt_posture.pages.comparison import comparison_as_html, comparison_as_pdf, draw_pictures, write_comparison
from putt_posture.pages.history import history_as_html, history_as_pdf, write_history_page
from putt_posture.pages.practice import draw_practice
from putt_posture.pages.report import report_as_html, report_as_pdf, write_report
from putt_posture.pages.stroke_section import draw_stroke, write_stroke_section
from putt_posture.pages.wanted_setup import draw_change
from putt_posture.values import Comparison, Fit, Head, History, Lesson, absent

Made = tuple[str, Callable[[], bytes]]
"""The text of a page, and what makes its PDF."""
WITHDRAWN = "The consent for pictures was withdrawn, so no picture of this lesson is shown"
LONG_NAME = "Maximiliane-Theodora von und zu Hohenlohe-Langenburg-Schillingsfürst, " + "B" * 90


@frozen
class State:
    """One page in one state: what it is called, and what makes it."""

    title: str
    make: Callable[[], Made]


def with_measures(lesson: Lesson, values: Mapping[str, float], *, sure: float = 1.0) -> Lesson:
    """Return a lesson whose measures have other values, and `sure` times the uncertainty."""
    estimates = {
        name: evolve(
            each, value=values.get(name, each.value), standard_uncertainty=sure * (each.standard_uncertainty or 1)
        )
        if each
        else each
        for name, each in lesson.posture.estimates.items()
    }
    return evolve(lesson, posture=evolve(lesson.posture, estimates=estimates))


def without(lesson: Lesson, *names: str, why: str) -> Lesson:
    """Return a lesson without some measures; without all where none is named."""
    estimates = {
        name: absent(why, unit=each.unit) if not names or name in names else each
        for name, each in lesson.posture.estimates.items()
    }
    return evolve(lesson, posture=evolve(lesson.posture, estimates=estimates))


NO_FIT = Fit(
    putter_length=absent("There was no putter in the hands.", unit="cm"),
    stock_length_in=None,
    lie=absent("There was no putter in the hands.", unit="deg"),
)


def nothing_wrong() -> Lesson:
    lesson = make_changed_lesson()
    student = evolve(lesson.student, putter_length_cm=86.4)
    good = {"spine_tilt": 40.0, "hand_offset": 0.0, "knee_flex": 15.0, "eye_offset": -1.0, "elbow_gap_lead": 1.0,
            "elbow_gap_trail": 1.0, "elbow_depth": 1.0, "balance": 55.0, "sideways_balance": 50.0, "head_drop": 2.0,
            "back_rounding": 12.0, "ball_position": 2.0, "shaft_lean": 1.0}  # fmt: skip
    return evolve(with_measures(lesson, good, sure=0.4), student=student)


def three_findings() -> Lesson:
    lesson = make_changed_lesson()
    bad = {"spine_tilt": 18.0, "hand_offset": 9.0, "back_rounding": 45.0, "eye_offset": -15.0, "elbow_gap_trail": 8.0}
    return with_measures(lesson, bad, sure=0.8)


def one_finding() -> Lesson:
    lesson = nothing_wrong()
    return with_measures(lesson, {"hand_offset": 8.0})


def no_putter() -> Lesson:
    lesson = make_lesson(fit=NO_FIT)
    names = ("putter_length", "shaft_lie", "shaft_lean", "eye_offset", "ball_distance", "ball_position")
    return without(lesson, *names, why="There was no putter in the hands.")


def child() -> Lesson:
    lesson = make_changed_lesson()
    return evolve(lesson, student=evolve(lesson.student, stature_cm=124.0, wrist_floor_cm=58.0, name="Mika, 8"))


def heads_hidden() -> Lesson:
    lesson = make_changed_lesson()
    views = {}
    for view, result in lesson.views.items():
        head = Head(centre_px=lesson.posture.marks[view]["eyes"][0], radius_px=110.0)
        views[view] = evolve(result, still=evolve(result.still, picture=hide_heads(result.still.picture, [head])))
    return evolve(lesson, views=views, faces_hidden=True)


def no_measures() -> Lesson:
    lesson = make_lesson(fit=NO_FIT, views=("down_the_line",))
    return without(lesson, why="Nothing was seen.")


def named(lesson: Lesson, name: str) -> Lesson:
    return evolve(lesson, student=evolve(lesson.student, name=name))


def many_strokes() -> Lesson:
    kinds = ("practice", *["putt"] * 5, "practice", *["putt"] * 5)
    return add_strokes(make_changed_lesson(), kinds=kinds, ball_line=True)


def doubtful_stroke() -> Lesson:
    warnings = (
        "The camera moved during the stroke; what it did was taken out by what stands still behind the student.",
    )
    lesson = add_strokes(make_changed_lesson(), together=False, stills=False, putter=False, warnings=warnings)
    numbers = {name: evolve(each, standard_uncertainty=4 * each.standard_uncertainty) if each else each
               for name, each in lesson.strokes.numbers.items()}  # fmt: skip
    return evolve(lesson, strokes=evolve(lesson.strokes, numbers=numbers))


def report_of(lesson: Lesson, *, clips: tuple[str, ...] = ()) -> Made:
    """Return the report of a lesson."""
    lesson = advise(lesson)
    stills, change, stroke = draw_stills(lesson), draw_change(lesson), draw_stroke(lesson)
    pictures = {each.view: as_jpeg(each.annotated, most_bytes=200_000) for each in stills}
    if change is not None:
        pictures |= {name: chart.encode() for name, chart in change.charts.items()}
        if change.ghost is not None:
            pictures["ghost"] = as_jpeg(change.ghost, most_bytes=200_000)
    if stroke is not None:
        pictures |= {name: as_jpeg(each.picture, most_bytes=36_000) for name, each in stroke.stills.items()}
        pictures |= {name: chart.encode() for name, chart in stroke.charts.items()}
    section = write_stroke_section(lesson, pictures=stroke, clips=clips)
    report = write_report(
        lesson, stills=stills, change=change.section if change else None, stroke=section, made_on=MADE_ON
    )
    plain = {each.view: each.plain for each in stills}
    glance = {"glance": as_jpeg(plain[report.plates[0].file], most_bytes=25_000)} if stills else {}
    return report_as_html(report, pictures=pictures | glance), lambda: report_as_pdf(report, pictures=pictures)


def comparison_of(compared: Comparison, *, clips: tuple[str, ...] = ()) -> Made:
    """Return the page of a comparison."""
    pictures = draw_pictures(compared)
    charts = {name: chart.encode() for name, chart in pictures.charts.items()}
    halves = {name: as_jpeg(each, most_bytes=120_000) for name, each in pictures.halves.items()}
    stills = {name: as_jpeg(each, most_bytes=200_000) for name, each in pictures.stills.items()}
    report = write_comparison(compared, pictures=pictures, clips=clips, made_on=AFTER_ON)
    return (
        comparison_as_html(report, pictures=charts | halves),
        lambda: comparison_as_pdf(report, pictures=charts | stills),
    )


def without_pictures(compared: Comparison) -> Comparison:
    return evolve(compared, before=evolve(compared.before, views={}, says=(f"{WITHDRAWN}.",)))


def history_of(history: History) -> Made:
    """Return the page of a history."""
    courses = find_courses(history, find_changes=plain_changes)
    putters = find_putter_changes(history)
    drawn, practice = draw_history_charts(history, courses, putters=putters), draw_practice(history)
    charts = {chart.file: chart.svg for chart in drawn} | (practice.charts if practice else {})
    page = write_history_page(
        history, courses, putters=putters, charts=drawn, practice=practice.section if practice else None,
        made_on=date(2026, 11, 25), warnings=("The scale of the two lessons is not from the same source.",),
    )  # fmt: skip
    return history_as_html(page, charts=charts), lambda: history_as_pdf(page, charts=charts)


def spec_of(lesson: Lesson) -> Made:
    """Return the spec sheet of a lesson."""
    sheet = write_spec_sheet(find_club_spec(lesson.fit, lesson.student), lesson.student, made_on=MADE_ON)
    return spec_sheet_as_html(sheet), lambda: spec_sheet_as_pdf(sheet)


STATES: Mapping[str, State] = {
    "report_three_findings": State("Three findings", lambda: report_of(three_findings())),
    "report_one_finding": State("One finding", lambda: report_of(one_finding())),
    "report_nothing_wrong": State("Nothing wrong", lambda: report_of(nothing_wrong())),
    "report_cannot_tell": State(
        "Cannot tell", lambda: report_of(with_measures(make_lesson(), {"spine_tilt": 28.0, "hand_offset": 6.0}, sure=3))
    ),
    "report_left_handed": State("Left-handed", lambda: report_of(make_lesson(handed="left"))),
    "report_child": State("A child", lambda: report_of(child())),
    "report_no_putter": State("No putter and no ball", lambda: report_of(no_putter())),
    "report_heads_hidden": State("Heads hidden", lambda: report_of(heads_hidden())),
    "report_one_view": State("Face on only", lambda: report_of(make_lesson(views=("face_on",)))),
    "report_no_measures": State("No measure", lambda: report_of(no_measures())),
    "report_long_name": State("A long name", lambda: report_of(named(make_changed_lesson(), LONG_NAME))),
    "report_other_letters": State("Another script", lambda: report_of(named(make_lesson(), "محمد بن علي"))),
    "report_stroke_one": State(
        "One stroke, with clips",
        lambda: report_of(add_strokes(make_changed_lesson()), clips=("down_the_line", "face_on")),
    ),
    "report_stroke_three": State(
        "Three putts after a practice stroke",
        lambda: report_of(add_strokes(make_changed_lesson(), kinds=("practice", "putt", "putt", "putt"))),
    ),
    "report_stroke_many": State("Ten putts and two practice strokes", lambda: report_of(many_strokes())),
    "report_stroke_practice": State(
        "Practice strokes only", lambda: report_of(add_strokes(make_lesson(), kinds=("practice", "practice")))
    ),
    "report_stroke_one_view": State(
        "A stroke face on only", lambda: report_of(add_strokes(make_lesson(), views=("face_on",)))
    ),
    "report_stroke_no_putter": State(
        "Arms swung without a putter",
        lambda: report_of(evolve(add_strokes(no_putter(), kinds=("unsure",), putter=False), without_putter=True)),
    ),
    "report_stroke_doubtful": State("Putter head not followed, two strokes", lambda: report_of(doubtful_stroke())),
    "report_stroke_none": State("No stroke in the clips", lambda: report_of(add_no_stroke(make_lesson()))),
    "report_stroke_left_handed": State(
        "A stroke of a left-hander", lambda: report_of(add_strokes(make_lesson(handed="left")))
    ),
    "comparison": State("Changed", lambda: comparison_of(compare(make_changed_lesson(), make_after()))),
    "comparison_no_change": State(
        "Nothing changed",
        lambda: comparison_of(compare(make_lesson(), with_measures(make_lesson(), {"balance": 47.0}))),
    ),
    "comparison_stroke": State(
        "Strokes before and after",
        lambda: comparison_of(
            compare(add_strokes(make_changed_lesson()), add_strokes(make_after(), length=29.0)), clips=("face_on",)
        ),
    ),
    "comparison_stroke_missing": State(
        "A stroke before only", lambda: comparison_of(compare(add_strokes(make_changed_lesson()), make_after()))
    ),
    "comparison_one_view": State(
        "One view in common", lambda: comparison_of(compare(make_lesson(views=("face_on",)), make_after()))
    ),
    "comparison_withdrawn": State(
        "Consent for pictures withdrawn",
        lambda: comparison_of(without_pictures(compare(make_changed_lesson(), make_after()))),
    ),
    "history_none": State("No lesson yet", lambda: history_of(History(name="Robin Example", visits=()))),
    "history_one": State("One visit", lambda: history_of(one_visit())),
    "history_year": State("A year, with practice tests", lambda: history_of(drift(practice=practised(3)))),
    "history_long": State("Seven years", lambda: history_of(many(practice=practised(5)))),
    "spec_sheet": State("A putter to build", lambda: spec_of(make_changed_lesson())),
    "spec_sheet_unknown": State("No length found", lambda: spec_of(make_lesson(fit=NO_FIT))),
}


@cache
def made(name: str) -> Made:
    """Return a page by its name, made once."""
    return STATES[name].make()


_KINDS = {"report": "Report", "comparison": "Comparison", "history": "History", "spec": "Spec sheet"}


def make_pages(folder: Path, *, names: tuple[str, ...] = tuple(STATES), pdf: bool = False) -> dict[str, Path]:
    """Write pages into a folder, with an index, and return their paths by name; ``filming`` is always there."""
    folder.mkdir(parents=True, exist_ok=True)
    found = {}
    for name in names:
        page, set_pdf = made(name)
        found[name] = folder / f"{name}.html"
        found[name].write_text(page, encoding="utf-8")
        if pdf:
            found[name].with_suffix(".pdf").write_bytes(set_pdf())
    found["filming"] = folder / "filming.html"
    found["filming"].unlink(missing_ok=True)
    store_page(found["filming"])
    lines = [f'<li><a href="{name}.html">{escape(_title(name))}</a></li>' for name in found]
    (folder / "index.html").write_text(
        f'<!doctype html><meta charset="utf-8"><title>Made-up students</title><ul>{"".join(lines)}</ul>',
        encoding="utf-8",
    )
    return found


def _title(name: str) -> str:
    return f"{_KINDS[name.split('_')[0]]}: {STATES[name].title}" if name in STATES else "How to film"


if __name__ == "__main__":
    places = [each for each in sys.argv[1:] if not each.startswith("--")]
    if len(places) != 1:
        sys.exit("Give one folder: python tests/pages/made_up_students.py FOLDER [--pdf]")
    made = make_pages(Path(places[0]), pdf="--pdf" in sys.argv)
    print(f"{len(made)} pages: {Path(places[0]) / 'index.html'}")
