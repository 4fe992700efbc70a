"""The whole archive as pandas frames, one moment of it.

`frame_forms` gives the columns. Days are ``datetime64``, numbers ``float64`` with NaN where there is none, texts
``string``, words of a fixed list ``category``.
"""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Any, Final

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from sqlalchemy import func, select, union
from sqlalchemy.orm import Session

from putt_posture.archive.archive import Archive
from putt_posture.archive.db.rows import unpack_points
from putt_posture.archive.db.tables import LandmarkRow, LessonRow, MeasureRow, PracticeRow
from putt_posture.archive.export.frame_columns import FORMS, LANDMARKS, STROKES, Column, FrameForm, Kind
from putt_posture.archive.people.consents import permissions_by_page
from putt_posture.archive.people.permissions import age_on

__all__ = [
    "Years",
    "batches_of",
    "columns_of",
    "empty_of",
    "forms_of",
    "frames_of",
    "read_frames",
    "withheld_of",
]

Years = NDArray[np.int64]
Rows = NDArray[np.int64]
"""Which row of the database each row of a frame came from."""
Cells = Mapping[int, Sequence[Any]]
"""The cells of each column of the database, by the identity of its expression."""
_BATCH: Final = 500
"""Owners (lessons, students, tests) whose rows are read at once: of 61 measures each some 40 MB."""
_DTYPES: Final[dict[Kind, Any]] = {
    "number": "float64",
    "whole": "int64",
    "age": "Int64",
    "day": "datetime64[us]",
    "text": "string",
    "json": "string",
    "yes_no": "bool",
}


def read_frames(
    archive: Archive, *, today: date, names: bool = True, landmarks: bool = False
) -> dict[str, pd.DataFrame]:
    """Read the whole archive as frames.

    Students without consent for keeping measures today are only in ``students`` and ``consents``.

    Parameters
    ----------
    archive : Archive
    today : date
        The day by which consent and ages are judged.
    names : bool
        Whether names, days of birth and typed texts are among the columns. Without them a student is a number and an
        age at each lesson; the number, days and lengths may still identify them.
    landmarks : bool
        Whether ``landmarks`` is among the frames: 33 rows for every frame that was measured.

    Returns
    -------
    dict of str to DataFrame
        ``students``, ``consents``, ``lessons``, ``measures``, ``fits``, ``practice``, ``clips``, ``setups``,
        ``corrections``, ``files`` and ``strokes``, joined by the columns ``student`` and ``lesson``. Each is sorted by
        its keys.

    Raises
    ------
    ArchiveError
        If the database cannot be read.

    Examples
    --------
    >>> import tempfile
    >>> from datetime import date
    >>> from putt_posture.archive import open_archive, read_frames
    >>> with open_archive(tempfile.mkdtemp()) as archive:
    ...     frames = read_frames(archive, today=date.today())
    >>> frames["measures"].columns[:4].to_list()
    ['lesson', 'student', 'measure', 'family']
    """
    with archive.read() as session:
        return frames_of(session, withheld_of(session, today=today), names=names, landmarks=landmarks)


def frames_of(session: Session, withheld: frozenset[int], *, names: bool, landmarks: bool) -> dict[str, pd.DataFrame]:
    """Return the frames, in an open transaction, without the lessons and tests of the withheld students.

    Parameters
    ----------
    session : Session
        Open transaction.
    withheld : frozenset[int]
        Numbers of the students that are left out.
    names : bool
        Whether names, days of birth and typed texts are among the columns.
    landmarks : bool
        Whether the landmarks are read too.
    """
    frames = {}
    for form in forms_of(landmarks=landmarks):
        columns = columns_of(form, names=names)
        parts = [part for part, *_ in batches_of(session, form, withheld, names=names)]
        frames[form.name] = _join(columns, parts)
    return frames


def forms_of(*, landmarks: bool) -> tuple[FrameForm, ...]:
    """Return the forms of the frames that are read, in their order.

    Parameters
    ----------
    landmarks : bool
        Whether the landmarks are read too.
    """
    return (*FORMS, STROKES, LANDMARKS) if landmarks else (*FORMS, STROKES)


def batches_of(
    session: Session, form: FrameForm, withheld: frozenset[int], *, names: bool
) -> Iterator[tuple[pd.DataFrame, Years | None, float]]:
    """Go through a frame in parts of few owners, each sorted, in their order; at least one part, which may be empty.

    So a frame of any length needs the memory of one part.

    Parameters
    ----------
    session : Session
        Open transaction.
    form : FrameForm
    withheld : frozenset[int]
        Numbers of the students whose lessons and tests are left out.
    names : bool
        Whether names, days of birth and typed texts are among the columns.

    Yields
    ------
    DataFrame
    array or None
        The year of each row's lesson or test; None where rows belong to none.
    float
        The share of the frame that was read, 0 to 1.
    """
    columns = columns_of(form, names=names)
    sources = list({id(each): each for each in (column.source for column in columns)}.values())
    query = select(*sources, *([] if form.day is None else [form.day])).select_from(form.tables[0])
    for table in form.tables[1:]:
        query = query.join(table)
    if form.only is not None:
        query = query.where(form.only)
    at_student = None if form.day is None else [column.name for column in columns].index("student")
    first, last = session.execute(select(func.min(form.owner), func.max(form.owner))).one()
    found = False
    for start in range(first or 0, (last or -1) + 1, _BATCH):
        rows: Sequence[Any] = session.execute(query.where(form.owner.between(start, start + _BATCH - 1))).all()
        if at_student is not None and withheld:
            rows = [row for row in rows if row[at_student] not in withheld]
        if rows:
            found = True
            yield *_as_part(form, columns, sources, rows), (start - first) / (last - first + 1)
    if not found:
        yield *_as_part(form, columns, sources, []), 1.0


def empty_of(columns: Sequence[Column]) -> pd.DataFrame:
    """Return a frame without rows, its columns of the kinds that they have with rows.

    Parameters
    ----------
    columns : sequence of Column
    """
    return pd.DataFrame({column.name: _as_series(column, ()) for column in columns})


def withheld_of(session: Session, *, today: date) -> frozenset[int]:
    """Return the students with lessons or practice tests that may not be shown today.

    Parameters
    ----------
    session : Session
        Open transaction.
    today : date
        The day by which consent and ages are judged.
    """
    kept = session.scalars(union(select(LessonRow.student_id), select(PracticeRow.student_id)))
    return frozenset(
        number
        for page in permissions_by_page(session, kept)
        for number, each in page.items()
        if each.showing(today) == "nothing"
    )


def columns_of(form: FrameForm, *, names: bool) -> tuple[Column, ...]:
    """Return the columns of a frame.

    Parameters
    ----------
    form : FrameForm
    names : bool
        Whether names, days of birth and typed texts are among the columns.
    """
    return tuple(column for column in form.columns if names or not column.tells_who)


def _as_part(
    form: FrameForm, columns: Sequence[Column], sources: Sequence[Any], rows: Sequence[Any]
) -> tuple[pd.DataFrame, Years | None]:
    cells = list(zip(*rows, strict=True)) or [()] * (len(sources) + 1)
    days = cells[len(sources)] if form.day is not None else ()
    values = {id(source): each for source, each in zip(sources, cells, strict=False)}
    years = np.array([day.year for day in days], dtype=np.int64)
    if form is LANDMARKS:
        frame, owners = _unpack_landmarks(columns, values)
    elif form is STROKES:
        frame, owners = _unpack_strokes(columns, values)
    else:
        series = {}
        for column in columns:
            own = values[id(column.source)]
            series[column.name] = _as_series(column, _count_years(own, days) if column.kind == "age" else own)
        frame, owners = pd.DataFrame(series), np.arange(len(rows))
    by = [name for name in form.sort if name in frame]
    frame = frame.sort_values(by, kind="stable")
    order = frame.index.to_numpy()
    return frame.reset_index(drop=True), None if form.day is None else years[owners[order]]


def _unpack_landmarks(columns: Sequence[Column], values: Cells) -> tuple[pd.DataFrame, Rows]:
    """Return a row for each landmark of the packed rows, and the packed row of each."""
    others = [column for column in columns if column.source is not LandmarkRow.points]
    landmark, *numbers = (column for column in columns if column not in others)
    packed = values[id(LandmarkRow.points)]
    owners = np.repeat(np.arange(len(packed)), len(landmark.choices))
    frame = pd.DataFrame({column.name: _as_series(column, values[id(column.source)]) for column in others})
    frame = frame.iloc[owners].reset_index(drop=True)
    frame[landmark.name] = pd.Categorical([*landmark.choices] * len(packed), categories=[*landmark.choices])
    frame[[each.name for each in numbers]] = unpack_points(b"".join(packed))
    return frame, owners


def _unpack_strokes(columns: Sequence[Column], values: Cells) -> tuple[pd.DataFrame, Rows]:
    """Return a row for each stroke of the measures, and the measure's row of each."""
    repeats, means = values[id(MeasureRow.repeats)], values[id(MeasureRow.value)]
    each_stroke = [own or [mean] for own, mean in zip(repeats, means, strict=True)]
    counts = np.array([len(own) for own in each_stroke], dtype=np.int64)
    owners = np.repeat(np.arange(len(each_stroke)), counts)
    series = {}
    for column in columns:
        if column.name == "stroke":
            series[column.name] = _as_series(column, [at for count in counts for at in range(count)])
        elif column.name == "value":
            series[column.name] = _as_series(column, [one for own in each_stroke for one in own])
        else:
            whole = _as_series(column, values[id(column.source)])
            series[column.name] = whole.iloc[owners].reset_index(drop=True)
    return pd.DataFrame(series), owners


def _count_years(born: Sequence[Any], days: Sequence[Any]) -> list[int | None]:
    return [None if start is None else age_on(day, born=start) for start, day in zip(born, days, strict=True)]


def _as_series(column: Column, cells: Sequence[Any]) -> Any:
    if column.kind == "choice":
        found = sorted({each for each in cells if each is not None}.difference(column.choices))
        return pd.Series(pd.Categorical(cells, categories=[*column.choices, *found]))
    if column.kind == "day":
        return pd.Series(np.array(cells, dtype=_DTYPES["day"]))
    return pd.Series(cells, dtype=_DTYPES[column.kind])


def _join(columns: Sequence[Column], parts: list[pd.DataFrame]) -> pd.DataFrame:
    """Concatenate batches, with the same categories in all."""
    for column in (each for each in columns if each.kind == "choice"):
        found = set().union(*(part[column.name].cat.categories for part in parts))
        whole = [*column.choices, *sorted(found.difference(column.choices))]
        for part in parts:
            part[column.name] = part[column.name].cat.set_categories(whole)
    return pd.concat(parts, ignore_index=True)
