"""The stills show the marks where they are, and only them."""

import io
import math

import numpy as np
import pytest
from attrs import evolve
from invented import make_lesson
from PIL import Image

from putt_posture.drawing.colours import PART_COLOURS
from putt_posture.drawing.placing import find_crop
from putt_posture.drawing.sheet import Sheet
from putt_posture.drawing.sketches import MOST_LABELS, sketch
from putt_posture.drawing.stills import as_jpeg, as_png, draw_stills
from putt_posture.measures import MEASURES
from putt_posture.values import absent

LEAST_LETTER = 1 / 38
"""Height of letters over the width of the still: 9.5 px where it is shown 360 px wide on a phone."""
CLOSE = 26
"""Grey levels within which a drawn colour counts as that colour (edges are smoothed)."""


def crop_of(lesson, view):
    return find_crop(lesson.views[view], [point for mark in lesson.posture.marks[view].values() for point in mark])


def still_of(stills, view):
    return next(still for still in stills if still.view == view)


def coloured(still, colour):
    want = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)])
    near = np.abs(still.annotated.astype(int) - want).max(axis=2) <= CLOSE
    return near & (still.plain != still.annotated).any(axis=2)


def along(crop, one, two, share):
    u, v = crop.place((one[0] + share * (two[0] - one[0]), one[1] + share * (two[1] - one[1])))
    return round(v), round(u)


def changed_lesson(lesson, **changes):
    return evolve(lesson, posture=evolve(lesson.posture, **changes))


@pytest.mark.parametrize(
    ("view", "mark", "part"),
    [("down_the_line", "spine", "trunk"), ("down_the_line", "head", "head"), ("down_the_line", "near_leg", "legs"),
     ("down_the_line", "foot", "balance"), ("down_the_line", "shaft", "club"), ("face_on", "shoulders", "trunk"),
     ("face_on", "lead_leg", "legs"), ("face_on", "trail_arm", "arms")],
)  # fmt: skip
def test_each_mark_is_drawn_along_its_line_in_the_colour_of_its_part(lesson, stills, view, mark, part):
    crop, still = crop_of(lesson, view), still_of(stills, view)
    drawn = coloured(still, PART_COLOURS[part])
    one, two = lesson.posture.marks[view][mark][:2]
    hits = 0
    for share in np.linspace(0.1, 0.9, 33):
        row, column = along(crop, one, two, share)
        hits += drawn[max(row - 3, 0) : row + 4, max(column - 3, 0) : column + 4].any()
    assert hits >= 25  # of 33; other marks cross it and labels may cover a stretch


def test_the_plain_still_is_the_picture_and_far_from_marks_the_other_is_the_same(stills):
    for still in stills:
        changed = (still.plain != still.annotated).any(axis=2)
        assert 0.02 < changed.mean() < 0.5
        assert not changed[:20, :20].any()


def test_without_marks_and_measures_the_still_is_the_plain_picture(lesson):
    bare = changed_lesson(lesson, marks={}, estimates={name: absent("Not seen.", unit=each.unit)
                                                       for name, each in lesson.posture.estimates.items()})  # fmt: skip
    for still in draw_stills(bare):
        np.testing.assert_array_equal(still.plain, still.annotated)
        assert still.says.endswith("without measures.")


def test_labels_say_the_numbers_of_the_table(stills):
    says = still_of(stills, "down_the_line").says
    assert "spine tilt 34.0 ± 4.1°" in says
    assert "hands off plumb +5.9 ± 2.7\xa0cm" in says


def test_an_absent_measure_has_no_label(lesson):
    estimates = dict(lesson.posture.estimates) | {"spine_tilt": absent("The near hip is hidden.", unit="deg")}
    still = still_of(draw_stills(changed_lesson(lesson, estimates=estimates)), "down_the_line")
    assert "spine tilt" not in still.says
    assert "hands off plumb" in still.says


def test_a_mark_with_unseen_points_is_left_out(lesson, stills):
    marks = {view: dict(each) for view, each in lesson.posture.marks.items()}
    marks["down_the_line"]["spine"] = ((math.nan, math.nan), marks["down_the_line"]["spine"][1])
    still = still_of(draw_stills(changed_lesson(lesson, marks=marks)), "down_the_line")
    assert "spine tilt" not in still.says
    blue = PART_COLOURS["trunk"]
    assert coloured(still, blue).sum() < 0.6 * coloured(still_of(stills, "down_the_line"), blue).sum()


@pytest.mark.parametrize("view", ["down_the_line", "face_on"])
@pytest.mark.parametrize("handed", ["right", "left"])
def test_labels_keep_inside_and_off_each_other_and_off_the_key_points(view, handed):
    lesson = make_lesson(handed=handed, widen=6.0)
    result, crop = lesson.views[view], crop_of(lesson, view)
    sheet = Sheet(crop.cut(result), crop=crop, body=crop.cut_mask(result, Sheet.grid_size(crop.size)))
    sketch(sheet, view=view, posture=lesson.posture, scene=result.scene)
    boxes = [placed.box for placed in sheet.place()]
    assert 5 <= len(boxes) <= MOST_LABELS
    for index, (u0, v0, u1, v1) in enumerate(boxes):
        assert 0 <= u0 < u1 <= sheet.width
        assert 0 <= v0 < v1 <= sheet.height
        for a0, b0, a1, b1 in boxes[index + 1 :]:
            assert a1 <= u0 or u1 <= a0 or b1 <= v0 or v1 <= b0
    marks = lesson.posture.marks[view]
    names = ("spine", "hands", "ball") if view == "down_the_line" else ("shoulders", "ankles", "ball")
    for u, v in (crop.place(point) for name in names for point in marks[name]):
        assert not any(u0 < u < u1 and v0 < v < v1 for u0, v0, u1, v1 in boxes)


def test_letters_are_large_enough_for_a_phone(lesson):
    crop = crop_of(lesson, "face_on")
    sheet = Sheet(crop.cut(lesson.views["face_on"]), crop=crop)
    assert sheet.unit * 0.73 >= LEAST_LETTER * sheet.width * 0.99  # capitals are 0.73 of the size in DejaVu Sans


def test_the_three_main_measures_are_the_first_to_get_labels(lesson):
    crop, result = crop_of(lesson, "down_the_line"), lesson.views["down_the_line"]
    sheet = Sheet(crop.cut(result), crop=crop)
    sketch(sheet, view="down_the_line", posture=lesson.posture, scene=result.scene)
    assert [tag.name for tag in sheet.tags[:3]] == ["spine_tilt", "hand_offset", "elbow_gap_trail"]
    assert all(tag.colour == PART_COLOURS[MEASURES[tag.name].part] for tag in sheet.tags)


@pytest.mark.parametrize("roll_deg", [-6.0, 0.0, 6.0])
def test_the_plumb_line_follows_the_true_vertical(roll_deg):
    lesson = make_lesson(views=("down_the_line",), roll_deg=roll_deg)
    (still,) = draw_stills(lesson)
    crop = crop_of(lesson, "down_the_line")
    hip, shoulder = lesson.posture.marks["down_the_line"]["spine"]
    white = coloured(still, "#FFFFFF")
    length = math.hypot(shoulder[0] - hip[0], shoulder[1] - hip[1])
    places = []
    for share in np.linspace(0.15, 0.55, 41):
        # A picture turned clockwise by the roll has its true vertical leaning to the right at its top.
        u = hip[0] + share * length * math.sin(math.radians(roll_deg))
        v = hip[1] - share * length * math.cos(math.radians(roll_deg))
        column, row = (round(each) for each in crop.place((u, v)))
        places.append(white[row - 1 : row + 2, column - 2 : column + 3].any())
    assert np.mean(places) > 0.4  # dashes with gaps between


def test_a_left_hander_is_the_mirror_of_a_right_hander():
    right, left = (draw_stills(make_lesson(views=("face_on",), handed=handed))[0] for handed in ("right", "left"))
    assert right.says == left.says
    blue = PART_COLOURS["trunk"]
    one, two = coloured(right, blue), coloured(left, blue)[:, ::-1]
    middle = slice(200, 700)  # above the labels of the ground
    assert one[middle].sum() == pytest.approx(two[middle].sum(), rel=0.2)


def test_a_tiny_picture_is_drawn_too(one_view_lesson):
    result = one_view_lesson.views["face_on"]
    tiny = evolve(result, still=evolve(result.still, picture=np.full((2, 1, 3), 90, np.uint8), scale=1.0))
    (still,) = draw_stills(evolve(one_view_lesson, views={"face_on": tiny}))
    assert still.plain.shape == still.annotated.shape


def test_png_keeps_every_pixel_and_jpeg_keeps_its_limit(stills):
    picture = stills[0].annotated
    np.testing.assert_array_equal(np.asarray(Image.open(io.BytesIO(as_png(picture)))), picture)
    noise = np.random.default_rng(1).integers(0, 256, picture.shape, dtype=np.uint8)
    for hard in (picture, noise):
        assert len(as_jpeg(hard, most_bytes=150_000)) <= 150_000
    whole = Image.open(io.BytesIO(as_jpeg(picture, most_bytes=150_000)))
    assert whole.size == picture.shape[1::-1]
