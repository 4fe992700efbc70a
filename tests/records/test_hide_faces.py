"""No file of a lesson with hidden faces shows one: not the stills, not the page, not the PDF; stored or fresh."""

import base64
import io
import json
import math
import re
import shutil
from functools import cache
from pathlib import Path
from typing import Final

import cv2
import numpy as np
import pypdf
import pytest
from attrs import evolve
from PIL import Image

from putt_posture import Student, measure_lesson, store_lesson
from putt_posture.disk.marks import MARK
from putt_posture.documents import read_record, validate
from putt_posture.drawing import hide_faces
from putt_posture.errors import UsageError
from putt_posture.landmarks import find_head
from putt_posture.measures import MEASURES
from putt_posture.records import (
    FILES_WITH_PICTURES,
    FILES_WITHOUT_PICTURES,
    KeptLesson,
    check_files,
    hide_faces_in,
    read_result_folder,
)
from putt_posture.records.alike import find_difference
from putt_posture.records.faces import leave_out_hands, load_view
from putt_posture.values import Head

PICTURES = Path(__file__).parents[1] / "landmarks" / "pictures"
STILLS: Final = {view: PICTURES / f"golfer_{view}.jpg" for view in ("down_the_line", "face_on")}
STORED: Final = (
    "stills/down_the_line.png",
    "stills/down_the_line_plain.jpg",
    "stills/face_on.png",
    "stills/face_on_plain.jpg",
    "stills/ghost.png",
)
ROUNDED: Final = 1
"""Grey levels that a far pixel may move by where the soft edge over the head is laid on once more."""
EMBEDDED: Final = ("down_the_line", "face_on", "ghost")
"""The pictures of the page and the PDF, from top to bottom."""

MUCH: Final = 0.01
"""Share of a picture from which a head in it is looked at."""
DRAWN: Final = 24
"""Levels from which a marked picture differs from the plain one where something is drawn."""

ROOM: Final = 15
"""Pixels of the full-size picture around the head: five times the standard deviation of the widest filter."""

LEFT: Final = 0.3
"""Share of the head's own detail that a hidden picture may hold: JPEG's noise beside that of a small rendered face."""


@pytest.fixture(scope="module")
def lesson():
    return measure_lesson(student=Student(stature_cm=175.0, handed="right", sex="male"), **STILLS)


@pytest.fixture(scope="module")
def shown(lesson, tmp_path_factory):
    return read_result_folder(store_lesson(lesson, tmp_path_factory.mktemp("shown") / "report"))


@pytest.fixture(scope="module")
def fresh(lesson, tmp_path_factory):
    return read_result_folder(store_lesson(hide_faces(lesson), tmp_path_factory.mktemp("fresh") / "report"))


@pytest.fixture(scope="module")
def later(shown):
    return hide_faces_in(shown)


def pictures_of(kept: KeptLesson) -> dict[str, np.ndarray]:
    """Return every raster picture in the files of a lesson."""
    found = {name: opened(kept.read(name)) for name in kept.names if name.endswith((".png", ".jpg"))}
    if "report.html" in kept.names:
        uris = re.findall(r"data:image/(?:jpeg|png);base64,([A-Za-z0-9+/=]+)", kept.read("report.html").decode())
        stored = dict(found)
        found |= {f"html {named(base64.b64decode(uri), stored)}": opened(base64.b64decode(uri)) for uri in uris}
    if "report.pdf" in kept.names:
        pages = pypdf.PdfReader(io.BytesIO(kept.read("report.pdf"))).pages
        images = [image for page in pages for image in page.images]
        found |= {f"pdf {named(image.data, stored)}": opened(image.data) for image in images}
    return found


def named(data: bytes, stored: dict[str, np.ndarray]) -> str:
    """Return which of the stored pictures an embedded one is, whatever the order on the page."""
    picture = Image.open(io.BytesIO(data)).convert("RGB")
    marked = {name: each for name, each in stored.items() if not name.endswith("_plain.jpg")}
    nearest = min(marked, key=lambda name: find_difference(picture, marked[name]))
    return nearest.removeprefix("stills/").rpartition(".")[0]


def opened(data: bytes) -> np.ndarray:
    return np.asarray(Image.open(io.BytesIO(data)).convert("RGB"))


@pytest.fixture
def alone(monkeypatch):
    """Spare the search for other people where it makes no odds."""
    monkeypatch.setattr("putt_posture.records.faces.find_heads", lambda _picture: ())


class Before:
    """What is in the full-size pictures under the head of each view."""

    def __init__(self, lesson, record):
        self._lesson, self._record = lesson, record
        self.plain, self.on_head = cache(self._plain), cache(self._on_head)

    def box(self, name):
        if "ghost" in name:
            return self._record.ghost_box_px
        if "step_" in name:
            return self._record.step_boxes_px[self.step(name)]
        return self._record.views[self.view(name)].still_box_px

    def step(self, name):
        return name.rpartition("step_")[2].removesuffix(".jpg")

    def view(self, name):
        if "step_" in name:
            return MEASURES[self.step(name)].still_view
        return "face_on" if "face_on" in name else "down_the_line"

    def _plain(self, name, shape):
        left, top, right, bottom = self.box(name)
        whole = Image.fromarray(self._lesson.views[self.view(name)].still.picture)
        return np.asarray(whole.resize(shape[1::-1], Image.Resampling.LANCZOS, box=(left, top, right, bottom)))

    def _on_head(self, name, shape):
        """Where the head is in a picture of some shape, and how many of its pixels a full-size one is."""
        result, (left, top, right, _) = self._lesson.views[self.view(name)], self.box(name)
        head = find_head(result.landmarks.points_px[result.still_index])
        scale = shape[1] / (right - left)
        rows, columns = np.mgrid[: shape[0], : shape[1]] + 0.5
        away = np.hypot(columns / scale + left - head.centre_px[0], rows / scale + top - head.centre_px[1])
        return away < 0.9 * head.radius_px, scale


@pytest.fixture(scope="module")
def before(lesson, shown):
    return Before(lesson, shown.record)


@cache
def _disc(pixels):
    return cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * pixels + 1, 2 * pixels + 1))


def _around(head, *, margin):
    """Return the part of a picture that holds the head, and as much beside it as the filters below look at."""
    rows, columns = (np.flatnonzero(head.any(axis=axis)) for axis in (1, 0))
    return np.s_[
        max(rows[0] - margin, 0) : rows[-1] + margin + 1, max(columns[0] - margin, 0) : columns[-1] + margin + 1
    ]


def detail_left(name, picture, shown, before):
    """Return how much of the original's detail under the head is in a picture: 1 all of it, 0 none.

    Where nothing is drawn over the head, what is finer than 3 pixels of the full-size picture is compared with the
    same of the original, by least squares.
    """
    plain = before.plain(name, shown.shape)
    head, scale = before.on_head(name, shown.shape)
    around = _around(head, margin=math.ceil(ROOM * scale))
    plain, head, shown, picture = plain[around], head[around], shown[around], picture[around]
    drawn = np.abs(shown.astype(int) - plain).max(axis=2) > DRAWN
    bare = head & ~cv2.dilate(drawn.astype(np.uint8), _disc(round(4 * scale))).astype(bool)
    assert bare.sum() > 0.05 * head.sum(), name  # a ghost covers most of a head

    def fine(each):
        grey = each.astype(np.float32).mean(axis=2)
        return (grey - cv2.GaussianBlur(grey, (0, 0), 3 * scale))[bare]

    return float(fine(plain) @ fine(picture) / (fine(plain) @ fine(plain)))


@pytest.fixture(scope="module")
def pictures(shown, fresh, later):
    return {"shown": pictures_of(shown), "fresh": pictures_of(fresh), "later": pictures_of(later)}


@pytest.mark.parametrize("name", [*STORED, *(f"{kind} {name}" for kind in ("html", "pdf") for name in EMBEDDED)])
def test_every_picture_of_a_lesson_has_the_head_hidden(name, before, pictures):
    original = pictures["shown"][name]
    assert detail_left(name, original, original, before) > 0.6, "the measure of detail must see a face that is there"
    for kept in ("fresh", "later"):
        found = pictures[kept]
        if kept == "later" and name.startswith("pdf"):
            assert name not in found
            continue
        assert abs(detail_left(name, found[name], original, before)) < LEFT
        assert found[name].shape == original.shape


def test_every_drawing_of_a_step_that_shows_the_head_has_it_hidden(shown, before, pictures):
    steps = [f"stills/step_{name}.jpg" for name in shown.record.step_boxes_px]
    steps += [f"html step_{name}" for name in shown.record.step_boxes_px]
    assert len(steps) >= 10
    originals = {name: pictures["shown"][name] for name in steps}
    with_head = [name for name, each in originals.items() if before.on_head(name, each.shape)[0].mean() > MUCH]
    assert len(with_head) >= 6
    for name in with_head:
        assert detail_left(name, originals[name], originals[name], before) > 0.5
        for kept in ("fresh", "later"):
            assert abs(detail_left(name, pictures[kept][name], originals[name], before)) < LEFT, (kept, name)


@pytest.mark.parametrize("name", STORED)
def test_what_lies_far_from_the_head_stays_as_it_was(name, shown, later, before):
    was, now = opened(shown.read(name)), opened(later.read(name))
    head, scale = before.on_head(name, was.shape)
    far = ~cv2.dilate(head.astype(np.uint8), _disc(round(25 * scale))).astype(bool)
    off = np.abs(was.astype(int) - now)[far]
    assert off.max() == 0 if name.endswith(".png") else off.mean() < 1.5


def test_what_cannot_be_changed_is_left_out(shown, later):
    assert shown.names - later.names == {"report.pdf"}
    with pytest.raises(UsageError, match=r"holds no report\.pdf"):
        later.read("report.pdf")
    steps = {f"stills/step_{name}.jpg" for name in shown.record.step_boxes_px}
    for name in later.names - {"measures.json", "report.html", *STORED, *steps}:
        assert later.read(name) == shown.read(name)


def test_the_flag_goes_into_the_document_and_comes_back(shown, fresh, later):
    assert not shown.record.faces_hidden
    for kept in (fresh, later):
        assert kept.record.faces_hidden
        validate(json.loads(kept.read("measures.json")))
        record = read_record(kept.read("measures.json"), where="the copy")
        assert repr(record) == repr(evolve(shown.record, faces_hidden=True)), "also where a share is no number"
        assert "<dt>Faces</dt><dd>hidden for good" in kept.read("report.html").decode("utf-8")


def test_a_small_head_on_the_students_own_body_is_a_hand_and_others_are_heads(shown):
    """With the head hidden, the pose model once took a hand for the head of a small person."""
    seen = load_view(shown, "down_the_line")
    left, top, _, bottom = seen.outline_box_px
    student = Head(centre_px=(left, top), radius_px=(bottom - top) / 12)
    depth = cv2.distanceTransform((seen.outline > 0).astype(np.uint8), cv2.DIST_L2, 3)
    row, column = (int(each) for each in np.unravel_index(depth.argmax(), depth.shape))
    on_body = (float(left + column), float(top + row))
    small = 0.2 * student.radius_px
    hand = Head(centre_px=on_body, radius_px=small)
    near = Head(centre_px=on_body, radius_px=0.6 * student.radius_px)  # a child between the camera and the student
    beside = Head(centre_px=(left - 2 * small, on_body[1]), radius_px=small)  # a person far away
    edge = np.flatnonzero(seen.outline[row])[0]
    behind = Head(centre_px=(left + float(edge), on_body[1]), radius_px=small)  # half hidden by the student
    assert leave_out_hands([hand, near, beside, behind], student, seen) == [near, beside, behind]


@pytest.mark.whole
def test_hiding_what_is_hidden_leaves_the_rest_as_it_was(fresh, later, before, pictures):
    """So that it may be done whenever somebody says that it was done already."""
    for kept, once in ((fresh, "fresh"), (later, "later")):
        again = hide_faces_in(kept)
        assert again.names == kept.names - {"report.pdf"}
        assert again.read("measures.json") == kept.read("measures.json")
        assert again.read("report.html").count(b"<dt>Faces</dt>") == 1
        found = pictures_of(again)
        for name in STORED:
            was, now = pictures[once][name], found[name]
            head, scale = before.on_head(name, was.shape)
            far = ~cv2.dilate(head.astype(np.uint8), _disc(round(25 * scale))).astype(bool)
            off = np.abs(was.astype(int) - now)
            assert off[far].max() <= ROUNDED if name.endswith(".png") else off[far].mean() < 1.5
            assert abs(detail_left(name, now, pictures["shown"][name], before)) < LEFT


@pytest.mark.parametrize("name", [*STORED, *(f"html {name}" for name in EMBEDDED)])
def test_a_document_that_claims_hidden_faces_is_not_believed(name, claiming, before, pictures):
    original = pictures["shown"][name]
    assert abs(detail_left(name, claiming[name], original, before)) < LEFT


@pytest.fixture(scope="module")
def claiming(shown):
    """The pictures of a lesson whose document says that the faces in it are hidden, which they are not, once hidden."""
    document = json.dumps(json.loads(shown.read("measures.json")) | {"faces_hidden": True}).encode()
    lying = evolve(
        shown,
        record=read_record(document, where="the lie"),
        read=lambda name: document if name == "measures.json" else shown.read(name),
    )
    assert lying.record.faces_hidden
    hidden = hide_faces_in(lying)
    assert "report.pdf" not in hidden.names
    return pictures_of(hidden)


def test_where_the_landmarks_put_the_head_it_is_hidden_though_nobody_is_found(shown, before, pictures, alone):
    hidden = hide_faces_in(evolve(shown, record=evolve(shown.record, faces_hidden=True)))
    for name in STORED:
        original = pictures["shown"][name]
        assert abs(detail_left(name, opened(hidden.read(name)), original, before)) < LEFT


def test_a_picture_that_does_not_show_what_the_still_shows_is_left_out(shown, alone):
    other = shown.read("stills/down_the_line.png")
    swapped = evolve(shown, read=lambda name: other if name == "stills/face_on.png" else shown.read(name))
    hidden = hide_faces_in(swapped)
    assert "stills/face_on.png" not in hidden.names
    assert {"stills/face_on_plain.jpg", "stills/ghost.png", "stills/down_the_line.png"} <= hidden.names


@pytest.mark.parametrize("kind", ["data:image/png;base64,", "DATA:image/png;base64,", "data:;base64,"])
def test_a_page_with_an_unknown_picture_is_left_out(shown, later, alone, kind):
    stray = io.BytesIO()
    Image.new("RGB", (30, 30), (200, 10, 10)).save(stray, "PNG")
    uri = kind + base64.b64encode(stray.getvalue()).decode()
    page = shown.read("report.html").replace(b"</main>", f'<img src="{uri}"></main>'.encode())
    odd = evolve(shown, read=lambda name: page if name == "report.html" else shown.read(name))
    assert "report.html" not in hide_faces_in(odd).names
    assert "report.html" in later.names


def test_a_lesson_kept_without_pictures_has_none_to_hide(shown, tmp_path):
    shutil.copy(Path(shown.title) / "measures.json", tmp_path)
    hidden = hide_faces_in(read_result_folder(tmp_path))
    assert hidden.names == {"measures.json"}
    assert hidden.record.faces_hidden


def test_everything_that_measure_wrote_is_known(shown):
    folder = Path(shown.title)
    written = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    assert shown.names == written - {MARK, "to_send.jpg"}
    never_drawn = FILES_WITH_PICTURES - shown.names
    assert shown.names <= FILES_WITH_PICTURES | FILES_WITHOUT_PICTURES
    assert all(name.startswith(("stills/step_", "stills/stroke_")) for name in never_drawn)  # there is no stroke


def test_the_drawings_of_the_steps_are_filed_bit_for_bit_and_no_other_in_their_place(shown):
    steps = sorted(name for name in shown.names if name.startswith("stills/step_"))
    assert len(steps) >= 5
    checked = check_files(shown, shown.names)
    assert all(checked.read(name) == shown.read(name) for name in (*steps, "report.html"))
    stray = evolve(shown, names=shown.names | {"stills/step_head_drop.jpg"}, read=lambda name: shown.read(
        steps[0] if name == "stills/step_head_drop.jpg" else name))  # fmt: skip
    with pytest.raises(UsageError, match=r"step_head_drop\.jpg of .* the document does not mention"):
        check_files(stray, stray.names)


def test_files_that_measure_does_not_write_are_left_out(shown, alone):
    more = evolve(shown, names=shown.names | {"stills/portrait.jpg", "me.png"})
    assert not {"stills/portrait.jpg", "me.png"} & hide_faces_in(more).names


def test_stills_without_landmarks_are_left_out(shown):
    bare = evolve(shown, names=shown.names - {"landmarks.npz"})
    assert not {name for name in hide_faces_in(bare).names if name in (*STORED, "report.html")}


def test_a_damaged_still_is_one_sentence(shown, alone):
    spoilt = evolve(shown, read=lambda name: b"no picture" if name.endswith("face_on.png") else shown.read(name))
    with pytest.raises(UsageError, match=r"face_on\.png of .* is damaged"):
        hide_faces_in(spoilt)
