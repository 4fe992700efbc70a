"""Events and kinds of held-out strokes whose truth is known, from what was seen of them.

`keep_strokes.py` made ``kept_strokes.npz``. Nothing was tuned on these strokes; the study has the figures of all.
"""

import functools

import pytest
from keep_strokes import KEPT, read_kept_strokes

from putt_posture.strokes.events import find_events
from putt_posture.values import VIEWS

STROKES = {kept.name: kept for kept in read_kept_strokes()}
FACE_ON_S = {"start": 0.025, "top": 0.015, "impact": 0.010}
"""The study's targets for the root mean square error."""
DOWN_THE_LINE_S = {"start": 0.030, "top": 0.085, "impact": 0.015}
"""Down the line the stroke goes toward the camera, and its top shows less: what was reached on 2026-11-27 and a little
more. Not a target."""
SURE = 3.0
"""No event face on is farther from the truth than this many standard uncertainties."""
MOST_BYTES = 1_500_000
ON_TIME = [(name, event) for name in STROKES for event in FACE_ON_S]


@functools.cache
def events_of(name):
    return find_events(STROKES[name].seen)


def test_both_views_are_kept_and_the_file_stays_small():
    assert {kept.seen.view for kept in STROKES.values()} == set(VIEWS)
    assert KEPT.stat().st_size < MOST_BYTES


@pytest.mark.parametrize(("name", "event"), ON_TIME)
def test_event_of_a_held_out_stroke_is_on_time(name, event):
    kept = STROKES[name]
    tolerance = (FACE_ON_S if kept.seen.view == "face_on" else DOWN_THE_LINE_S)[event]
    assert events_of(name)[event].value == pytest.approx(kept.events[event], abs=tolerance)


@pytest.mark.parametrize(("name", "event"), [(n, e) for n, e in ON_TIME if STROKES[n].seen.view == "face_on"])
def test_uncertainty_face_on_covers_the_truth(name, event):
    found, true = events_of(name)[event], STROKES[name].events[event]
    assert abs(found.value - true) <= SURE * found.standard_uncertainty


@pytest.mark.parametrize("name", STROKES)
def test_putt_is_not_taken_for_a_practice_stroke(name):
    kept = STROKES[name]
    assert kept.kind == "putt"
    assert kept.seen.kind in (("putt",) if kept.seen.view == "face_on" else ("putt", "unsure"))
