"""Lengths in the unit of the reader: sentences, numbers with margins, and what stays as it is."""

import pytest
from invented import make_lesson

from putt_posture.documents.comparison_json import change_rows
from putt_posture.documents.tables import rows_of
from putt_posture.errors import UsageError
from putt_posture.figures import format_interval, format_margin
from putt_posture.shown_units import (
    AsIs,
    in_shown_unit,
    length_in_shown_unit,
    say_in_shown_unit,
    show_lengths_in,
    shown_length_unit,
    texts_in_shown_unit,
)
from putt_posture.units import CM_PER_INCH
from putt_posture.values import Estimate, absent

SENTENCES = {
    "The hands are 74.8 cm above the ground.": "The hands are 29.4 in above the ground.",
    "hands +9.5\xa0cm and eyes −15.7\xa0cm": "hands +3.7\xa0in and eyes −6.2\xa0in",
    "a height of 173 cm, where 70 to 90 cm is possible": "a height of 68.1 in, where 27.6 to 35.4 in is possible",
    "between 4 and 5 cm of 12 frames and 3 cm": "between 1.6 and 2.0 in of 12 frames and 1.2 in",
    "landmarks ±2.1 cm, scale ±1.0 cm": "landmarks ±0.8 in, scale ±0.4 in",
    "3.3 (0.0 to 8.1) cm": "1.3 (0.0 to 3.2) in",
    "0.02 cm": "0.01 in",
    "−0.04 cm": "−0.02 in",
    "172.7 cm (5 ft 8 in)": "5 ft 8 in (172.7 cm)",
    "33.0\xa0in (83.8\xa0cm), and 83.8 cm": "33.0\xa0in (83.8\xa0cm), and 33.0 in",
    "36.0 → 33.2 in (91.4 → 84.4 cm)": "36.0 → 33.2 in (91.4 → 84.4 cm)",
    "31.1 to 35.3 in (79.2 to 89.6 cm)": "31.1 to 35.3 in (79.2 to 89.6 cm)",
    "1.0 (0.0 to 1.9) in (2.5 (0.0 to 4.9) cm)": "1.0 (0.0 to 1.9) in (2.5 (0.0 to 4.9) cm)",
    "36.0 ± 0.2 in (91.4 ± 0.6 cm (by hand))": "36.0 ± 0.2 in (91.4 ± 0.6 cm (by hand))",
    "+1.8 ± 0.8 in (from 0.9 cm to 5.7 cm)": "+1.8 ± 0.8 in (from 0.4 in to 2.2 in)",
    "3 m (10 ft)": "10 ft (3 m)",
    "10 ft (3 m)": "10 ft (3 m)",
    "about 4.0 m away, within 4.4 ± 0.4 m": "about 13.1 ft away, within 14.4 ± 1.3 ft",
    "12.5 pixels, 30°, 5 frames, 1.5 m/s, 3 cm²": "12.5 pixels, 30°, 5 frames, 1.5 m/s, 3 cm²",
}


@pytest.mark.parametrize("said", SENTENCES)
def test_a_sentence_is_said_in_inches(said) -> None:
    with show_lengths_in("inches"):
        assert say_in_shown_unit(said) == SENTENCES[said]
    assert say_in_shown_unit(said) == said


def test_what_a_person_typed_stays_in_every_text() -> None:
    texts = {"note": AsIs("stands 5 cm closer"), "says": ["5 cm closer", ("5 cm",), 5, None]}
    with show_lengths_in("inches"):
        assert texts_in_shown_unit(texts) == {
            "note": "stands 5 cm closer",
            "says": ["2.0 in closer", ["2.0 in"], 5, None],
        }


def test_the_unit_is_that_of_before_again_after_an_error() -> None:
    with pytest.raises(KeyError), show_lengths_in("inches"):
        raise KeyError
    assert shown_length_unit() == "cm"


def test_an_unknown_unit_is_refused_in_one_sentence() -> None:
    with pytest.raises(UsageError, match=r"in 'furlongs'\. Write cm or inches"), show_lengths_in("furlongs"):
        pass


def test_a_length_is_shown_from_its_printed_centimetres() -> None:
    offset = Estimate(value=9.54, standard_uncertainty=2.6, unit="cm", budget={"scale": 2.54}, automatic=2.54)
    with show_lengths_in("inches"):
        shown = in_shown_unit(offset)
        assert shown.unit == "in"
        assert shown.value == pytest.approx(9.5 / CM_PER_INCH)
        assert shown.margin == pytest.approx(5.1 / CM_PER_INCH)
        assert shown.budget == {"scale": pytest.approx(1.0)}
        assert format_margin(shown) == say_in_shown_unit(format_margin(offset)) == "3.7 ± 2.0\xa0in"
        assert format_interval(shown) == "1.7 to 5.7\xa0in"


def test_angles_and_absent_numbers_stay() -> None:
    tilt, hidden = Estimate(value=30.0, standard_uncertainty=2.0, unit="deg"), absent("The hip is hidden.", unit="cm")
    with show_lengths_in("inches"):
        assert in_shown_unit(tilt) is tilt
        assert in_shown_unit(hidden).absent == "The hip is hidden."
        assert length_in_shown_unit(3.0, "%") == (3.0, "%")


def test_rows_have_one_unit_and_add_up(comparison) -> None:
    """An interval is value less and plus margin, and a change the difference of its ends, as they are printed."""
    with show_lengths_in("inches"):
        rows, changes = rows_of(make_lesson()), change_rows(comparison.changes)
    for row in rows:
        assert "cm" not in row.figure + row.interval + row.budget
        assert not row.imperial
    lengths = [row for row in changes if row.change.endswith("in")]
    assert len(lengths) > 5
    for row in lengths:
        before, after, change = (
            float(text.replace("−", "-").split()[0]) for text in (row.before, row.after, row.change)
        )
        assert change == pytest.approx(after - before)
        assert not row.imperial
        assert "cm" not in row.verdict + row.from_to + row.interval


def test_a_change_is_real_or_not_whatever_the_unit(comparison) -> None:
    in_cm = [(row.name, row.real, row.maybe) for row in change_rows(comparison.changes)]
    with show_lengths_in("inches"):
        assert [(row.name, row.real, row.maybe) for row in change_rows(comparison.changes)] == in_cm
