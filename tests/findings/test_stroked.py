"""What the stroke shows of the findings: what it fits, what it does not show, and what is left over."""

import pytest
from made_up_setups import fit_of, posture_of, student_of

from putt_posture.errors import UsageError
from putt_posture.findings import compare_with_stroke, find_findings, load_coach_file, read_coach_file
from putt_posture.measures import STROKE_MEASURES
from putt_posture.setup_arc import find_arc
from putt_posture.values import Estimate, Pendulum, Strokes, absent

OUT = {"hand_offset": 9.0}
HEELS = {"balance": 20.0}
QUIET = {"hands_sideways_back": 0.0, "putter_sideways_back": -0.5, "hips_across": 0.2, "tilt_change": 0.3}


def strokes_of(numbers, *, sd=0.4, counted=5, with_hands=None):
    return Strokes(
        of={},
        numbers={
            name: Estimate(value=value, standard_uncertainty=sd, unit=STROKE_MEASURES[name].unit)
            for name, value in numbers.items()
        },
        counted=counted,
        with_hands=with_hands or {},
    )


def says(changed, numbers, *, handed="right", coach=None, arc=None, **more) -> str:
    found = find_findings(posture_of(changed), fit_of(), student_of(putter_length_cm=84.0)).found
    said = compare_with_stroke(found, strokes_of(numbers, **more), handed=handed, arc=arc, coach=coach)
    return " ".join(said).replace("\N{NO-BREAK SPACE}", " ")


def test_a_curved_path_fits_hands_outside() -> None:
    said = says(OUT, {**QUIET, "hands_sideways_back": -4.0})
    assert "Hands outside the shoulders: the stroke fits it, as the hands went 4.0 cm inside the line" in said
    assert "±" in said
    assert "other causes" in said


def test_a_straight_path_does_not_show_hands_outside() -> None:
    said = says(OUT, QUIET)
    assert "this stroke does not show it, as the hands went back along the line" in said
    assert "fits" not in said


def test_a_path_within_its_noise_cannot_tell() -> None:
    said = says(OUT, {"hands_sideways_back": -2.5, "putter_sideways_back": -2.0}, sd=1.5)
    assert "from this stroke it cannot be told, as hands sideways back (−2.5 ± 2.9 cm) and putter head" in said
    assert "are too uncertain" in said


def test_findings_that_the_stroke_cannot_tell_are_named_in_one_sentence() -> None:
    both = {**OUT, "spine_tilt": 15.0}
    said = says(both, {"hands_sideways_back": -2.5, "putter_sideways_back": -2.0, "tilt_change": 3.0}, sd=1.5)
    assert said.count("cannot be told") == 1
    assert "; " in said.split(": from this stroke")[0]


@pytest.mark.parametrize(("way", "word"), [("with", ", with the hands)"), ("against", ", against the hands)")])
def test_a_movement_along_the_line_is_said_to_go_with_the_hands_or_against_them(way, word) -> None:
    along = {**QUIET, "hips_along": 6.0}
    assert word in says({}, along, with_hands={"hips": way})
    assert "the hands)" not in says({}, along, with_hands={"hips": "neither"})


PATH = {
    "putter_back": 24.0, "putter_through": 28.0, "putter_sideways_back": -0.6, "putter_sideways_through": -0.9,
}  # fmt: skip


def arc_of(offset):
    def known(value, unit):
        return Estimate(value=value, standard_uncertainty=0.5, unit=unit)

    return find_arc(
        Pendulum(hand_offset=known(offset, "cm"), shoulder_drop=known(55, "cm"), hand_height=known(74, "cm"),
                 lie=known(71, "deg"))
    )  # fmt: skip


def test_the_measured_arc_is_set_beside_that_of_the_setup() -> None:
    alike = says({}, PATH, arc=arc_of(18.0), sd=0.3)
    assert "The putter head's arc, measured: 0.7 ± 0.4 cm inside a straight line, 25.0 cm to either side" in alike
    assert "They agree within what can be measured." in alike
    more = says({}, {**PATH, "putter_sideways_back": -4.0, "putter_sideways_through": -4.5}, arc=arc_of(0.0), sd=0.3)
    assert "The stroke bends more than that, by" in more
    outside = says({}, {**PATH, "putter_sideways_back": 4.0, "putter_sideways_through": 4.5}, arc=arc_of(18.0), sd=0.3)
    assert "cm outside a straight line" in outside
    assert "The stroke bends less than that, by" in outside
    gone = {name: value for name, value in PATH.items() if name != "putter_back"}
    assert "arc" not in says({}, gone, arc=arc_of(18.0), sd=0.3)


def test_a_sign_without_a_finding_is_left_over_and_makes_no_finding() -> None:
    said = says({}, {**QUIET, "hips_across": 5.0})
    assert said.startswith("The hips moved 5.0 cm toward the ball during the stroke")
    assert "Nothing that was found in the setup explains that." in said


def test_a_sign_that_a_finding_explains_is_not_left_over() -> None:
    said = says(HEELS, {**QUIET, "hips_across": 5.0})
    assert "Weight on the heels: the stroke fits it" in said
    assert "explains" not in said


@pytest.mark.parametrize(("handed", "hand"), [("right", "left"), ("left", "right")])
def test_the_lead_hand_is_that_of_the_student(handed, hand) -> None:
    assert f"The {hand} elbow went 4.0 cm off the ribs" in says({}, {"elbow_gap_change_lead": 4.0}, handed=handed)


@pytest.mark.parametrize(("counted", "expected"), [(1, "1 stroke is counted"), (2, "2 strokes are counted")])
def test_few_strokes_are_said_to_be_few(counted, expected) -> None:
    assert expected in says(OUT, QUIET, counted=counted)
    assert "counted" not in says(OUT, QUIET, counted=3)


def test_nothing_is_said_where_no_number_is_known() -> None:
    found = find_findings(posture_of(OUT), fit_of(), student_of(putter_length_cm=84.0)).found
    gone = Strokes(of={}, numbers={"hands_sideways_back": absent("Not seen.", unit="cm")}, counted=1)
    assert compare_with_stroke(found, gone, handed="right") == ()
    assert compare_with_stroke(found, None, handed="right") == ()
    assert compare_with_stroke(found, Strokes(of={}, numbers={}, why_none="No stroke."), handed="right") == ()


def test_a_coach_moves_the_ends_of_a_sign() -> None:
    coach = read_coach_file("[signs.hands_sideways_back]\nlow = -6", where="mine.toml")
    assert "fits" in says(OUT, {"hands_sideways_back": -4.0})
    assert "fits" not in says(OUT, {"hands_sideways_back": -4.0}, coach=coach)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("[signs.hands_sideways_back]\nof = ['nothing']", "there is no table [faults.nothing]"),
        ("[signs.hands_sideways_back]\nlow = 3", "3 is not less than high, 2"),
        ("[signs.hands_sideways_back]\nstays = 'at {wanted}'", "{wanted}, which is not filled in here"),
        (
            "[signs.spine_tilt]\nlow = 1\nhigh = 2\nof = []\nbelow = 'a'\nabove = 'b'\nstays = 'c'\nsource = 'd'",
            "is no number of the stroke",
        ),
    ],
)
def test_a_mistake_in_a_sign_is_said_with_its_place(text, expected) -> None:
    with pytest.raises(UsageError, match=r"mine\.toml") as caught:
        read_coach_file(text, where="mine.toml")
    assert expected in str(caught.value)


def test_each_sign_is_a_number_of_the_stroke_and_fits_a_fault() -> None:
    signs = load_coach_file().signs
    assert len(signs) > 5
    assert all(sign.measure in STROKE_MEASURES and sign.of and sign.low < 0 < sign.high for sign in signs)
