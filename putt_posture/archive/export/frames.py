"""The whole archive as pandas frames, one moment of it.

`frame_forms` gives the columns. Days are ``datetime64``, numbers ``float64`` with NaN where there is none, texts
``string``, words of a fixed list ``category``.
"""

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any, Final

import numpy as np
import pandas as pd
from sqlalchemy import select, union
from sqlalchemy.orm import Session

from putt_posture.archive.archive import Archive
from putt_posture.archive.db.rows import unpack_points
from putt_posture.archive.db.tables import LandmarkRow, LessonRow, PracticeRow
from putt_posture.archive.export.frame_columns import FORMS, LANDMARKS, Column, FrameForm, Kind
from putt_posture.archive.people.consents import permissions_of
from putt_posture.archive.people.permissions import age_on

__all__ = ["columns_of", "frames_of", "read_frames", "withheld_of"]

_BATCH: Final = 50_000
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
        ``corrections`` and ``files``, joined by the columns ``student`` and ``lesson``. Each is sorted by its keys.

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
    ['lesson', 'student', 'measure', 'value']
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
    frames = {form.name: _read_frame(session, form, columns_of(form, names=names), withheld) for form in FORMS}
    if landmarks:
        frames[LANDMARKS.name] = _read_landmarks(session, withheld)
    return frames


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
    found = permissions_of(session, kept)
    return frozenset(number for number, each in found.items() if each.showing(today) == "nothing")


def columns_of(form: FrameForm, *, names: bool) -> tuple[Column, ...]:
    """Return the columns of a frame.

    Parameters
    ----------
    form : FrameForm
    names : bool
        Whether names, days of birth and typed texts are among the columns.
    """
    return tuple(column for column in form.columns if names or not column.tells_who)


def _read_frame(session: Session, form: FrameForm, columns: Sequence[Column], withheld: frozenset[int]) -> pd.DataFrame:
    parts = [_as_frame(columns, rows) for rows in _read_batches(session, form, columns, withheld)]
    frame = _join(columns, parts or [_as_frame(columns, [])])
    return frame.sort_values([name for name in form.sort if name in frame], kind="stable", ignore_index=True)


def _read_landmarks(session: Session, withheld: frozenset[int]) -> pd.DataFrame:
    others = [column for column in LANDMARKS.columns if column.source is not LandmarkRow.points]
    landmark, *numbers = (column for column in LANDMARKS.columns if column not in others)
    parts = []
    for rows in _read_batches(session, LANDMARKS, [*others, landmark], withheld):
        frame = _as_frame(others, [row[:-1] for row in rows])
        frame = frame.loc[frame.index.repeat(len(landmark.choices))].reset_index(drop=True)
        frame[landmark.name] = pd.Categorical([*landmark.choices] * len(rows), categories=[*landmark.choices])
        frame[[each.name for each in numbers]] = unpack_points(b"".join(row[-1] for row in rows))
        parts.append(frame)
    frame = _join(LANDMARKS.columns, parts or [_as_frame(LANDMARKS.columns, [])])
    return frame.sort_values(list(LANDMARKS.sort), kind="stable", ignore_index=True)


def _read_batches(
    session: Session, form: FrameForm, columns: Sequence[Column], withheld: frozenset[int]
) -> Iterator[Sequence[Any]]:
    """Go through the rows in batches, so that a large archive is never in memory as rows."""
    wanted = [column.source for column in columns]
    if any(column.kind == "age" for column in columns):
        wanted.append(next(column.source for column in columns if column.name == "day"))
    query = select(*wanted).select_from(form.tables[0])
    for table in form.tables[1:]:
        query = query.join(table)
    owner = next((table.student_id for table in form.tables if table in (LessonRow, PracticeRow)), None)
    if owner is not None and withheld:
        query = query.where(owner.not_in(sorted(withheld)))
    yield from session.execute(query.execution_options(yield_per=_BATCH)).partitions()


def _as_frame(columns: Sequence[Column], rows: Sequence[Any]) -> pd.DataFrame:
    values = list(zip(*rows, strict=True)) or [()] * (len(columns) + 1)
    days = values[-1]
    series = {}
    for column, cells in zip(columns, values, strict=False):  # if there are ages, the last column is their day
        ages = _count_years(cells, days) if column.kind == "age" else cells
        series[column.name] = _as_series(column, ages)
    return pd.DataFrame(series)


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
