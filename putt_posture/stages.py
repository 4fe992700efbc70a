"""Several lessons of one student laid side by side in order: the way from the first setup to the last.

Changes are judged as between any two lessons: each stage against the one before it, and the last against the first.
"""

from collections.abc import Sequence
from datetime import date
from itertools import combinations, pairwise
from pathlib import Path
from typing import Final

from attrs import evolve

from putt_posture.changes import find_changes, warn_filming
from putt_posture.comparison import load_side, open_side, refuse_unlike, title_of
from putt_posture.errors import ArgumentError, UsageError
from putt_posture.pages import Paper, store_stages
from putt_posture.records import KeptLesson
from putt_posture.values import Lesson, Progress, Stage, Stages
from putt_posture.values.checks import check_call, check_path

__all__ = ["MOST_STAGES", "check_stages", "lay_out_stages"]

MOST_STAGES: Final = 8
"""More do not fit on a page that is still looked at."""


@check_call
def lay_out_stages(
    lessons: Sequence[Lesson | KeptLesson | Path | str],
    folder: Path | str | None = None,
    *,
    day: date | None = None,
    hide_faces: bool = False,
    replace: bool = False,
    made_on: date | None = None,
    paper: Paper = "a4",
    progress: Progress | None = None,
) -> Stages:
    """Lay lessons of one student side by side, and write the page about them where a folder is given.

    Parameters
    ----------
    lessons : sequence of Lesson, KeptLesson, Path or str
        Two to eight, in order; each as for `compare`.
    folder : Path or str, optional
        Where page and pictures are written, as `store_stages` does; without it nothing is written.
    day : date, optional
        Of the lessons that were just measured, which do not carry one themselves.
    hide_faces : bool
        Whether every head that is found in the pictures is hidden. What is hidden already stays so.
    replace, made_on, paper, progress
        As for `store_stages`; of use with a folder only.

    Returns
    -------
    Stages
        With the pictures of the lessons, as far as they were kept.

    Raises
    ------
    UsageError
        If there are too few or too many, one is no lesson, two are the same, the student putts with the other hand in
        one, or a file is damaged.
    OutputError
        If the folder is in use or cannot be written.

    Examples
    --------
    >>> lay_out_stages(["report"])
    Traceback (most recent call last):
    ...
    putt_posture.errors.UsageError: 1 lesson was given; 2 to 8 are needed to lay them side by side.
    """
    if isinstance(lessons, str) or not isinstance(lessons, Sequence):
        raise ArgumentError(f"lessons is {lessons!r:.60}; a list of lessons or of their result folders is needed.")
    given = "1 lesson was" if len(lessons) == 1 else f"{len(lessons)} lessons were"
    check_stages(len(lessons), f"{given} given")
    if folder is not None:
        check_path(folder, "folder")
    sides = [open_side(each, f"lessons[{place}]", hide=hide_faces, day=day) for place, each in enumerate(lessons)]
    titles = [title_of(each, f"number {place}") for place, each in enumerate(sides, start=1)]
    for (one, first), (other, second) in combinations(zip(sides, titles, strict=True), 2):
        refuse_unlike(one, other, (first, second))
    loaded = [load_side(side, title) for side, title in zip(sides, titles, strict=True)]
    moved = [find_changes(one.record.measured, two.record.measured) for one, two in pairwise(loaded)]
    warnings = dict.fromkeys(said for one, two in pairwise(loaded) for said in warn_filming(one.record, two.record))
    whole = find_changes(loaded[0].record.measured, loaded[-1].record.measured)
    found = Stages(
        stages=tuple(Stage(lesson=each, moved=since) for each, since in zip(loaded, [None, *moved], strict=True)),
        whole=evolve(whole, warnings=tuple(warnings)),
    )
    if folder is not None:
        store_stages(found, folder, replace=replace, made_on=made_on, paper=paper, progress=progress)
    return found


def check_stages(number: int, says: str) -> None:
    """Refuse too few or too many lessons to lay side by side.

    Parameters
    ----------
    number : int
    says : str
        How many there are, as the beginning of a sentence.

    Raises
    ------
    UsageError
    """
    if not 2 <= number <= MOST_STAGES:
        raise UsageError(f"{says}; 2 to {MOST_STAGES} are needed to lay them side by side.")
