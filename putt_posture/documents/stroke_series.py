"""The paths of strokes as `strokes.csv`: one row for each time and point; written, and read strictly.

Times are seconds of clip time, lengths centimetres in the golfer's plane, rounded to a thousandth of a millimetre.
``along`` is + toward the ball down the line and + toward the target face on; ``up`` is +. ``moved`` is from where the
point was at address; ``at_address`` is where that was, from the ball's centre and the ground.
"""

import csv
import importlib.util
import io
import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from attrs import evolve

from putt_posture.documents.tables import rows_as_csv
from putt_posture.errors import UsageError
from putt_posture.values import VIEWS, StrokePath, Strokes, View

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["STROKE_PARQUET", "STROKE_SERIES", "read_series", "series_as_csv", "series_as_frame", "series_as_parquet"]

STROKE_SERIES: Final = "strokes.csv"
STROKE_PARQUET: Final = "strokes.parquet"
"""The names of the files."""
_COLUMNS: Final = (
    "view", "stroke", "kind", "point", "time_s", "moved_along_cm", "moved_up_cm", "sd_along_cm", "sd_up_cm",
    "at_address_along_cm", "at_address_up_cm",
)  # fmt: skip
_NUMBERS: Final = _COLUMNS[4:]
_POINTS: Final = ("hands", "putter_head", "head", "sternum", "hips", "knees", "ball")
_DIGITS: Final = 4
_TIME_DIGITS: Final = 6
"""Frames of 240 a second are 4 thousandths apart."""
_FARTHEST: Final = 1e6


def series_as_csv(strokes: Strokes) -> str:
    """Return the text of `strokes.csv`: a header line, commas, decimal points, empty cells where nothing was seen.

    Parameters
    ----------
    strokes : Strokes
        With their paths.
    """
    rows = ([_cell(name, row[name]) for name in _COLUMNS] for row in _rows(strokes))
    return rows_as_csv(_COLUMNS, rows)


def series_as_frame(strokes: Strokes) -> "pd.DataFrame":
    """Return the same as a table of pandas, NaN where nothing was seen.

    Parameters
    ----------
    strokes : Strokes
        With their paths.

    Returns
    -------
    DataFrame
        ``view``, ``stroke`` (1 for the first of the clip), ``kind``, ``point``, ``time_s``, ``moved_along_cm``,
        ``moved_up_cm``, one sigma of both as ``sd_along_cm`` and ``sd_up_cm``, ``at_address_along_cm``,
        ``at_address_up_cm``.
    """
    import pandas as pd  # imported here, so that writing the text does not load it

    frame = pd.DataFrame(_rows(strokes), columns=list(_COLUMNS))
    return frame.astype(dict.fromkeys(_NUMBERS, float) | {"stroke": int})


def series_as_parquet(strokes: Strokes) -> bytes | None:
    """Return the same table as the bytes of a Parquet file; None where pyarrow is not installed.

    Parameters
    ----------
    strokes : Strokes
        With their paths.
    """
    if importlib.util.find_spec("pyarrow") is None:  # it comes with an extra
        return None
    stream = io.BytesIO()
    series_as_frame(strokes).to_parquet(stream, index=False, engine="pyarrow")
    return stream.getvalue()


def read_series(data: bytes, strokes: Strokes, *, where: str) -> Strokes:
    """Return strokes with their paths, read from a `strokes.csv`.

    Parameters
    ----------
    data : bytes
        Of the file.
    strokes : Strokes
        Of the document that it belongs to, without paths.
    where : str
        What it was read from, for the message.

    Raises
    ------
    UsageError
        If it is not such a table, or of other strokes.
    """
    try:
        rows = list(csv.reader(io.StringIO(data.decode("utf-8")), strict=True))
        if not rows or tuple(rows[0]) != _COLUMNS:
            raise ValueError("its columns are not those that measure writes")
        found: dict[tuple[View, int], dict[str, list[list[float]]]] = {}
        for row in rows[1:]:
            view, number, point, numbers = _read_row(row, strokes)
            found.setdefault((view, number), {}).setdefault(point, []).append(numbers)
        paths = {
            stroke: {point: _path(point, series) for point, series in of_stroke.items()}
            for stroke, of_stroke in found.items()
        }
    except (ValueError, csv.Error) as error:  # a UnicodeDecodeError is a ValueError
        raise UsageError(f"{where} is damaged: {_say(error)}. Measure the clips again.") from None
    return evolve(
        strokes,
        of={
            view: tuple(evolve(each, paths=paths.get((view, each.number), {})) for each in of_view)
            for view, of_view in strokes.of.items()
        },
    )


def _rows(strokes: Strokes) -> Iterator[dict[str, Any]]:
    for view in VIEWS:
        for stroke in strokes.of.get(view, ()):
            about = {"view": view, "stroke": stroke.number, "kind": stroke.kind}
            for point, path in stroke.paths.items():
                at = dict(zip(_COLUMNS[-2:], (float(each) for each in path.from_ball_cm), strict=True))
                for time_s, (along, up), (sd_along, sd_up) in zip(path.times_s, path.moved_cm, path.sd_cm, strict=True):
                    yield {
                        **about,
                        "point": point,
                        "time_s": float(time_s),
                        "moved_along_cm": float(along),
                        "moved_up_cm": float(up),
                        "sd_along_cm": float(sd_along),
                        "sd_up_cm": float(sd_up),
                        **at,
                    }


def _cell(name: str, value: Any) -> Any:
    if name not in _NUMBERS:
        return value
    return round(value, _TIME_DIGITS if name == "time_s" else _DIGITS) if math.isfinite(value) else None


def _read_row(row: list[str], strokes: Strokes) -> tuple[View, int, str, list[float]]:
    if len(row) != len(_COLUMNS):
        raise ValueError(f"a row has {len(row)} cells, and {len(_COLUMNS)} were needed")
    view = next((each for each in VIEWS if each == row[0]), None)
    known = (
        None if view is None else next((each for each in strokes.of.get(view, ()) if str(each.number) == row[1]), None)
    )
    if view is None or known is None or known.kind != row[2]:
        raise ValueError("it holds a stroke that the document does not")
    if row[3] not in _POINTS:
        raise ValueError("it holds a point that is not followed")
    numbers = [float(cell) if cell else math.nan for cell in row[4:]]
    if not math.isfinite(numbers[0]) or any(abs(each) > _FARTHEST for each in numbers if not math.isnan(each)):
        raise ValueError("it holds an impossible number")
    return view, known.number, row[3], numbers


def _path(point: str, series: list[list[float]]) -> StrokePath:
    numbers = np.array(series)
    if not (np.diff(numbers[:, 0]) > 0).all():
        raise ValueError(f"the times of {point} do not increase")
    return StrokePath(
        point=point,
        times_s=numbers[:, 0],
        moved_cm=numbers[:, 1:3],
        sd_cm=numbers[:, 3:5],
        from_ball_cm=(float(numbers[0, 5]), float(numbers[0, 6])),
    )


def _say(error: Exception) -> str:
    return "it is not text in UTF-8" if isinstance(error, UnicodeDecodeError) else str(error)
