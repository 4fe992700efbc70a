"""Several lessons side by side put into a folder: page and pictures, whole or not at all."""

from datetime import date
from pathlib import Path
from typing import Final

from putt_posture.disk.folders import fresh_folder, write_new
from putt_posture.drawing.stills import as_jpeg, as_png
from putt_posture.pages.setting import Paper
from putt_posture.pages.stages import draw_stages, stages_as_html, stages_as_pdf, write_stages
from putt_posture.values import Progress, Stages, ignore_progress

__all__ = ["store_stages"]

EMBEDDED_BYTES: Final = 1_200_000
"""Most bytes of all pictures together inside the HTML and the PDF; the page then goes by e-mail."""


def store_stages(
    stages: Stages,
    folder: Path | str,
    *,
    replace: bool = False,
    made_on: date | None = None,
    paper: Paper = "a4",
    progress: Progress | None = None,
) -> Path:
    """Write lessons side by side into a folder.

    The folder then holds ``steps.html`` and ``steps.pdf``, and in ``stills/``, as far as the lessons were kept with
    pictures, ``down_the_line_1.png`` and so on for each view.

    Parameters
    ----------
    stages : Stages
    folder : Path or str
        Made with its parents where it does not exist.
    replace : bool
        Whether a folder that this program wrote, and that holds nothing else, may be replaced as a whole; it stays
        until the new one is complete.
    made_on : date, optional
        The day to print on the page.
    paper : {"a4", "letter"}
        What the PDF is set for.
    progress : callable, optional
        Told what is going on and the share done, 0 to 1.

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
    keep = [file for stage in stages.stages for file in stage.lesson.files]
    with fresh_folder(folder, replace=replace, keep=keep, what="page of steps") as part:
        tell("Drawing the pictures", 0.0)
        pictures = draw_stages(stages)
        if pictures.stills:
            (part / "stills").mkdir()
        most_bytes = EMBEDDED_BYTES // max(len(pictures.stills), 1)
        shown = {}
        for name, still in pictures.stills.items():
            write_new(part / "stills" / f"{name}.png", as_png(still))
            shown[name] = as_jpeg(still, most_bytes=most_bytes)
        tell("Setting the page", 0.6)
        report = write_stages(stages, pictures=pictures, made_on=made_on)
        write_new(part / "steps.html", stages_as_html(report, pictures=shown).encode("utf-8"))
        write_new(part / "steps.pdf", stages_as_pdf(report, pictures=shown, made_on=made_on, paper=paper))
        tell("Writing the page", 1.0)
    return Path(folder)
