"""The measures of a lesson as a pandas table: one row for each measure, frame and measure, or stroke and measure."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Final, Literal

from putt_posture.errors import UsageError
from putt_posture.measures import MEASURES, STROKE_MEASURES
from putt_posture.values import STROKE_EVENTS, VIEWS, Estimate, Landmarks, MeasureName, Strokes, View

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["NO_FRAMES", "NO_STROKES", "Per", "frame_of", "frame_of_frames", "frame_of_strokes"]

Per = Literal["measure", "frame", "stroke"]
"""What one row is for."""
NO_FRAMES: Final = (
    "A stored lesson keeps no values of single frames. Measure the clips again with measure_lesson and ask that "
    "lesson, or ask for one row a measure."
)

NO_STROKES: Final = "No stroke was measured in this lesson. {why}"


def frame_of(measures: Mapping[MeasureName, Estimate]) -> "pd.DataFrame":
    """Return one row for each measure, in the order of the report, with the name of the measure as the index.

    Parameters
    ----------
    measures : mapping of MeasureName to Estimate
        Present or absent.

    Returns
    -------
    DataFrame
        ``title``; ``value``, ``standard_uncertainty`` and the 95 % interval ``low`` to ``high``, in ``unit``, NaN where
        the measure is absent; ``view``, empty where both or neither were used; ``frames``, how many; ``method``; and
        ``reason``, why there is no number, empty where there is one.
    """
    import pandas as pd  # imported here, so that measuring and storing a lesson does not load it

    rows = [
        {
            "measure": name,
            "title": MEASURES[name].title,
            "value": each.value,
            "standard_uncertainty": each.standard_uncertainty,
            "low": each.low,
            "high": each.high,
            "unit": each.unit,
            "view": each.view or "",
            "frames": int(each.frames),
            "method": each.method,
            "reason": each.absent or "",
        }
        for name, each in measures.items()
    ]
    numbers = dict.fromkeys(("value", "standard_uncertainty", "low", "high"), float)
    return pd.DataFrame(rows).astype(numbers).set_index("measure")


def frame_of_frames(measures: Mapping[MeasureName, Estimate], landmarks: Mapping[View, Landmarks]) -> "pd.DataFrame":
    """Return one row for each frame and measure, for the measures that are read frame by frame.

    Parameters
    ----------
    measures : mapping of MeasureName to Estimate
        Present or absent.
    landmarks : mapping of View to Landmarks
        The landmarks that were measured; their frames are the rows.

    Returns
    -------
    DataFrame
        ``view``; ``frame``, its place among the frames of the view; ``time_s``, clip time in seconds; ``setup``, the
        place of its setup; ``measure``; ``value`` in ``unit``, NaN where it cannot be read in the frame. The value of a
        measure in a lesson is the median over the frames of each setup, then the mean over the setups.

    Raises
    ------
    UsageError
        If no measure has values of frames, as in a lesson that was stored.
    """
    import pandas as pd  # imported here, so that measuring and storing a lesson does not load it

    parts = []
    for name, each in measures.items():
        if each.view is None or not each.per_frame:
            continue
        seen = landmarks[each.view]
        columns = {
            "view": each.view,
            "frame": range(len(seen.times_s)),
            "time_s": seen.times_s,
            "setup": seen.setup_index,
            "measure": name,
            "value": each.per_frame,
            "unit": each.unit,
        }
        parts.append(pd.DataFrame(columns))
    if not parts:
        raise UsageError(NO_FRAMES)
    return pd.concat(parts, ignore_index=True)


def frame_of_strokes(strokes: Strokes | None) -> "pd.DataFrame":
    """Return one row for each stroke of each view and each of its events and measures.

    Parameters
    ----------
    strokes : Strokes or None
        None where none was looked for.

    Returns
    -------
    DataFrame
        ``view``, ``stroke`` (1 for the first of the clip), ``kind``, ``measure`` (an event has the name of
        `STROKE_EVENTS`, and its value is clip time), ``title``, ``value``, ``standard_uncertainty``, the 95 % interval
        ``low`` to ``high``, ``unit``, and ``reason``, why there is no number.

    Raises
    ------
    UsageError
        If no stroke was measured.
    """
    import pandas as pd  # imported here, so that measuring and storing a lesson does not load it

    if not strokes:
        why = "The strokes were left out." if strokes is None else strokes.why_none
        raise UsageError(NO_STROKES.format(why=why))
    rows = []
    for view in VIEWS:
        for stroke in strokes.of.get(view, ()):
            named = [(str(name), name.capitalize(), stroke.events[name]) for name in STROKE_EVENTS]
            named += [(str(name), STROKE_MEASURES[name].title, each) for name, each in stroke.numbers.items()]
            for name, title, each in named:
                rows.append(
                    {
                        "view": view,
                        "stroke": stroke.number,
                        "kind": stroke.kind,
                        "measure": name,
                        "title": title,
                        "value": each.value,
                        "standard_uncertainty": each.standard_uncertainty,
                        "low": each.low,
                        "high": each.high,
                        "unit": each.unit,
                        "reason": each.absent or "",
                    }
                )
    return pd.DataFrame(rows).astype(dict.fromkeys(("value", "standard_uncertainty", "low", "high"), float))
