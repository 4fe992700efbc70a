"""A hidden head leaves a few coarse means and nothing else, and everything beside it stays."""

import numpy as np
import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st
from invented import MADE_ON, make_lesson

from putt_posture.documents import lesson_as_json, validate
from putt_posture.drawing import hide_faces, hide_heads
from putt_posture.drawing.faces import CELLS, EDGE
from putt_posture.drawing.stills import draw_stills
from putt_posture.pages import write_report
from putt_posture.values import Head
from putt_posture.wording import FACES, FACES_HIDDEN

SIDE = 240
RADIUS = 100.0
HEAD = Head(centre_px=(120.0, 120.0), radius_px=RADIUS)
WINDOW = slice(5, 236)
"""The square of the picture that the disc's fading edge touches: floor(120 − 115) to ceil(120 + 115) + 1."""


@pytest.fixture
def noise():
    return np.random.default_rng(5).integers(0, 256, (SIDE, SIDE, 3), dtype=np.uint8)


def away(centre=HEAD.centre_px, shape=(SIDE, SIDE)):
    rows, columns = np.mgrid[: shape[0], : shape[1]] + 0.5
    return np.hypot(columns - centre[0], rows - centre[1])


def test_nothing_finer_than_a_cell_is_left(noise):
    """Noise has the same power at every wavelength (Parseval), so that what is left of it tells what passes."""
    middle = slice(120 - 64, 120 + 64)
    cell = 2 * RADIUS / CELLS

    def power(picture):
        square = picture[middle, middle].astype(float).mean(axis=2)
        spectrum = np.abs(np.fft.fft2((square - square.mean()) * np.outer(np.hanning(128), np.hanning(128)))) ** 2
        frequency = np.hypot(*np.meshgrid(np.fft.fftfreq(128), np.fft.fftfreq(128)))
        return float(spectrum[frequency > 1 / cell].sum())

    rounding = 1 / 12 * 128**2 * 128**2 * np.mean(np.outer(np.hanning(128), np.hanning(128)) ** 2)
    assert power(hide_heads(noise, [HEAD])) < 2 * rounding < 1e-3 * power(noise)


def test_two_faces_with_the_same_cell_means_become_the_same_picture():
    """The window is 231 pixels and five cells across; within each, pixels may be shuffled at will."""
    rng = np.random.default_rng(6)
    size = 231
    one = np.zeros((SIDE, SIDE, 3), dtype=np.uint8)
    cells = np.linspace(0, size, int(size / (2 * RADIUS / CELLS)) + 1)
    # Cells that end between two pixels share one; give those borders the same value in both faces.
    low, high = np.ceil(cells[:-1]).astype(int), np.floor(cells[1:]).astype(int)
    one[WINDOW, WINDOW] = 90
    other = one.copy()
    for top, bottom in zip(low, high, strict=True):
        for left, right in zip(low, high, strict=True):
            block = rng.integers(0, 256, ((bottom - top) * (right - left), 3), dtype=np.uint8)
            place = np.s_[5 + top : 5 + bottom, 5 + left : 5 + right]
            one[place] = block.reshape(one[place].shape)
            other[place] = rng.permutation(block).reshape(one[place].shape)
    inside = away() <= RADIUS
    assert np.abs(one[inside].astype(int) - other[inside]).mean() > 50
    first, second = hide_heads(one, [HEAD])[inside], hide_heads(other, [HEAD])[inside]
    assert np.abs(first.astype(int) - second).max() <= 1, "only rounding may tell them apart"


def test_everything_beyond_the_fading_edge_stays_and_the_input_too(noise):
    before = noise.copy()
    hidden = hide_heads(noise, [HEAD])
    assert np.array_equal(noise, before)
    assert np.array_equal(hidden[away() > EDGE * RADIUS], before[away() > EDGE * RADIUS])


@given(
    u=st.floats(-400, 700), v=st.floats(-400, 700), radius=st.floats(0.5, 900), scale=st.sampled_from((0.25, 1.0, 3.0))
)
def test_discs_anywhere_and_of_any_size_are_no_trouble(u, v, radius, scale):
    picture = np.random.default_rng(7).integers(0, 256, (90, 70, 3), dtype=np.uint8)
    head = Head(centre_px=(u, v), radius_px=radius)
    hidden = hide_heads(picture, [head], corner=(-3.0, 8.0), scale=scale)
    beyond = away(((u + 3) * scale, (v - 8) * scale), (90, 70)) > EDGE * radius * scale
    assert np.array_equal(hidden[beyond], picture[beyond])


def test_a_part_of_the_picture_is_hidden_at_its_own_place_and_scale(noise):
    part = noise[40:200, 30:190].repeat(2, axis=0).repeat(2, axis=1)
    hidden = hide_heads(part, [HEAD], corner=(30.0, 40.0), scale=2.0)
    changed = np.any(hidden != part, axis=2)
    expected = away((180.0, 160.0), (320, 320)) <= 2 * RADIUS
    assert changed[expected].mean() > 0.98
    assert not changed[away((180.0, 160.0), (320, 320)) > 2 * EDGE * RADIUS].any()


@pytest.mark.parametrize("handed", ["right", "left"])
def test_every_still_of_a_lesson_loses_its_head_and_nothing_below_the_shoulders(handed):
    lesson = make_lesson(handed=handed)
    hidden = hide_faces(lesson)
    assert hidden.faces_hidden
    assert not lesson.faces_hidden
    for view, result in lesson.views.items():
        before, after = result.still.picture, hidden.views[view].still.picture
        changed = np.any(before != after, axis=2)
        rows = np.nonzero(changed.any(axis=1))[0]
        hips = np.nanmax(result.landmarks.middle("hip")) if view == "face_on" else result.landmarks.mask_box_px[3]
        assert rows.size
        assert rows.max() < hips


def test_hiding_twice_is_hiding_once():
    once = hide_faces(make_lesson(views=("face_on",)))
    assert hide_faces(once) is once


def test_a_still_of_another_size_is_hidden_where_the_head_is():
    lesson = make_lesson(views=("down_the_line",))
    result = lesson.views["down_the_line"]
    half = evolve(result.still, picture=result.still.picture[::2, ::2].copy(), scale=0.5)
    small = evolve(lesson, views={"down_the_line": evolve(result, still=half)})

    def middle(before, after):
        return np.argwhere(np.any(before.still.picture != after.still.picture, axis=2)).mean(axis=0)

    full = middle(result, hide_faces(lesson).views["down_the_line"])
    assert middle(small.views["down_the_line"], hide_faces(small).views["down_the_line"]) == pytest.approx(
        full / 2, abs=4
    )


def test_report_and_json_say_whether_faces_are_hidden():
    lesson = make_lesson(views=("face_on",))
    for hidden in (False, True):
        told = evolve(lesson, faces_hidden=hidden)
        document = lesson_as_json(told, made_on=MADE_ON)
        validate(document)
        assert document["faces_hidden"] is hidden
        facts = {fact.name: fact.says for fact in write_report(told, stills=draw_stills(told)).facts}
        assert facts.get(FACES) == (FACES_HIDDEN if hidden else None)
