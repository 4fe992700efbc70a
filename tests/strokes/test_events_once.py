"""Events that are kept in a run of the tests are found anew where anything about the stroke or the wishes differs."""

import numpy as np
from attrs import evolve
from events_once import found_once
from filmed_strokes import film_stroke


def test_the_same_stroke_is_looked_at_once_and_another_one_anew() -> None:
    looked = []

    def find(seen, **how):
        looked.append((seen, how))
        return {"start": len(looked)}

    once, seen = found_once(find), film_stroke(rng=np.random.default_rng(1)).seen
    moved = seen.points_px.copy()
    moved[40, 15, 0] += 1e-9
    others = [
        (seen, {}),
        (evolve(seen, points_px=moved), {}),
        (evolve(seen, address_s=(0.2, 0.8)), {}),
        (seen, {"placed": {"top": 1.8}}),
        (seen, {"placed": {"top": 1.9}}),
        (seen, {"time_stretch": 8.0}),
    ]
    for _ in range(2):
        assert [once(each, **how)["start"] for each, how in others] == [1, 2, 3, 4, 5, 6]
    assert len(looked) == 6
    once(seen)["start"] = 0
    assert once(seen)["start"] == 1
