"""The words about the stroke: what it is, both setups, every putt, and no more than can be told."""

from putt_posture.drawing.setup_charts import ArcNames
from putt_posture.pages.wanted_setup import write_arc_section
from putt_posture.setup_arc import GEOMETRY_ONLY, compare_arcs, find_arc
from putt_posture.values import Estimate, Pendulum, absent

NAMES = ArcNames(before="as filmed", after="wanted setup")


def cm(value, sigma):
    return Estimate(value=value, standard_uncertainty=sigma, unit="cm")


def arc(offset):
    lie = Estimate(value=70.0, standard_uncertainty=1.0, unit="deg")
    return find_arc(Pendulum(hand_offset=offset, shoulder_drop=cm(56, 2), hand_height=cm(75, 1.5), lie=lie))


def section(before, after):
    return write_arc_section(compare_arcs(arc(before), arc(after)), names=NAMES)


def plain(text):
    return text.replace("\N{NO-BREAK SPACE}", " ")


def test_it_says_that_it_is_geometry_and_no_measured_stroke():
    made = section(cm(10, 2), cm(0, 1.5))
    assert made.says == GEOMETRY_ONLY
    assert "not a measured stroke" in made.says
    assert GEOMETRY_ONLY not in made.assumptions


def test_hands_outside_run_inside_and_open_hands_inside_outside_and_closed():
    outside, inside = section(cm(10, 1), cm(-10, 1)).facts[:2]
    assert outside.name == "As filmed"
    assert "0.4 ± 0.1 cm inside the target line" in plain(outside.says)
    assert "open at the end of the backswing" in outside.says
    assert "0.4 ± 0.1 cm outside the target line" in plain(inside.says)
    assert "closed at the end of the backswing" in inside.says


def test_an_arc_within_its_margin_is_not_told_from_the_line():
    assert "along the target line as far as can be measured" in section(cm(10, 2), cm(0.5, 1.5)).facts[1].says


def test_the_heading_says_what_the_arc_assumes():
    title = section(cm(10, 2), cm(0, 0.1)).title
    assert title == "From setup to stroke, if the arms swing square about the shoulders"


def test_the_edges_of_the_hole_in_the_picture_are_explained():
    how = plain(section(cm(10, 2), cm(0, 0.1)).how)
    assert "The lines are for a ball that dies at the hole." in how
    assert "roll 40 cm past it, they are about 21 to 26 % nearer to each other" in how
    hidden = absent("Hidden.", unit="cm")
    assert section(hidden, hidden).how == ""


def test_a_missing_arc_is_said_with_its_reason():
    made = section(cm(10, 2), absent("The hands are hidden.", unit="cm"))
    assert made.facts[1].says == "The hands are hidden."
    assert len(made.facts) == 2


def test_the_share_of_the_face_is_named_as_common_practice():
    assert "85 %, common practice: 80 to 90 %" in plain(section(cm(10, 2), cm(0, 1)).how)
