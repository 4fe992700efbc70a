"""The stills show the marks where they are, and only them."""

import io
import math

import numpy as np
import pytest
from attrs import evolve
from invented import make_lesson
from invented_golfer import PX_PER_CM, px
from matplotlib.colors import to_hex
from matplotlib.lines import Line2D
from matplotlib.patches import Circle, Polygon
from matplotlib.text import Text
from PIL import Image

from putt_posture.drawing.colours import PART_COLOURS
from putt_posture.drawing.placing import find_crop
from putt_posture.drawing.sheet import REFERENCE, Sheet
from putt_posture.drawing.sketches import MOST_LABELS, sketch
from putt_posture.drawing.stills import as_jpeg, as_png, draw_marks, draw_stills, find_still_crop
from putt_posture.measures import MEASURES
from putt_posture.values import LANDMARK_INDEX, absent

PHONE = 360
"""Width of a still on a phone, CSS pixels."""
LEAST_LETTERS = 12.0
"""Size of the letters there, CSS pixels."""
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


def sheet_of(lesson, view):
    """The still of a view with its marks drawn and its labels placed, and not yet written."""
    crop = find_still_crop(lesson, view)
    return draw_marks(lesson, view, crop=crop, plain=crop.cut(lesson.views[view]))


def drawn_colours(sheet):
    """The colours of all marks on a sheet, without halos and reference lines."""
    lines = [line.get_color() for line in sheet.figure.findobj(Line2D)]
    patches = list(sheet.figure.findobj(lambda artist: isinstance(artist, Circle | Polygon)))
    filled = [to_hex(each.get_facecolor()) for each in patches if each.get_fill()]
    rings = [to_hex(each.get_edgecolor()) for each in patches if not each.get_fill()]
    parts = {colour.lower() for colour in PART_COLOURS.values()}
    return {to_hex(each) for each in (*lines, *filled, *rings)} & parts


def feet_of(lesson, view):
    """The pixels of the outline at and below the height of the ankles, (N, 2) of the full-size picture."""
    result = lesson.views[view]
    joints, row = result.joints.points_px[result.still_index], result.still_index
    ankles = [joints[LANDMARK_INDEX[f"{side}_ankle"], 1] for side in ("left", "right")]
    u0, v0 = result.landmarks.mask_box_px[:2]
    rows, columns = np.nonzero(result.landmarks.masks[row] > 200)
    places = np.column_stack([columns + u0, rows + v0])
    return places[places[:, 1] > np.nanmax(ankles)]


def assert_feet_and_ball_are_clear(lesson, view):
    sheet, crop, scene = sheet_of(lesson, view), find_still_crop(lesson, view), lesson.views[view].scene
    feet = (feet_of(lesson, view) - crop.box_px[:2]) * crop.scale
    assert len(feet) > 100
    ball, radius = np.array(crop.place(scene.ball_px)), 2.135 * scene.px_per_cm.value * crop.scale
    placed = sheet.place()
    assert len(placed) >= 4
    for each in placed:
        u0, v0, u1, v1 = each.box
        over = (feet[:, 0] > u0) & (feet[:, 0] < u1) & (feet[:, 1] > v0) & (feet[:, 1] < v1)
        assert not over.any(), each.label.key
        nearest = np.clip(ball, (u0, v0), (u1, v1))
        assert np.linalg.norm(nearest - ball) >= radius, each.label.key
        line = np.linspace(*each.leader, 400)
        assert np.linalg.norm(line - ball, axis=1).min() >= radius, each.label.key
        near = feet[(feet >= line.min(axis=0) - 2).all(axis=1) & (feet <= line.max(axis=0) + 2).all(axis=1)]
        if len(near):
            apart = np.linalg.norm(near[:, None] - line[None], axis=2).min()
            assert apart > 0.5, each.label.key


def changed_lesson(lesson, **changes):
    return evolve(lesson, posture=evolve(lesson.posture, **changes))


@pytest.mark.parametrize(
    ("view", "mark", "part"),
    [("down_the_line", "spine", "trunk"), ("down_the_line", "near_arm", "arms"), ("down_the_line", "near_leg", "legs"),
     ("down_the_line", "foot", "balance"), ("down_the_line", "back", "trunk"), ("face_on", "shoulders", "trunk"),
     ("face_on", "ankles", "legs"), ("face_on", "trail_arm", "arms")],
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
    assert "hands to shoulders 5.9 ± 2.7\xa0cm outside the shoulders" in says


def test_an_absent_measure_has_no_label(lesson):
    estimates = dict(lesson.posture.estimates) | {"spine_tilt": absent("The near hip is hidden.", unit="deg")}
    still = still_of(draw_stills(changed_lesson(lesson, estimates=estimates)), "down_the_line")
    assert "spine tilt" not in still.says
    assert "hands to shoulders" in still.says


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
    sheet = draw_marks(lesson, view, crop=crop, plain=crop.cut(result))
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


@pytest.mark.parametrize("view", ["down_the_line", "face_on"])
def test_every_letter_is_large_enough_for_a_phone(lesson, view):
    sheet = sheet_of(lesson, view)
    sheet.finish()
    sizes = [text.get_fontsize() for text in sheet.figure.findobj(Text) if text.get_text()]  # pixels, at 72 dpi
    assert len(sizes) >= 10
    assert min(sizes) * PHONE / sheet.width >= LEAST_LETTERS


def test_the_three_main_measures_are_the_first_to_get_labels(lesson):
    crop, result = crop_of(lesson, "down_the_line"), lesson.views["down_the_line"]
    sheet = Sheet(crop.cut(result), crop=crop)
    sketch(sheet, view="down_the_line", posture=lesson.posture, scene=result.scene)
    assert [tag.name for tag in sheet.tags[:3]] == ["spine_tilt", "hand_offset", "eye_offset"]
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


@pytest.mark.parametrize("view", ["down_the_line", "face_on"])
@pytest.mark.parametrize("name", ["before", "left_hander"])
def test_no_label_and_no_leader_of_a_sample_lesson_lies_on_foot_or_ball(sample_lessons, name, view):
    assert_feet_and_ball_are_clear(sample_lessons[name], view)


@pytest.mark.parametrize("view", ["down_the_line", "face_on"])
@pytest.mark.parametrize("handed", ["right", "left"])
@pytest.mark.parametrize(("along", "near", "widen"), [(-12, 0, 0.3), (0, 25, 1.0), (12, -6, 6.0), (3, 14, 3.0)])
def test_no_label_and_no_leader_lies_on_foot_or_ball_wherever_the_ball_is(view, handed, along, near, widen):
    lesson = make_lesson(handed=handed, widen=widen)
    forward = 1 if handed == "right" else -1
    place = px(60.0 - near, 2.1, forward) if view == "down_the_line" else px(along, 2.1, forward)
    result = lesson.views[view]
    marks = {each: dict(found) for each, found in lesson.posture.marks.items()}
    marks[view]["ball"] = (place,)
    moved = evolve(result, scene=evolve(result.scene, ball_px=place))
    assert result.scene.px_per_cm.value == PX_PER_CM
    assert_feet_and_ball_are_clear(
        evolve(changed_lesson(lesson, marks=marks), views={**lesson.views, view: moved}), view
    )


@pytest.mark.parametrize("view", ["down_the_line", "face_on"])
def test_what_is_drawn_is_labelled_and_what_is_labelled_is_drawn(sample_lessons, view):
    for lesson in (make_lesson(), make_lesson(handed="left"), *sample_lessons.values()):
        sheet = sheet_of(lesson, view)
        placed = {each.label.key for each in sheet.place()}
        assert placed == {tag.name for tag in sheet.tags}
        assert drawn_colours(sheet) == {tag.colour.lower() for tag in sheet.tags}


def test_elbow_gaps_and_back_are_drawn_with_their_labels(sample_lessons):
    sheet = sheet_of(sample_lessons["before"], "face_on")
    dots = [each.get_center() for each in sheet.figure.findobj(Circle)]
    for name in ("elbow_gap_lead", "elbow_gap_trail"):
        (tag,) = (each for each in sheet.tags if each.name == name)
        place = find_still_crop(sample_lessons["before"], "face_on").place(tag.anchor)
        assert min(math.dist(place, dot) for dot in dots) < 1.0
    names = [tag.name for tag in sheet_of(sample_lessons["before"], "down_the_line").tags]
    assert "back_rounding" in names


def test_a_measure_whose_label_has_no_room_is_not_drawn(lesson):
    result = lesson.views["down_the_line"]
    crop = find_still_crop(lesson, "down_the_line")
    whole = sheet_of(lesson, "down_the_line")
    sheet = Sheet(crop.cut(result), crop=crop)
    left_out = {tag.name for tag in whole.tags if tag.colour == PART_COLOURS["arms"]}
    sketch(sheet, view="down_the_line", posture=lesson.posture, scene=result.scene, without=left_out)
    assert left_out
    assert PART_COLOURS["arms"].lower() in drawn_colours(whole)
    assert PART_COLOURS["arms"].lower() not in drawn_colours(sheet)
    assert REFERENCE not in PART_COLOURS.values()


def test_a_label_says_the_side_in_words_and_the_margin_where_the_side_is_not_sure(lesson):
    tags = {tag.name: tag for tag in sheet_of(lesson, "down_the_line").tags}
    shown = {name: " ".join(text for text, _ in tag.lines).replace("\xa0", " ") for name, tag in tags.items()}
    assert shown["hand_offset"] == "Hands to shoulders 5.9 cm outside"
    assert shown["elbow_depth"] == "Elbow along the ribs 2.2 ± 3.7 cm behind"
    assert shown["spine_tilt"] == "Spine tilt 34.0°"
    assert shown["eye_offset"].endswith("cm inside the ball")
    assert not any(sign in text for text in shown.values() for sign in ("+", "−"))


def test_no_label_covers_the_head(sample_lessons):
    for lesson in sample_lessons.values():
        for view in ("down_the_line", "face_on"):
            joints = lesson.views[view].joints.points_px[lesson.views[view].still_index]
            crop = find_still_crop(lesson, view)
            eyes = [crop.place(joints[LANDMARK_INDEX[name]]) for name in ("left_eye", "right_eye", "nose")]
            for u0, v0, u1, v1 in (each.box for each in sheet_of(lesson, view).place()):
                assert not any(u0 < u < u1 and v0 < v < v1 for u, v in eyes)
