"""The text of a comparison: the changes first, each measure once, and what makes the two hard to compare."""

from attrs import evolve

from putt_posture.changes import weigh_change
from putt_posture.measures import MEASURES
from putt_posture.pages.comparison import HOW, draw_pictures, write_comparison
from putt_posture.values import Changes, absent
from putt_posture.wording import CAUTIONS


def test_each_measure_is_in_one_of_four_lists(report) -> None:
    names = [row.name for row in (*report.changed, *report.maybe, *report.unchanged, *report.absent_rows)]
    assert sorted(names) == sorted(MEASURES)
    assert [row.name for row in report.changed] == ["spine_tilt", "hand_offset"]
    assert {"shaft_lie", "putter_length"} <= {row.name for row in report.absent_rows}


def test_the_summary_counts_the_changes_among_what_both_lessons_have(report) -> None:
    told = len(report.changed) + len(report.maybe) + len(report.unchanged)
    assert report.summary == (
        f"2 of the {told} measures taken in both lessons changed by more than the noise. If nothing had changed, a "
        "change would be named in at most 1 of 20 comparisons."
    )


def test_days_and_setups_of_both_lessons_are_told(report) -> None:
    facts = {fact.name: fact.says for fact in report.facts}
    assert facts["Before"] == "17 May 2026, 1 setup measured"
    assert facts["After"] == "3 July 2026, 1 setup measured"
    assert facts["Compared"] == "1 August 2026"


def test_the_arcs_of_both_filmed_setups_are_compared(report) -> None:
    assert [fact.name for fact in report.arcs.facts] == ["Before", "After", "Change of depth"]


def test_it_says_how_it_was_reckoned_and_the_cautions(report) -> None:
    assert report.how == HOW
    assert report.cautions == CAUTIONS
    assert "1.5° of spine tilt and 1° of the shaft's lie, one sigma" in report.how[2]
    assert any("Only one setup" in sentence for sentence in report.warnings)


def test_both_views_have_their_plates(report) -> None:
    assert [view.title for view in report.views] == ["Down the line", "Face on"]
    assert report.missing == ()


def test_a_lesson_kept_without_pictures_is_said_once(comparison) -> None:
    bare = evolve(comparison, before=evolve(comparison.before, views={}))
    pictures = draw_pictures(bare)
    assert pictures.views == ()
    assert pictures.missing == (
        "The lesson before was kept without pictures, so the pictures cannot be put side by side.",
    )


def test_a_view_that_only_one_lesson_has_is_left_to_the_warnings(comparison) -> None:
    record = comparison.after.record
    alone = evolve(record, views={"face_on": record.views["face_on"]})
    views = {"face_on": comparison.after.views["face_on"]}
    pictures = draw_pictures(evolve(comparison, after=evolve(comparison.after, record=alone, views=views)))
    assert [view.title for view in pictures.views] == ["Face on"]
    assert pictures.missing == ()


def test_hidden_faces_are_told(comparison, pictures) -> None:
    record = evolve(comparison.before.record, faces_hidden=True)
    one = evolve(comparison, before=evolve(comparison.before, record=record))
    facts = {fact.name: fact.says for fact in write_comparison(one, pictures=pictures).facts}
    assert facts["Faces"] == "hidden in the pictures before only"


def test_two_lessons_with_nothing_in_common_say_so(comparison, pictures) -> None:
    none = absent("It is missing.", unit="cm")
    nothing = Changes(measures={name: weigh_change(name, none, none, none) for name in MEASURES})
    made = write_comparison(evolve(comparison, changes=nothing), pictures=pictures)
    assert made.summary == "No measure was taken in both lessons, so no change can be shown."
    assert (made.changed, made.unchanged) == ((), ())
