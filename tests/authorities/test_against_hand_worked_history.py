"""The numbers of a history against a table that was worked by hand.

One student, five visits, the tilt of the spine; standard uncertainty 2.0° each time. Half of the variance is shared by
any two visits (the same camera, the same body), so that the standard uncertainty of a change is
√(2.0² + 2.0² − 2 · 0.5 · 2.0²) = 2.0°, and the smallest real change 1.96 · 2.0° = 3.92°.

| place | day | shows | tilt | since the visit before | real? | since the first | real? | since the rebuild | real? |
|---|---|---|---|---|---|---|---|---|---|
| 0 | 2 March 2026 | as it was | 25.0° | | | | | | |
| 1 | 2 March 2026 | rebuilt | 36.0° | +11.0° | yes | +11.0° | yes | | |
| 2 | 6 April 2026 | later look | 34.0° | −2.0° | no | +9.0° | yes | −2.0° | no |
| 3 | 1 June 2026 | later look | absent | | | | | | |
| 4 | 7 September 2026 | later look | 31.0° | −3.0° | no | +6.0° | yes | −5.0° | yes |

No step after the rebuild is a change by itself (2.0 and 3.0 < 3.92), but both together are (5.0 > 3.92), the other way
than the rebuild (+11.0): the tilt has gone back, though not all the way (+6.0 > 3.92 since the first visit).
The smallest real change is that of J. P. Weir, "Quantifying test-retest reliability using the intraclass correlation
coefficient and the SEM", *Journal of Strength and Conditioning Research* 19 (2005): 1.96 · √2 · SEM with independent
errors of one size, here with the shared part taken out.
"""

import json
import math
from datetime import date

import pytest

from putt_posture.changes import weigh_change
from putt_posture.history import find_courses
from putt_posture.measures import MEASURES
from putt_posture.pages import store_history
from putt_posture.values import Changes, Estimate, History, Measured, Visit, absent

SHARED = 0.5
SMALLEST_REAL = 1.96 * 2.0
HAND_ROUNDING = 1e-3
"""The table takes 1.96 for 1.959964."""

TABLE = [
    (date(2026, 3, 2), "before", 25.0),
    (date(2026, 3, 2), "after", 36.0),
    (date(2026, 4, 6), "check", 34.0),
    (date(2026, 6, 1), "check", None),
    (date(2026, 9, 7), "check", 31.0),
]


def tilt(value):
    return (
        absent("The hips are hidden.", unit="deg")
        if value is None
        else Estimate(value=value, standard_uncertainty=2.0, unit="deg")
    )


def changes(before, after, *, repeats=None):
    found = {}
    for name, measure in MEASURES.items():
        unit = measure.unit
        none = absent("It was not measured.", unit=unit)
        one, two = (each.measures.get(name, none) for each in (before, after))
        change = none
        if one and two:
            u, v = one.standard_uncertainty, two.standard_uncertainty
            change = Estimate(
                value=two.value - one.value,
                standard_uncertainty=math.sqrt(u**2 + v**2 - 2 * SHARED * u * v),
                unit=measure.unit,
            )
        found[name] = weigh_change(name, one, two, change)
    return Changes(measures=found)


@pytest.fixture(scope="module")
def history():
    none = absent("No hands.", unit="cm")
    visits = tuple(
        Visit(lesson=place + 1, day=day, moment=moment, measured=Measured(measures={"spine_tilt": tilt(value)}),
              putter_in_use_cm=None, suggested=none)
        for place, (day, moment, value) in enumerate(TABLE)
    )  # fmt: skip
    return History(name="Robin Example", visits=visits)


@pytest.fixture(scope="module")
def document(history, tmp_path_factory):
    folder = store_history(history, tmp_path_factory.mktemp("stored") / "history", find_changes=changes)
    return json.loads((folder / "history.json").read_text(encoding="utf-8"))


def test_the_steps_are_those_of_the_table(history):
    course = find_courses(history, find_changes=changes)["spine_tilt"]
    steps = [(step.start, step.end, step.change.change.value, step.change.real) for step in course.steps]
    assert steps == [(0, 1, 11.0, True), (1, 2, -2.0, False), (2, 4, -3.0, False)]
    for step in course.steps:
        assert step.change.smallest_alone == pytest.approx(SMALLEST_REAL, abs=HAND_ROUNDING)


def test_the_stored_numbers_are_those_of_the_table(document):
    course = document["courses"]["spine_tilt"]
    assert (course["first"], course["rebuilt"], course["latest"], course["verdict"]) == (0, 1, 4, "back")
    for name, value in (("since_first", 6.0), ("by_rebuild", 11.0), ("since_rebuilt", -5.0)):
        assert course[name]["value"] == value
        assert course[name]["real"] is True
        assert course[name]["smallest_alone"] == pytest.approx(SMALLEST_REAL, abs=HAND_ROUNDING)


def test_until_april_it_had_held(history):
    shorter = History(name=history.name, visits=history.visits[:3])
    course = find_courses(shorter, find_changes=changes)["spine_tilt"]
    assert course.since_first.change.value == 9.0
    assert course.since_rebuilt.change.value == -2.0
    assert course.verdict == "held"


def test_the_page_says_it_in_the_numbers_of_the_table(history, tmp_path):
    folder = store_history(history, tmp_path / "history", find_changes=changes)
    page = (folder / "history.html").read_text(encoding="utf-8").replace("\N{NO-BREAK SPACE}", " ")
    assert "Rebuild: +11.0 ± 3.9°. Since then: −5.0 ± 3.9° (from 36.0 ± 3.9° to 31.0 ± 3.9°)." in page
    assert "25.0 ± 3.9° → 31.0 ± 3.9°" in page
