"""A change as people read it: what it was, what it is, by how much, and whether it is one."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.changes import find_changes
from putt_posture.documents import change_rows
from putt_posture.measures import MEASURES
from putt_posture.pages import say_counts
from putt_posture.values import Estimate, Measured, absent


def row(name, before, after):
    """Return the row of a measure from (value, standard uncertainty) before and after, or a reason."""

    def number(told):
        unit = MEASURES[name].unit
        if isinstance(told, str):
            return absent(told, unit=unit)
        return Estimate(value=told[0], standard_uncertainty=told[1], unit=unit, view="down_the_line")

    changes = find_changes(*(Measured(measures={name: number(told)}) for told in (before, after)))
    return next(each for each in change_rows(changes) if each.name == name)


def plain(text):
    return text.replace("\N{NO-BREAK SPACE}", " ")


def test_a_real_change_says_what_it_is_worth() -> None:
    found = row("spine_tilt", (24.0, 1.5), (40.0, 1.5))
    assert (found.real, found.verdict, found.says) == (True, "a change", MEASURES["spine_tilt"].shift.more)
    assert (found.before, found.after, found.from_to) == ("24.0 ± 2.9°", "40.0 ± 2.9°", "24.0 → 40.0°")
    assert found.change == "+16.0 ± 4.2°"
    assert found.interval == "11.8 to 20.2°"


def test_a_fall_says_the_other_thing_with_a_true_minus_and_in_inches_too() -> None:
    found = row("hand_offset", (9.0, 1.0), (-1.0, 1.0))
    assert found.says == MEASURES["hand_offset"].shift.less
    assert plain(found.from_to) == "+9.0 → −1.0 cm"
    assert plain(found.change) == "−10.0 ± 2.8 cm"
    assert plain(found.imperial) == "−3.9 ± 1.1 in"


def test_what_passes_its_own_margin_and_no_more_may_be_a_change() -> None:
    # Beyond its own margin of 4.2° (chance 0.034), among four that were looked at together (0.14).
    one, others = ((24.0, 1.5), (28.5, 1.5)), ("back_rounding", "head_drop", "knee_flex")
    lessons = []
    for at in (0, 1):
        values = {"spine_tilt": one[at]} | dict.fromkeys(others, (30.0, 1.5))
        lessons.append(
            Measured(
                measures={
                    name: Estimate(value=value, standard_uncertainty=u, unit="deg", view="down_the_line")
                    for name, (value, u) in values.items()
                }
            )
        )
    rows = {each.name: each for each in change_rows(find_changes(*lessons))}
    found = rows["spine_tilt"]
    assert (found.real, found.maybe, found.verdict, found.says) == (False, True, "may be a change", "")
    assert say_counts(tuple(rows.values())) == (
        "None of the 4 measures taken in both lessons changed by more than the noise. One may have changed; of 4 that "
        "did not change, fewer than one would look that way by chance."
    )


def test_what_is_not_told_says_below_which_size_and_nothing_about_the_stroke() -> None:
    found = row("spine_tilt", (24.0, 1.5), (26.0, 1.5))
    assert (found.real, found.says) == (False, "")
    assert found.verdict == "within the noise (alone: from 4.2°)"


def test_a_change_just_beyond_its_margin_does_not_look_equal_to_it() -> None:
    found = row("stance_width", (28.0, 1.0), (31.4, 1.0))
    assert found.real
    assert plain(found.change) == "+3.4 ± 2.8 cm"


@given(st.floats(5, 80), st.floats(5, 80), st.floats(0.3, 6))
def test_what_is_printed_adds_up(before, after, sigma) -> None:
    found = row("hand_height", (before, sigma), (after, sigma))

    def number(text):
        return Decimal(text.replace("−", "-"))

    first, last = (number(part) for part in plain(found.from_to).removesuffix(" cm").split(" → "))
    assert plain(found.before).startswith(f"{first} ± ")
    assert plain(found.after).startswith(f"{last} ± ")
    change, margin = (number(part) for part in plain(found.change).removesuffix(" cm").split(" ± "))
    assert change == last - first
    low, high = (number(part) for part in plain(found.interval).removesuffix(" cm").split(" to "))
    assert (low, high) == (change - margin, change + margin)


def test_two_lessons_with_unlike_margins_are_written_with_like_digits() -> None:
    found = row("spine_tilt", (27.7, 0.8), (31.2, 1.6))
    assert (found.from_to, found.change) == ("27.7 → 31.2°", "+3.5 ± 3.5°")


@pytest.mark.parametrize(
    ("before", "after", "says"),
    [((24.0, 1.5), "The hip is hidden.", "Not measured after. The hip is hidden."),
     ("The hip is hidden.", (24.0, 1.5), "Not measured before. The hip is hidden.")],
)  # fmt: skip
def test_an_absent_side_makes_a_false_row_that_says_why_and_keeps_the_other(before, after, says) -> None:
    found = row("spine_tilt", before, after)
    assert not found
    assert found.absent == says
    assert {found.before, found.after} == {"", "24.0 ± 2.9°"}
    assert (found.change, found.verdict, found.from_to, found.interval) == ("", "", "", "")


def test_a_gap_near_nought_is_written_with_its_margin_and_not_cut() -> None:
    assert plain(row("elbow_gap_lead", (1.0, 2.0), (2.0, 2.0)).before) == "1.0 ± 3.9 cm"
