"""Where practice tests agree and disagree with the findings and with what the student said."""

from datetime import date

import pytest
from made_up_setups import fit_of, posture_of, student_of

from putt_posture.findings import compare_with_practice, find_findings, read_coach_file
from putt_posture.practice import find_ranges
from putt_posture.values import Interview, PracticeTest, PuttCount

OUT = {"hand_offset": 9.0}  # shows on short putts
LEANS_BACK = {"shaft_lean": -9.0}  # shows on lag putts
SHORT_WEAK = ((90.0, 6, 3), (150.0, 6, 2), (460.0, 6, 1), (610.0, 6, 1), (760.0, 6, 0))
LONG_WEAK = ((90.0, 6, 6), (150.0, 6, 6), (460.0, 12, 0), (610.0, 12, 0))
BOTH_WEAK = ((90.0, 6, 2), (150.0, 6, 2), (460.0, 12, 0), (610.0, 12, 0))
NONE_WEAK = ((90.0, 6, 6), (150.0, 6, 5), (460.0, 6, 1), (610.0, 6, 1))


def practised(*counts, day=date(2026, 11, 3)):
    putts = tuple(PuttCount(distance_cm=cm, tried=tried, holed=holed) for cm, tried, holed in counts)
    return find_ranges(PracticeTest(day=day, counts=putts))


def says(counts, changed=None, **more) -> str:
    found = find_findings(posture_of(changed), fit_of(), student_of(putter_length_cm=84.0)).found
    return " ".join(compare_with_practice(found, practised(*counts), **more)).replace("\N{NO-BREAK SPACE}", " ")


def test_the_share_is_said_with_its_interval_beside_the_professionals() -> None:
    said = says(SHORT_WEAK, OUT)
    assert "Practice test of 3 November 2026: 5 of 12 short putts (up to 1.5 m (4.9 ft)) were holed, 42 % " in said
    assert "(19 to 68 %), where professionals hole 8" in said
    assert "not why" in said


@pytest.mark.parametrize(
    ("counts", "changed", "expected"),
    [
        (SHORT_WEAK, OUT, "What was found may show on short putts, so the test fits it."),
        (SHORT_WEAK, LEANS_BACK, "may show on long putts. It may not be the reason for the short ones."),
        (SHORT_WEAK, {}, "In the setup nothing was found that may be the reason."),
        (LONG_WEAK, OUT, "It may not be the reason for the long ones. Setup changes little in how far putts roll"),
        (LONG_WEAK, LEANS_BACK, "What was found may show on long putts, so the test fits it."),
        (BOTH_WEAK, OUT, "so the short ones fit it. It may not be the reason for the long ones."),
        (BOTH_WEAK, OUT, "which of the two is weaker is not certain"),
        (BOTH_WEAK, {**OUT, **LEANS_BACK}, "What was found may show on short and long putts, so the test fits it."),
        (NONE_WEAK, OUT, "This test does not show it, but so few putts cannot rule it out."),
        (NONE_WEAK, {}, "That fits the setup, in which nothing was found."),
        (SHORT_WEAK[:2], OUT, "by more than chance; too few long ones were tried."),
    ],
)
def test_agreement_with_the_findings_is_said(counts, changed, expected) -> None:
    assert expected in says(counts, changed)


@pytest.mark.parametrize(
    ("counts", "weak_putts", "expected"),
    [
        (SHORT_WEAK, "short", "The student finds short putts hardest, and the test agrees."),
        (SHORT_WEAK, "lag", "hardest. In the test it is the short ones that are certain to be below."),
        (BOTH_WEAK, "lag", "The test agrees, and the short ones are below too."),
        (BOTH_WEAK, "both", "The student finds short and long putts hardest, and the test agrees."),
        (NONE_WEAK, "short", "hardest. The test does not show it."),
        (SHORT_WEAK[:2], "lag", "Too few long ones were tried to tell."),
    ],
)
def test_agreement_with_the_student_is_said(counts, weak_putts, expected) -> None:
    assert expected in says(counts, OUT, interview=Interview(weak_putts=weak_putts))


def test_without_a_test_nothing_is_said() -> None:
    assert compare_with_practice((), None) == ()


def test_the_coachs_file_says_on_which_putts_a_fault_shows() -> None:
    coach = read_coach_file('[faults.hands_outside]\nputts = "lag"\n', where="mine.toml")
    assert "may show on long putts" in says(SHORT_WEAK, OUT, coach=coach)


@pytest.mark.parametrize("counts", [SHORT_WEAK, LONG_WEAK, BOTH_WEAK, NONE_WEAK])
@pytest.mark.parametrize("changed", [{}, OUT, LEANS_BACK])
def test_nothing_is_promised(counts, changed) -> None:
    words = set(says(counts, changed, interview=Interview(weak_putts="both")).lower().split())
    assert not words & {"will", "cure", "fix", "because", "guarantee", "proves"}
