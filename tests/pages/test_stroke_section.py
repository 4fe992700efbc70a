"""What a report says of the stroke: what was measured and from how many, no grade, and nothing that cannot be told."""

import re

import pytest
from attrs import evolve
from invented import make_lesson
from made_up_students import made
from pdf_text import read_pdf
from shown_strokes import add_no_stroke, add_strokes, make_numbers

from putt_posture.disk.marks import STROKE_CHARTS
from putt_posture.pages.stroke_numbers import CANNOT, say_with_hands, write_stroke_numbers
from putt_posture.pages.stroke_section import StrokePictures, draw_stroke, write_stroke_section
from putt_posture.shown_units import show_lengths_in, texts_in_shown_unit
from putt_posture.values import Estimate, Findings, SeenStrokes, absent

STROKES = ("report_stroke_one", "report_stroke_no_putter", "report_stroke_none")
GRADES = re.compile(
    r"\b(good|bad|poor|ideal|perfect|correct|wrong|too (?:long|short|fast|slow|much)|should|must)\b", re.IGNORECASE
)


def section_of(lesson, **given):
    """Return the words; what is drawn is only named here, since drawing it is tested beside the drawings."""
    named = StrokePictures(stills={}, charts=dict.fromkeys(STROKE_CHARTS, ""))
    return write_stroke_section(lesson, pictures=named if lesson.strokes else None, **given)


def all_text(section):
    parts = [section.line, *section.says, *section.doubts]
    parts += [each.title + each.figure for each in section.cards]
    parts += [each.says for each in section.views] + [each.caption for each in section.charts]
    return " ".join(parts).replace("\N{NO-BREAK SPACE}", " ")


def text_of(page):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", re.sub(r"data:[^\"]+", "", page))).replace("\xa0", " ")


@pytest.fixture(scope="module")
def one():
    lesson = add_strokes(make_lesson())
    return write_stroke_section(lesson, pictures=draw_stroke(lesson), clips=("face_on",))


def test_a_lesson_that_was_not_searched_for_strokes_has_no_section():
    assert section_of(make_lesson()) is None


def test_without_a_stroke_it_says_why_and_shows_nothing():
    section = section_of(add_no_stroke(make_lesson(), why="The clip ends at address."))
    assert section.says == ("The clip ends at address.",)
    assert not any((section.line, section.cards, section.views, section.charts, section.cannot))


def test_one_line_stands_for_the_stroke_on_the_first_screen(one):
    assert one.line.replace("\N{NO-BREAK SPACE}", " ") == "The stroke: back 0.67 s, through 0.32 s, a ratio of 2.1."


def test_no_digit_is_printed_that_is_not_there():
    """At 30 frames a second the ratio of one stroke is 2.1 ± 0.25: no second decimal."""
    coarse = {"tempo_ratio": Estimate(value=2.114, standard_uncertainty=0.128, unit="ratio")}
    section = section_of(add_strokes(make_lesson(), numbers=coarse))
    assert "a ratio of 2.1." in section.line
    assert "2.1 ± 0.3" in [each.figure for each in section.cards]


@pytest.mark.parametrize(
    ("kinds", "says", "silent"),
    [
        (("putt",), "those of the stroke that follows the measured setup", "means over"),
        (("practice", "putt", "putt"), "those of the stroke that follows the measured setup", "means over"),
        (
            ("practice", "putt", "putt", "putt"),
            "means over 3 putts. How much strokes differ is given from ten on",
            "those",
        ),
        (("practice",) * 3, "means over 3 practice strokes", "those"),
        (("putt",) * 10, "means over 10 putts.", "from ten on"),
    ],
)
def test_a_mean_comes_from_three_strokes_and_scatter_from_ten(kinds, says, silent):
    section = section_of(add_strokes(make_lesson(), kinds=kinds, stills=False))
    assert says in all_text(section)
    assert silent not in all_text(section)
    assert bool(section.scatter) == (kinds.count("putt") >= 10)


def test_practice_strokes_are_named_and_counted_apart():
    section = section_of(add_strokes(make_lesson(), kinds=("practice", "putt", "putt"), stills=False))
    assert "2 putts and 1 practice stroke" in all_text(section)
    assert section.views[0].says == "Stroke 2 of 3 in the clip: putt. The ball leaves."
    assert "Practice strokes are hatched." in all_text(section)


def test_it_says_whether_both_views_show_one_stroke():
    same, other = (section_of(add_strokes(make_lesson(), together=each, stills=False)) for each in (True, False))
    assert "One stroke from two sides" in all_text(same)
    assert "It is not known whether both views show the same stroke" in all_text(other)
    assert "Whether both are one is not known." in all_text(other)
    for claimed in ("One stroke from two sides", "different strokes", "not one stroke"):
        assert claimed not in all_text(other)


def test_the_stills_stand_in_order_with_time_and_margin(one):
    for view in one.views:
        assert [each.title for each in view.plates] == ["Address", "Top", "Impact", "Finish"]
        assert view.plates[1].caption.replace("\N{NO-BREAK SPACE}", " ") == "at 1.67 ± 0.01 s"


def test_only_a_clip_that_is_beside_the_page_is_named(one):
    clips = {each.title: (each.clip, each.poster) for each in one.views}
    assert clips["Face on"] == ("stroke_face_on.mp4", "stroke_face_on_impact")
    assert clips["Down the line"] == ("", "")


def test_what_the_stroke_shows_of_the_findings_stands_in_the_section():
    lesson = add_strokes(make_lesson())
    said = ("Hands outside the shoulders: this stroke does not show it.",)
    assert section_of(lesson).beside == ()
    told = evolve(lesson, findings=Findings(lead="", stroke=said))
    assert section_of(told).beside == said
    assert write_stroke_numbers(told.strokes, findings=told.findings).beside == said


def test_doubts_and_the_reasons_of_absent_events_are_shown():
    lesson = add_strokes(make_lesson(), warnings=("The camera moved.",), stills=False)
    stroke = lesson.strokes.of["face_on"][0]
    events = {**stroke.events, "impact": absent("The ball is not in the picture.", unit="s")}
    odd = evolve(stroke, events=events, doubts=("Two frames were lost.",))
    strokes = evolve(lesson.strokes, of={**lesson.strokes.of, "face_on": (odd,)})
    side = evolve(lesson.views["down_the_line"], strokes=SeenStrokes(view="down_the_line", notes=("A cut at 3 s.",)))
    doubts = section_of(evolve(lesson, strokes=strokes, views={**lesson.views, "down_the_line": side})).doubts
    assert "The camera moved." in doubts
    assert "Two frames were lost." in doubts
    assert "A cut at 3 s." in doubts
    assert "Face on, impact: The ball is not in the picture." in doubts


def test_an_absent_putter_head_is_said_with_its_reason_and_not_drawn():
    lesson = add_strokes(make_lesson(), putter=False, stills=False)
    section, drawn = section_of(lesson), draw_stroke(lesson)
    assert "Putter head back" in [each.title for each in section.absent_rows]
    assert "Putter head" not in drawn.charts["stroke_from_front"]
    assert not [each for each in section.cards if "Putter" in each.title]


def test_each_number_stands_under_its_heading_once(one):
    titles = [row.title for group in one.groups for row in group.rows] + [row.title for row in one.absent_rows]
    assert len(titles) == len(set(titles)) == len(make_numbers())
    assert [each.title for each in one.groups][:3] == ["Time", "The hands", "The putter head"]


def test_nothing_says_good_or_bad_and_the_face_is_not_claimed(one):
    said = all_text(one).replace("Good players move too, so this shows amounts and no grade.", "")
    assert not GRADES.search(said), GRADES.search(said)
    assert any("angle of the putter face is not measured" in each for each in one.cannot)
    assert not re.search(r"face angle|square at impact|open at impact|closed at impact", said)


def test_the_start_of_the_ball_comes_with_what_it_can_mean():
    with_line = section_of(add_strokes(make_lesson(), ball_line=True, stills=False))
    assert [each for each in with_line.cannot if "first half metre" in each]
    without = section_of(add_strokes(make_lesson(), stills=False))
    assert list(without.cannot) == list(CANNOT)


@pytest.mark.parametrize("name", STROKES)
def test_each_state_makes_a_whole_page_without_a_script(name):
    page, _ = made(name)
    assert "<script" not in page
    assert "The stroke" in text_of(page)
    assert ("<video" in page) == (name == "report_stroke_one")
    assert "nan" not in text_of(page).lower().split()
    if "<video" in page:
        assert "autoplay" not in page
        assert 'preload="metadata"' in page
        assert "media-src" in page
    else:
        assert "media-src" not in page


def test_the_pdf_says_where_the_clip_is_and_shows_the_stills():
    _, set_pdf = made("report_stroke_one")
    text = read_pdf(set_pdf())
    for part in (
        "stroke_face_on.mp4",
        "Backswing time",
        "Address",
        "Finish",
        "What else moves",
        "putter face is not measured",
    ):
        assert part in text, part


def test_lengths_of_the_stroke_are_shown_in_inches_where_they_are_wanted():
    section = section_of(add_strokes(make_lesson(), views=("face_on",), stills=False))
    with show_lengths_in("inches"):
        shown = texts_in_shown_unit([each.figure for each in section.cards])
    assert "4.1 ± 0.2 in" in [each.replace("\xa0", " ") for each in shown]


def test_a_stored_lesson_without_pictures_says_the_same_numbers(one):
    numbers = write_stroke_numbers(add_strokes(make_lesson(), stills=False).strokes)
    for part in ("line", "says", "cards", "groups", "absent_rows", "scatter", "cannot"):
        assert getattr(numbers, part) == getattr(one, part), part
    assert numbers.views == numbers.charts == ()


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({"head": "with"}, "Up to impact, along the line, the head goes with the hands."),
        ({"head": "neither", "hips": "against"}, "Up to impact, along the line, the hips go against the hands."),
        (
            {"head": "with", "sternum": "with", "knees": "against"},
            "Up to impact, along the line, the head and the sternum go with the hands and the knees go against them.",
        ),
        ({"head": "neither"}, ""),
        ({}, ""),
    ],
)
def test_what_goes_with_the_hands_and_what_goes_against_them_is_said(said, sentence):
    strokes = evolve(add_strokes(make_lesson()).strokes, with_hands=said)
    assert say_with_hands(strokes) == sentence
    assert (sentence in write_stroke_numbers(strokes).says) == bool(sentence)
