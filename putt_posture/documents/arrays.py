"""The landmarks of a lesson as plain arrays: written, and checked before anything stored is unpacked.

A file of arrays is a zip of headers and numbers. Its list of names, sizes and codes, and each header, are checked
before an array takes any memory. Large arrays are checked in pieces or read row by row.
"""

import ast
import io
import struct
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import IO, Any, BinaryIO, Final, NoReturn

import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray

from putt_posture.documents.json_values import MOST_ARRAY_BYTES, MOST_FRAMES, MOST_UNPACKED_BYTES
from putt_posture.documents.seen_json import seen_as_text
from putt_posture.documents.stroke_arrays import AT_EVENTS, MOST_STROKES, SERIES, find_strokes, strokes_as_arrays
from putt_posture.errors import UsageError
from putt_posture.values import LANDMARK_NAMES, STROKE_EVENTS, VIEWS, Lesson, LessonRecord, View

__all__ = ["ARRAYS", "StoredArrays", "lesson_as_arrays", "open_arrays", "write_arrays"]

ARRAYS: Final = "landmarks.npz"
_CHUNK: Final = 1 << 20
_MOST_HEADER: Final = 1024
"""The most bytes in the header of one array; NumPy writes at most 118."""
_MOST_LISTING: Final = 300
"""The most bytes that an array takes in a zip in addition to its numbers: its name twice, sizes and places, some
160."""
_PACKED: Final = 4
"""Level of zlib: the file is 2 % larger than at its usual 6, in half the time."""
_MOST_LETTERS: Final = 1000
"""The most letters of a text in an array: names of landmarks and of the model."""
_FARTHEST_PX: Final = 1e6
"""No landmark or depth is as large as this, px; smaller numbers can safely be packed into 32 bits."""
_MOST_OUTLINE_BYTES: Final = 1_000_000_000
"""The most bytes in the outlines of one view: 120 frames of a whole 4K picture."""
_MOST_SEEN: Final = 4_000_000
"""The most bytes in the document of what was seen, as for `measures.json`."""
_MARKS: Final = len(LANDMARK_NAMES)
_Shape = tuple[int, ...]
_DAMAGE: Final = (OSError, ValueError, KeyError, EOFError, struct.error, zlib.error, zipfile.BadZipFile, SyntaxError)
"""What the standard library raises where a zip or a header is damaged."""
_RARE: Final = (RuntimeError, NotImplementedError, MemoryError, RecursionError, TypeError, OverflowError)
"""What it raises where a zip is locked or packed in an unknown way."""


@frozen(kw_only=True)
class _Header:
    """The header of an array: kind and shape of its numbers, and where they begin."""

    dtype: np.dtype[Any]
    shape: _Shape
    begins: int


@frozen(kw_only=True, eq=False)
class StoredArrays:
    """The arrays of a lesson, checked but not yet read.

    Attributes
    ----------
    where : str
        What they were read from, for messages.
    """

    where: str
    _zip: zipfile.ZipFile = field(repr=False, alias="zip")
    _headers: Mapping[str, _Header] = field(repr=False, alias="headers")

    def large(self, name: str) -> NDArray[Any]:
        """Return a whole array, which may be as large as all outlines of a lesson.

        Parameters
        ----------
        name : str
            Name of the array.

        Raises
        ------
        UsageError
            If it is damaged, or larger than that.
        """
        return self._whole(name, most_bytes=_MOST_OUTLINE_BYTES)

    def __getitem__(self, name: str) -> NDArray[Any]:
        """Return a whole small array. Raises UsageError where it is damaged."""
        return self._whole(name, most_bytes=MOST_ARRAY_BYTES)

    def _whole(self, name: str, *, most_bytes: int) -> NDArray[Any]:
        header = self._headers[name]
        with _one_sentence(self.where), self._zip.open(f"{name}.npy") as stream:
            if _bytes_of(header) > most_bytes:
                _refuse(f"{name} is too large")
            data = stream.read()[header.begins :]
            return np.frombuffer(data, dtype=header.dtype).reshape(header.shape).copy()

    def strokes(self) -> dict[View, tuple[int, ...]]:
        """Return, for each stroke of each view, at how many of its events the large model looked."""
        return {
            view: tuple(
                self._headers[f"{view}.stroke_{number}.at_times_s"].shape[0] if at_events else 0
                for number, at_events in find_strokes(self._headers, view).items()
            )
            for view in VIEWS
        }

    def seen(self) -> bytes | None:
        """Return the document of what was seen as bytes; None where version 0.1.0 wrote the file."""
        return self[SEEN].tobytes() if SEEN in self._headers else None

    def row(self, name: str, index: int) -> NDArray[Any]:
        """Return one row of an array along its first axis; the other rows take no memory. Raises as `__getitem__`.

        Parameters
        ----------
        name : str
            Name of the array.
        index : int
            Which row along the first axis, from 0.
        """
        header = self._headers[name]
        with _one_sentence(self.where), self._zip.open(f"{name}.npy") as stream:
            inner = header.shape[1:]
            size = header.dtype.itemsize * int(np.prod(inner, dtype=np.int64))
            _skip(stream, header.begins + index * size)
            return np.frombuffer(stream.read(size), dtype=header.dtype).reshape(inner).copy()

    def check_whole(self) -> None:
        """Go through every byte, so that no later reading can fail. Raises UsageError where it is damaged."""
        for name, header in self._headers.items():
            with _one_sentence(self.where), self._zip.open(f"{name}.npy") as stream:
                read = 0
                while chunk := stream.read(_CHUNK):  # the checksum is compared when the end is reached
                    read += len(chunk)
                if read != header.begins + _bytes_of(header):
                    _refuse(f"{name} has another size than its header says")


SEEN: Final = "seen"
"""The array that holds a document as bytes of UTF-8."""
_TEXTS: Final = ("landmark_names", "views")
_SHAPES: Final[Mapping[str, tuple[str, tuple[int | str, ...]]]] = {
    "times_s": ("<f8", ("T",)),
    "setup_index": ("<i8", ("T",)),
    "points_px": ("<f8", ("T", _MARKS, 2)),
    "joints_px": ("<f8", ("T", _MARKS, 2)),
    "visibility": ("<f8", ("T", _MARKS)),
    "depth": ("<f8", ("T", _MARKS)),
    "masks": ("|u1", ("T", "h", "w")),
    "outlines": ("|u1", ("T", "h", "w")),
    "mask_box_px": ("<i8", (4,)),
    "size_px": ("<i8", (2,)),
    "still_index": ("<i8", ()),
    "model": ("<U", ()),
}
"""Kind of number and shape of each array of a view: T frames, masks of h rows and w columns."""


_KINDS: Final = {name: kind for shapes in (_SHAPES, SERIES, AT_EVENTS) for name, (kind, _) in shapes.items()}


class _Fault(Exception):
    """What is wrong with the arrays, as the second half of a sentence."""


def lesson_as_arrays(lesson: Lesson) -> dict[str, NDArray[np.generic]]:
    """Return the arrays of `landmarks.npz` by name.

    ``landmark_names`` (33,) and ``views`` (V,) are text. For each view, under its name and a dot: ``points_px`` (T, 33,
    2) as the model gave them, ``joints_px`` (T, 33, 2) the same points moved to the joint centres, ``visibility`` and
    ``depth`` (T, 33), ``masks`` (T, h, w) uint8 as the model gave them, ``outlines`` (T, h, w) uint8 the same refined
    on the picture, ``mask_box_px`` (4,) u0 v0 u1 v1, ``size_px`` (2,) width and height, ``times_s`` and ``setup_index``
    (T,), ``still_index`` and ``model`` scalars; units and axes as in `Landmarks`. The series of strokes are named in
    `stroke_arrays`. ``seen`` (N,) uint8 is a JSON document in UTF-8, described in `seen_json`. With the arrays it is
    all that measuring needs.

    Parameters
    ----------
    lesson : Lesson
    """
    arrays: dict[str, NDArray[np.generic]] = {
        "landmark_names": np.array(LANDMARK_NAMES, dtype=np.str_),
        "views": np.array(list(lesson.views), dtype=np.str_),
        SEEN: np.frombuffer(seen_as_text(lesson).encode("utf-8"), dtype=np.uint8),
    }
    for view, result in lesson.views.items():
        marks = result.landmarks
        arrays |= {
            f"{view}.times_s": np.asarray(marks.times_s, dtype=np.float64),
            f"{view}.setup_index": np.asarray(marks.setup_index, dtype=np.int64),
            f"{view}.points_px": np.asarray(marks.points_px, dtype=np.float64),
            f"{view}.joints_px": np.asarray(result.joints.points_px, dtype=np.float64),
            f"{view}.visibility": np.asarray(marks.visibility, dtype=np.float64),
            f"{view}.depth": np.asarray(marks.depth, dtype=np.float64),
            f"{view}.masks": np.asarray(marks.masks, dtype=np.uint8),
            f"{view}.outlines": np.asarray(marks.outlines, dtype=np.uint8),
            f"{view}.mask_box_px": np.asarray(marks.mask_box_px, dtype=np.int64),
            f"{view}.size_px": np.asarray(marks.size_px, dtype=np.int64),
            f"{view}.still_index": np.asarray(result.still_index, dtype=np.int64),
            f"{view}.model": np.asarray(marks.model, dtype=np.str_),
        }
        if result.strokes is not None:
            arrays |= strokes_as_arrays(result.strokes)
    return arrays


def write_arrays(lesson: Lesson, stream: BinaryIO) -> None:
    """Write the bytes of `landmarks.npz` to an open binary stream.

    Parameters
    ----------
    lesson : Lesson
    stream : BinaryIO
        Open for writing.
    """
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED, compresslevel=_PACKED) as packed:
        for name, values in lesson_as_arrays(lesson).items():
            with packed.open(f"{name}.npy", "w", force_zip64=True) as part:
                np.lib.format.write_array(part, np.asanyarray(values), allow_pickle=False)


def open_arrays(data: bytes, *, record: LessonRecord, where: str) -> StoredArrays:
    """Check the bytes of a `landmarks.npz`, without unpacking its arrays.

    Parameters
    ----------
    data : bytes
        Content of the file.
    record : LessonRecord
        The lesson that they belong to.
    where : str
        What they were read from, for the message: ``The landmarks of report``.

    Returns
    -------
    StoredArrays
        With exactly the arrays that the program writes for the views of the lesson, as `lesson_as_arrays` says, in
        shapes that belong to each other and to the document. Version 0.1.0 wrote no `seen`.

    Raises
    ------
    UsageError
        Otherwise.
    """
    with _one_sentence(where):
        opened = zipfile.ZipFile(io.BytesIO(data))
        listed = opened.infolist()
        seen = [SEEN] if any(each.filename == f"{SEEN}.npy" for each in listed) else []  # not written by 0.1.0
        names = [each.filename.removesuffix(".npy") for each in listed]
        strokes = {view: find_strokes(names, view) for view in record.views}
        wanted = [*_TEXTS, *seen, *(f"{view}.{name}" for view in record.views for name in _SHAPES)]
        wanted += [
            f"{view}.stroke_{number}.{name}"
            for view, found in strokes.items()
            for number, at_events in found.items()
            for name in (*SERIES, *(AT_EVENTS if at_events else ()))
        ]
        if sorted(each.filename for each in listed) != sorted(f"{name}.npy" for name in wanted):
            _refuse("they hold other arrays than the program writes for these views")
        if opened.comment or any(each.comment for each in listed):
            _refuse("there is a comment in the file")
        if sum(each.file_size for each in listed) > MOST_UNPACKED_BYTES:
            _refuse(f"they unpack to more than {MOST_UNPACKED_BYTES:,} bytes")
        if len(data) - sum(each.compress_size for each in listed) > _MOST_LISTING * len(listed):
            _refuse("there is more in the file than its list says")
        headers = {name: _read_header(opened, name) for name in wanted}
        arrays = StoredArrays(where=where, zip=opened, headers=headers)
        if headers["landmark_names"].shape != (_MARKS,) or tuple(arrays["landmark_names"]) != LANDMARK_NAMES:
            _refuse("landmark_names are not those of this program")
        if headers["views"].shape != (len(record.views),) or set(arrays["views"]) != set(record.views):
            _refuse("views are not those of the document")
        if seen and not (len(headers[SEEN].shape) == 1 and headers[SEEN].shape[0] <= _MOST_SEEN):
            _refuse(f"{SEEN} has the shape {headers[SEEN].shape}, and at most {_MOST_SEEN:,} bytes were needed")
        for view in record.views:
            _check_view(arrays, headers, record, view)
            if list(strokes[view]) != list(range(1, len(strokes[view]) + 1)) or len(strokes[view]) > MOST_STROKES:
                _refuse(f"the strokes of {view} are not counted from 1 to at most {MOST_STROKES}")
            for number, at_events in strokes[view].items():
                _check_stroke(arrays, headers, f"{view}.stroke_{number}", record.views[view].size_px, at_events)
    return arrays


def _read_header(opened: zipfile.ZipFile, name: str) -> _Header:
    """Read the header of an array; only kinds of number that the program writes are accepted, never an object."""
    entry = opened.getinfo(f"{name}.npy")
    with opened.open(entry) as stream:
        start = stream.read(10)
        if start[:8] != b"\x93NUMPY\x01\x00":
            _refuse(f"{name} is no array")
        length = struct.unpack("<H", start[8:10])[0]
        if length > _MOST_HEADER:
            _refuse(f"{name} has a header of {length} bytes")
        header = ast.literal_eval(stream.read(length).decode("latin-1").strip())
    if not isinstance(header, dict) or header.keys() != {"descr", "fortran_order", "shape"}:
        _refuse(f"{name} has no header that can be read")
    kind, shape = header["descr"], header["shape"]
    whole = isinstance(shape, tuple) and all(type(each) is int and 0 <= each < 1 << 31 for each in shape)
    if not isinstance(kind, str) or header["fortran_order"] is not False or not whole:
        _refuse(f"{name} has no header that can be read")
    wanted = "<U" if name in _TEXTS else "|u1" if name == SEEN else _KINDS[name.rsplit(".", 1)[1]]
    letters = kind.removeprefix("<U") if wanted == "<U" else ""
    if kind != wanted + letters or (letters and not (letters.isdecimal() and 0 < int(letters) <= _MOST_LETTERS)):
        _refuse(f"{name} holds the wrong kind of number")
    header = _Header(dtype=np.dtype(kind), shape=shape, begins=10 + length)
    if entry.file_size != header.begins + _bytes_of(header):
        _refuse(f"{name} has another size than its header says")
    return header


def _bytes_of(header: _Header) -> int:
    size = header.dtype.itemsize
    for each in header.shape:
        size *= each
    return size


def _check_view(arrays: StoredArrays, headers: Mapping[str, _Header], record: LessonRecord, view: View) -> None:
    seen = record.views[view]
    frames = headers[f"{view}.times_s"].shape
    if len(frames) != 1 or not 0 < frames[0] <= MOST_FRAMES:
        _refuse(f"{view}.times_s has the shape {frames}, and one number a frame was needed")
    left, top, right, bottom = (int(each) for each in _small(arrays, headers, f"{view}.mask_box_px", (4,)))
    wide, high = seen.size_px
    if not (0 <= left < right <= wide and 0 <= top < bottom <= high):
        _refuse(f"{view}.mask_box_px is not a part of a picture of {wide} × {high} pixels")
    lengths = {"T": frames[0], "h": bottom - top, "w": right - left}
    for name, (_, axes) in _SHAPES.items():
        shape = tuple(lengths[axis] if isinstance(axis, str) else axis for axis in axes)
        found = headers[f"{view}.{name}"].shape
        if found != shape:
            _refuse(f"{view}.{name} has the shape {found}, and {shape} was needed")
    if tuple(int(each) for each in arrays[f"{view}.size_px"]) != seen.size_px:
        _refuse(f"{view}.size_px is not the size of the picture in the document")
    if int(arrays[f"{view}.still_index"]) != seen.still_index or seen.still_index >= frames[0]:
        _refuse(f"{view}.still_index is not that of the document, or there is no such frame")
    setups = arrays[f"{view}.setup_index"]
    if setups.min() < 0 or setups.max() >= seen.setups:
        _refuse(f"{view}.setup_index names a setup that is not in the document")
    if not np.isfinite(arrays[f"{view}.times_s"]).all():
        _refuse(f"{view}.times_s holds a time that is not a number")
    for name in ("points_px", "joints_px", "visibility", "depth"):
        numbers = arrays[f"{view}.{name}"]
        if not (np.isnan(numbers) | (np.abs(numbers) <= _FARTHEST_PX)).all():
            _refuse(f"{view}.{name} holds an impossible number")


def _check_stroke(
    arrays: StoredArrays, headers: Mapping[str, _Header], of: str, size_px: tuple[int, int], at_events: bool
) -> None:
    lengths = {"N": _frames_of(headers, f"{of}.times_s", most=MOST_FRAMES)}
    if at_events:
        lengths["E"] = _frames_of(headers, f"{of}.at_times_s", most=len(STROKE_EVENTS))
        left, top, right, bottom = (int(each) for each in _small(arrays, headers, f"{of}.at_mask_box_px", (4,)))
        if not (0 <= left < right <= size_px[0] and 0 <= top < bottom <= size_px[1]):
            _refuse(f"{of}.at_mask_box_px is not a part of a picture of {size_px[0]} × {size_px[1]} pixels")
        lengths |= {"h": bottom - top, "w": right - left}
    for name, (_, axes) in {**SERIES, **(AT_EVENTS if at_events else {})}.items():
        shape = tuple(lengths[axis] if isinstance(axis, str) else axis for axis in axes)
        if headers[f"{of}.{name}"].shape != shape:
            _refuse(f"{of}.{name} has the shape {headers[f'{of}.{name}'].shape}, and {shape} was needed")
        if name in ("at_masks", "at_outlines"):
            continue
        numbers = arrays[f"{of}.{name}"]
        if not (np.isnan(numbers) | (np.abs(numbers) <= _FARTHEST_PX)).all():
            _refuse(f"{of}.{name} holds an impossible number")
    times_s = arrays[f"{of}.times_s"]
    if not (np.isfinite(times_s).all() and (np.diff(times_s) > 0).all()):
        _refuse(f"{of}.times_s do not increase")


def _frames_of(headers: Mapping[str, _Header], name: str, *, most: int) -> int:
    shape = headers[name].shape
    if len(shape) != 1 or not 0 < shape[0] <= most:
        _refuse(f"{name} has the shape {shape}, and one number a frame, at most {most}, was needed")
    return shape[0]


def _small(arrays: StoredArrays, headers: Mapping[str, _Header], name: str, shape: _Shape) -> NDArray[Any]:
    if headers[name].shape != shape:
        _refuse(f"{name} has the shape {headers[name].shape}, and {shape} was needed")
    return arrays[name]


def _skip(stream: IO[bytes], count: int) -> None:
    while count:
        got = len(stream.read(min(count, _CHUNK)))
        if not got:
            raise EOFError
        count -= got


def _refuse(fault: str) -> NoReturn:
    raise _Fault(fault)


@contextmanager
def _one_sentence(where: str) -> Iterator[None]:
    try:
        yield
    except _Fault as error:
        raise UsageError(f"{where} are damaged: {error}. Measure the clips again.") from None
    except (*_DAMAGE, *_RARE) as error:
        raise UsageError(f"{where} are damaged ({type(error).__name__}). Measure the clips again.") from None
