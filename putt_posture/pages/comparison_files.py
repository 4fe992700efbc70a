"""A comparison laid out as a page with pictures, and put into a folder, whole or not at all."""

from collections.abc import Collection, Mapping
from datetime import date
from pathlib import Path
from typing import Final

from attrs import field, frozen

from putt_posture.disk.folders import fresh_folder, write_new
from putt_posture.documents.comparison_json import change_rows, comparison_as_csv, comparison_as_json
from putt_posture.documents.json_values import document_as_text
from putt_posture.documents.schemas import check_document
from putt_posture.drawing.stills import as_jpeg, as_png
from putt_posture.pages.comparison import (
    ComparisonReport,
    Pictures,
    comparison_as_html,
    comparison_as_pdf,
    draw_pictures,
    write_comparison,
)
from putt_posture.pages.setting import Paper
from putt_posture.pages.stroke_comparison import name_clip_of_both
from putt_posture.pages.to_send import TO_SEND, change_to_send
from putt_posture.values import VIEWS, Comparison, Picture, Progress, View, ignore_progress

__all__ = ["ComparisonLayout", "lay_out_comparison", "store_comparison"]

EMBEDDED_BYTES: Final = 300_000
"""Most bytes of a picture inside the HTML and the PDF: two of them and two drawings leave an e-mail of a megabyte."""


@frozen(kw_only=True)
class ComparisonLayout:
    """A comparison as it is shown.

    Attributes
    ----------
    report : ComparisonReport
    pictures : mapping of str to bytes
        JPEG or SVG by name, as the page shows them.
    drawn : Pictures
        The same before they were made small enough for a page.
    """

    report: ComparisonReport
    pictures: Mapping[str, bytes] = field(repr=False)
    drawn: Pictures = field(repr=False)


def lay_out_comparison(
    comparison: Comparison, *, clips: Collection[View] | None = None, made_on: date | None = None
) -> ComparisonLayout:
    """Draw the pictures of a comparison and write its page.

    Parameters
    ----------
    comparison : Comparison
    clips : collection of View, optional
        Of which there is a clip of both strokes beside the page; not given where the page shows them another way.
    made_on : date, optional
        The day to print on the page.
    """
    drawn = draw_pictures(comparison)
    charts = {name: chart.encode("utf-8") for name, chart in drawn.charts.items()}
    return ComparisonLayout(
        report=write_comparison(comparison, pictures=drawn, clips=clips, made_on=made_on),
        pictures=charts | _as_jpegs(drawn.halves, most_bytes=EMBEDDED_BYTES // 2),
        drawn=drawn,
    )


def store_comparison(
    comparison: Comparison,
    folder: Path | str,
    *,
    replace: bool = False,
    made_on: date | None = None,
    paper: Paper = "a4",
    overlays: Mapping[View, bytes] | None = None,
    progress: Progress | None = None,
) -> Path:
    """Write two lessons side by side into a folder.

    The folder then holds ``comparison.html``, ``comparison.pdf``, ``comparison.json`` and ``comparison.csv``, and in
    ``stills/``, as far as both lessons were kept with pictures, ``side_by_side_….png`` and ``outlines_….svg`` of each
    view, and ``arc.svg`` where both setups have an arc; of the strokes ``strokes_times.svg`` and
    ``strokes_from_….svg``, and their clips side by side as ``strokes_….mp4``. With pictures there is ``to_send.jpg``
    too, one portrait picture for a message.

    Parameters
    ----------
    comparison : Comparison
    folder : Path or str
        Made with its parents where it does not exist.
    replace : bool
        Whether a folder that this program wrote, and that holds nothing else, may be replaced as a whole; it stays
        until the new one is complete.
    made_on : date, optional
        The day to print on the pages.
    paper : {"a4", "letter"}
        What the PDF is set for.
    overlays : mapping of View to bytes, optional
        Clips of both strokes side by side, MP4; empty where there was none to show, and the page says so.
    progress : callable, optional
        Called with what is going on and the share done, 0 to 1.

    Returns
    -------
    Path
        The folder.

    Raises
    ------
    OutputError
        If the folder is in use, cannot be written, or holds one of the lessons. Nothing is left behind then, nor after
        Ctrl-C.
    """
    tell = progress or ignore_progress
    keep = (*comparison.before.files, *comparison.after.files)
    with fresh_folder(folder, replace=replace, keep=keep, what="comparison") as part:
        tell("Writing the numbers", 0.0)
        document = comparison_as_json(comparison, made_on=made_on)
        check_document(document, "comparison", what="The changes do")
        write_new(part / "comparison.json", document_as_text(document).encode("utf-8"))
        write_new(part / "comparison.csv", comparison_as_csv(comparison).encode("utf-8"))
        tell("Drawing the pictures", 0.1)
        laid = lay_out_comparison(comparison, clips=overlays, made_on=made_on)
        for view, clip in (overlays or {}).items():
            write_new(part / name_clip_of_both(view), clip)
        pictures, report = laid.drawn, laid.report
        charts = {name: chart.encode("utf-8") for name, chart in pictures.charts.items()}
        if pictures.stills or charts:
            (part / "stills").mkdir()
        for name, chart in charts.items():
            write_new(part / "stills" / f"{name}.svg", chart)
        for name, still in pictures.stills.items():
            write_new(part / "stills" / f"{name}.png", as_png(still))
        tell("Setting the pages", 0.6)
        write_new(part / "comparison.html", comparison_as_html(report, pictures=laid.pictures).encode("utf-8"))
        on_paper = charts | _as_jpegs(pictures.stills, most_bytes=EMBEDDED_BYTES)
        write_new(part / "comparison.pdf", comparison_as_pdf(report, pictures=on_paper, made_on=made_on, paper=paper))
        if (picture := _draw_to_send(comparison, pictures)) is not None:
            write_new(part / TO_SEND, picture)
        tell("Writing the pages", 1.0)
    return Path(folder)


def _draw_to_send(comparison: Comparison, pictures: Pictures) -> bytes | None:
    """Return the picture to send; None where no view could be laid side by side."""
    shown = [view for view in VIEWS if f"before_{view}" in pictures.halves]
    if not shown:
        return None
    return change_to_send(
        pictures.halves[f"before_{shown[0]}"],
        pictures.halves[f"after_{shown[0]}"],
        change_rows(comparison.changes),
        days=(comparison.before.record.made_on, comparison.after.record.made_on),
    )


def _as_jpegs(pictures: Mapping[str, Picture], *, most_bytes: int) -> dict[str, bytes]:
    return {name: as_jpeg(picture, most_bytes=most_bytes) for name, picture in pictures.items()}
