"""Where findings and what the student said agree and disagree."""

import pytest
from made_up_setups import fit_of, posture_of, student_of

from putt_posture.findings import find_findings
from putt_posture.values import Interview


def said(changed=None, *, handed="right", length=84.0, **words) -> str:
    student = student_of(handed=handed, putter_length_cm=length)
    return " ".join(find_findings(posture_of(changed), fit_of(), student, interview=Interview(**words)).said)


OUT = {"hand_offset": 9.0}
BEHIND = {"elbow_depth": -12.0}


@pytest.mark.parametrize(
    ("changed", "misses", "says"),
    [
        (OUT, "left and right under 2 m", "The student misses on both sides. That fits"),
        (
            OUT,
            "always right",
            "The student misses to the right only. With what was found putts may miss on both sides.",
        ),
        (
            OUT,
            "leaves long putts short",
            "The student misses short of the hole. With what was found putts may miss on both",
        ),
        (BEHIND, "pulls the short ones", "The student misses to the left. That fits"),
        (BEHIND, "always right", "The student misses to the right. With what was found putts may miss to the left."),
        ({}, "always right", "The student misses to the right, and nothing in the setup was found that explains it."),
    ],
)
def test_agreement_and_disagreement_are_said(changed, misses, says):
    assert says in said(changed, misses=misses)


def test_a_left_hander_pulls_to_the_right():
    assert "That fits" in said(BEHIND, handed="left", misses="to the right")
    assert "That fits" not in said(BEHIND, handed="left", misses="to the left")


def test_distance_is_not_promised_to_the_setup():
    # Karlsen and Nilsson 2008, IJSSC 3(1): of the distance error reading made 60 %, technique 34 %.
    assert "a third came from technique" in said(OUT, weak_putts="lag")
    assert "That fits" in said(OUT, weak_putts="short")
    assert said(OUT, weak_putts="both") == ""


def test_nothing_said_is_nothing_compared():
    assert said(OUT) == ""


def test_how_the_putter_was_chosen_is_quoted_beside_its_finding():
    story = "bought for its looks"
    assert f"\N{LEFT DOUBLE QUOTATION MARK}{story}" in said(length=93.0, putter_story=story)
    assert story not in said(OUT, putter_story=story)


def test_limits_are_named_and_unknown_ones_are_asked_about():
    assert "The student has a limit: back and knee." in said(OUT, limits="bad back, cannot bend knees far")
    assert "Fit it to the tilt that is easy" in said(OUT, limits="bad back")
    assert "Fit it to the tilt that is easy" not in said(OUT, limits="sore knee")
    assert "Ask before you change the setup." in said(OUT, limits="an old war wound")
    assert said(OUT, limits="no pain") == ""
