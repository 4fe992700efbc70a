"""What following the strokes tells of setups that were found before."""

from pathlib import Path

import numpy as np
from attrs import evolve

from putt_posture.detection.detect import Detection
from putt_posture.detection.followed import find_followed
from putt_posture.values import Clip, SeenStroke, SeenStrokes, Setup, absent

STARTS_S = {"face_on": (2.0, 9.0), "down_the_line": (2.5, 9.5)}


def make_stroke(view, start_s, kind):
    times_s = np.linspace(start_s - 1, start_s + 2, 7)
    seen = SeenStroke.without_putter(
        view=view,
        times_s=times_s,
        address_s=(start_s - 1, start_s),
        stroke_s=(start_s, start_s + 1.5),
        points_px=np.zeros((7, 33, 2)),
        ball_leaves_s=absent("Nothing.", unit="s", view=view),
        why="",
    )
    return evolve(seen, kind=kind)


def make_detection(view, kinds, *, setups=(0, 1), together=True, stretch=1.0):
    starts_s = [stretch * each for each in STARTS_S[view]]
    clip = Clip(
        path=Path(f"{view}.mp4"),
        sha256="0" * 64,
        view=view,
        kind="video",
        width=720,
        height=1280,
        duration_s=12.0 * stretch,
        rate_hz=60.0,
        time_stretch=stretch,
    )
    shift_s = {"face_on": 0.5, "down_the_line": -0.5}[view]
    return Detection(
        clip=clip,
        setups=tuple(
            Setup(
                moment_s=starts_s[k] - 1,
                times_s=(starts_s[k] - 1,),
                window_s=(starts_s[k] - 1.5, starts_s[k] - 0.2),
                stroke_s=(starts_s[k], starts_s[k] + 1.5),
            )
            for k in setups
        ),
        landmarks=None,
        still=None,
        still_index=0,
        strokes=SeenStrokes(
            view=view,
            strokes=tuple(make_stroke(view, at_s, kind) for at_s, kind in zip(starts_s, kinds, strict=True)),
            to_other_s=shift_s if together else float("nan"),
        ),
    )


def find(**kinds):
    return find_followed({view: make_detection(view, each) for view, each in kinds.items()})


def practice_of(found):
    return {view: [each.practice for each in strokes] for view, strokes in found.items()}


def test_a_setup_before_a_practice_stroke_is_told_where_a_putt_follows():
    found = find(face_on=("practice", "putt"))
    assert practice_of(found) == {"face_on": [True, False]}
    assert [each.stroke_s for each in found["face_on"]] == [(2.0, 3.5), (9.0, 10.5)]
    assert [each.address_s for each in found["face_on"]] == [(1.0, 2.0), (8.0, 9.0)]


def test_all_setups_stay_where_every_stroke_or_none_is_practice():
    assert find(face_on=("practice", "practice")) == {}
    assert find(face_on=("putt", "putt")) == {}
    assert find(face_on=("unsure", "putt")) == {}


def test_all_setups_stay_where_the_practice_stroke_had_none():
    assert find_followed({"face_on": make_detection("face_on", ("practice", "putt"), setups=(1,))}) == {}


def test_a_stroke_where_none_was_seen_before_asks_for_its_setup():
    seen = make_detection("face_on", ("practice", "putt"), setups=(0,))
    unaware = evolve(seen, setups=(evolve(seen.setups[0], stroke_s=None),))
    assert practice_of(find_followed({"face_on": unaware})) == {"face_on": [True, False]}
    by_hand = evolve(seen, setups=(evolve(seen.setups[0], stroke_s=None, chosen_by="person"),))
    assert find_followed({"face_on": by_hand}) == {}


def test_the_other_clip_tells_what_this_one_does_not_show_where_both_show_one_performance():
    kinds = {"face_on": ("practice", "putt"), "down_the_line": ("unsure", "unsure")}
    assert practice_of(find(**kinds)) == {"face_on": [True, False], "down_the_line": [True, False]}
    apart = {view: make_detection(view, each, together=False) for view, each in kinds.items()}
    assert practice_of(find_followed(apart))["down_the_line"] == [False, False]


def test_a_stroke_that_lies_over_one_of_the_other_clip_is_of_its_kind_where_no_ball_is_seen():
    front = make_detection("face_on", ("practice", "putt"), together=False)
    side = make_detection("down_the_line", ("practice", "practice"), together=False)

    def shifted(**about):
        strokes = tuple(evolve(each, shift_s=0.4, **about) for each in side.strokes.strokes)
        return evolve(side, strokes=evolve(side.strokes, strokes=strokes))

    found = find_followed({"face_on": front, "down_the_line": shifted()})
    assert practice_of(found) == {"face_on": [True, False], "down_the_line": [True, False]}
    lies = find_followed({"face_on": front, "down_the_line": shifted(ball_px=np.zeros((7, 2)))})
    assert practice_of(lies)["down_the_line"] == [True, True]


def test_a_slowed_clip_is_laid_beside_the_other_in_real_time():
    slow = make_detection("face_on", ("practice", "putt"), stretch=8.0)
    side = make_detection("down_the_line", ("unsure", "unsure"))
    found = find_followed({"face_on": slow, "down_the_line": side})
    assert practice_of(found) == {"face_on": [True, False], "down_the_line": [True, False]}


def test_a_clip_without_strokes_tells_nothing():
    bare = evolve(make_detection("face_on", ("practice", "putt")), strokes=None)
    assert find_followed({"face_on": bare}) == {}
