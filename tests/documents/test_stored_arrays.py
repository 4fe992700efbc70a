"""The arrays of a lesson are looked at before they take memory, and belong to the document."""

import io
import re
import struct
import tracemalloc
import zipfile

import numpy as np
import pytest

from putt_posture.documents import open_arrays, read_record
from putt_posture.errors import UsageError

BOMB_BYTES = 300_000_000
"""What a bomb unpacks to."""
BEARABLE_BYTES = 20_000_000
"""More than looking at any lesson of the tests takes, and far less than a bomb would."""


@pytest.fixture(scope="module")
def record(document):
    return read_record(document, where="the lesson")


@pytest.fixture(scope="module")
def data(whole):
    return (whole / "landmarks.npz").read_bytes()


@pytest.fixture(scope="module")
def members(data):
    with zipfile.ZipFile(io.BytesIO(data)) as opened:
        return {name: opened.read(name) for name in opened.namelist()}


def zipped(members, **about):
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as made:
        for name, content in members.items():
            made.writestr(name, content)
        for name, value in about.items():
            setattr(made, name, value)
    return stream.getvalue()


def npy(array, **about):
    stream = io.BytesIO()
    np.lib.format.write_array(stream, array, **about)
    return stream.getvalue()


def header(told, content=b""):
    text = told.encode().ljust(117) + b"\n"
    return b"\x93NUMPY\x01\x00" + struct.pack("<H", len(text)) + text + content


def look(data, record):
    opened = open_arrays(data, record=record, where="The landmarks of it")
    opened.check_whole()
    return opened


def refusal(data, record):
    with pytest.raises(UsageError) as caught:
        look(data, record)
    said = str(caught.value)
    assert said.startswith("The landmarks of it are damaged")
    assert said.endswith("Measure the clips again.")
    assert "\n" not in said
    return said


def test_what_the_program_wrote_is_read_as_numpy_reads_it(data, record):
    opened = look(data, record)
    with np.load(io.BytesIO(data)) as table:
        for name in table.files:
            assert np.array_equal(opened[name], table[name], equal_nan=table[name].dtype.kind == "f"), name
            assert opened[name].dtype == table[name].dtype
        for name in ("outlines", "joints_px"):
            for row in (0, 2):
                found = opened.row(f"face_on.{name}", row)
                assert np.array_equal(found, table[f"face_on.{name}"][row], equal_nan=name == "joints_px")


def changed(members, name, content):
    return zipped(members | {f"{name}.npy": content})


@pytest.mark.parametrize(
    ("name", "array", "says"),
    [
        ("face_on.points_px", np.zeros((3, 33, 3)), r"points_px has the shape \(3, 33, 3\), and \(3, 33, 2\)"),
        ("face_on.points_px", np.zeros((3, 33, 2), np.float32), "wrong kind of number"),
        ("face_on.points_px", np.full((3, 33, 2), np.inf), "points_px holds an impossible number"),
        ("face_on.points_px", np.full((3, 33, 2), 1e300), "points_px holds an impossible number"),
        ("face_on.times_s", np.full(3, np.nan), "times_s holds a time that is not a number"),
        ("face_on.times_s", np.zeros(0), "times_s has the shape"),
        ("face_on.times_s", np.zeros(20_000), "times_s has the shape"),
        ("face_on.setup_index", np.array([0, 0, 7]), "setup_index names a setup"),
        ("face_on.mask_box_px", np.array([0, 0, 0, 0]), "mask_box_px is not a part of a picture"),
        ("face_on.mask_box_px", np.array([0, 0, 10**9, 5]), "mask_box_px is not a part of a picture"),
        ("face_on.mask_box_px", np.zeros((2, 2), np.int64), r"mask_box_px has the shape \(2, 2\)"),
        ("face_on.size_px", np.array([5, 5]), "size_px is not the size"),
        ("face_on.still_index", np.array(2), "still_index is not that of the document"),
        ("face_on.masks", np.zeros((3, 4, 5), np.uint8), "masks has the shape"),
        ("views", np.array(["face_on", "face_on"]), "views are not those of the document"),
        ("landmark_names", np.array(["nose"]), "landmark_names are not those"),
        ("face_on.model", np.array("x" * 5000), "wrong kind of number"),
        ("face_on.model", np.array(["a", "b"]), "model has the shape"),
    ],
    ids=lambda each: each if isinstance(each, str) else "",
)
def test_arrays_that_do_not_belong_are_named(members, record, name, array, says):
    assert re.search(says, refusal(changed(members, name, npy(array)), record))


def test_an_object_is_never_unpickled(members, record):
    class Boom:
        def __reduce__(self):
            return (pytest.fail, ("something was unpickled",))

    pickled = npy(np.array([Boom()], dtype=object), allow_pickle=True)
    assert "wrong kind of number" in refusal(changed(members, "face_on.depth", pickled), record)


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"nothing of the kind",
        header("{'descr': '<f8', 'fortran_order': False, 'shape': (-1,), }"),
        header("{'descr': '<f8', 'fortran_order': False, 'shape': (True,), }"),
        header("{'descr': '<f8', 'fortran_order': True, 'shape': (3, 33), }", bytes(792)),
        header("{'descr': [('a', '<f8')], 'fortran_order': False, 'shape': (3, 33), }", bytes(792)),
        header("{'descr': '<f8', 'fortran_order': False, 'shape': (3, 33), }", bytes(700)),
        header("{'descr': '<f8', 'fortran_order': False, 'shape': (" + "9" * 30 + ",), }"),
        header("(((((((((((((((((((((((("),
        header("__import__('os').abort()"),
        header("{}"),
    ],
    ids=range(11),
)
def test_a_spoilt_header_is_one_sentence(members, record, content):
    refusal(changed(members, "face_on.depth", content), record)


@pytest.mark.parametrize("name", ["face_on.masks", "face_on.times_s", "landmark_names"])
def test_a_bomb_is_refused_before_it_takes_memory(members, record, name):
    """Zeros pack a thousand to one: a file of 300 kB that says to be a third of a gigabyte."""
    bomb = header(f"{{'descr': '|u1', 'fortran_order': False, 'shape': ({BOMB_BYTES},), }}", bytes(BOMB_BYTES))
    data = changed(members, name, bomb)
    del bomb
    assert len(data) < 1_000_000
    tracemalloc.start()
    try:
        refusal(data, record)
        _, most = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert most < BEARABLE_BYTES


def test_a_file_that_says_to_unpack_to_more_than_there_can_be_is_refused(members, record, data):
    """The list of a zip may say anything; one entry says four thousand million bytes."""
    where = data.rindex(b"PK\x01\x02")
    lying = data[: where + 24] + struct.pack("<I", 4_294_000_000) + data[where + 28 :]
    assert "unpack to more than" in refusal(lying, record)


@pytest.mark.parametrize(
    "spoil",
    [
        lambda members: zipped({name: each for name, each in members.items() if name != "views.npy"}),
        lambda members: zipped(members | {"portrait.jpg": b"somebody"}),
        lambda members: zipped(members | {"../../outside.npy": npy(np.zeros(1))}),
        lambda members: zipped(members, comment=b"somebody"),
        lambda members: zipped(members)[:-30],
        lambda members: b"somebody" * 1000 + zipped(members),
        lambda members: b"",
        lambda members: b"PK\x05\x06" + bytes(18),
    ],
    ids=["one lacks", "one more", "one outside", "a comment", "cut", "something before", "empty", "no member"],
)
def test_a_zip_that_holds_something_else_is_refused(members, record, spoil):
    refusal(spoil(members), record)


def test_a_changed_byte_anywhere_is_seen_or_harmless(data, record):
    """Where it is not seen, the arrays are what they were."""
    numbers = np.random.default_rng(5)
    whole, unseen = look(data, record), 0
    for place in numbers.integers(0, len(data), 200):
        flipped = bytearray(data)
        flipped[place] ^= 1 << int(numbers.integers(8))
        try:
            opened = look(bytes(flipped), record)
        except UsageError:
            continue
        unseen += 1
        for view in record.views:
            for name in ("points_px", "joints_px", "outlines", "masks", "visibility", "times_s"):
                assert np.array_equal(opened[f"{view}.{name}"], whole[f"{view}.{name}"], equal_nan=name.endswith("_px"))
    assert unseen < 30, "names and sizes are written twice in a zip, so that some flips change nothing"
