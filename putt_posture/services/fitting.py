"""The fit of one lesson, tried with other wanted setups and other putters.

A lesson is opened once; what was measured stays as it is. Each try fits the student's body to the setup that is wanted
now, puts a given putter into its hands, and says what a club-builder has to know. The numbers are those of
`fit_putter`, `hold_putter` and `find_club_spec`.
"""

from collections import OrderedDict
from datetime import date
from pathlib import Path
from threading import Lock
from typing import Final

from attrs import define, evolve, field, frozen

from putt_posture.archive import Archive
from putt_posture.club_spec import describe_grip_down, find_club_spec
from putt_posture.detection.loading import load_detections
from putt_posture.documents import ARRAYS
from putt_posture.drawing.ghost import GhostLines, trace_ghost
from putt_posture.drawing.page_still import cut_page_still, find_page_crop
from putt_posture.drawing.placing import Crop
from putt_posture.drawing.setup_charts import CurvesChart, describe_curves, draw_curves_to_read
from putt_posture.drawing.stills import as_jpeg
from putt_posture.errors import NotAllowed
from putt_posture.fitting import (
    ClipLengths,
    FittedBody,
    check_putter_length,
    check_putter_lie,
    find_body_curves,
    find_clip_lengths,
    find_fitted_body,
    hold_putter,
)
from putt_posture.pages import Paper, store_lesson
from putt_posture.pages.club_spec import SpecSheet, write_spec_sheet
from putt_posture.records import KeptLesson, read_result_folder
from putt_posture.services.measuring_again import MeasuredAgain, measure_again, measure_stored
from putt_posture.values import ChosenPutter, ClubSpec, HeldPutter, Lesson, WantedSetup

__all__ = ["OpenFit", "TriedFit", "keep_wanted_in_archive", "keep_wanted_in_folder", "open_fit"]

_KEPT_FITS: Final = 40
"""Bodies that were fitted; a coach goes back and forth between a few wanted setups."""
_KEPT_CHARTS: Final = 6
_STILL_BYTES: Final = 300_000
_ChartKey = tuple[WantedSetup, str]


@frozen(kw_only=True, eq=False)
class TriedFit:
    """One try.

    Attributes
    ----------
    wanted : WantedSetup
    chosen : ChosenPutter
        Nothing chosen where the suggested putter is tried.
    body : FittedBody
        With the fit for the wanted setup.
    held : HeldPutter or None
        The chosen putter in the student's hands; None where none was chosen, or there is no body to hold it.
    spec : ClubSpec
        Of the chosen putter, else of the suggested one.
    grip_down : str
        What holding the putter lower does; empty where it is held in the usual place.
    ghost : GhostLines or None
        The body with that putter, pixels of the full-size picture; None where it cannot be drawn.
    """

    wanted: WantedSetup
    chosen: ChosenPutter
    body: FittedBody
    held: HeldPutter | None
    spec: ClubSpec
    grip_down: str
    ghost: GhostLines | None = field(repr=False)


@define(kw_only=True, eq=False)
class OpenFit:
    """A lesson whose fit is tried out. It may be used by several threads.

    Attributes
    ----------
    lesson : Lesson
        As it was measured.
    lengths : ClipLengths or None
        What its clips show of the body's lengths.
    crop : Crop or None
        The part of the still that ghosts are laid over; None where there is no ghost.
    still : bytes or None
        JPEG of that part; None where no picture was kept.
    """

    lesson: Lesson
    lengths: ClipLengths | None = field(repr=False)
    crop: Crop | None = field(repr=False)
    still: bytes | None = field(repr=False)
    _bodies: OrderedDict[WantedSetup, FittedBody] = field(factory=OrderedDict, init=False, repr=False)
    _charts: OrderedDict[tuple[WantedSetup, str], tuple[CurvesChart, str]] = field(
        factory=OrderedDict, init=False, repr=False
    )
    _lock: Lock = field(factory=Lock, init=False, repr=False)

    @property
    def wanted(self) -> WantedSetup:
        """The setup that the lesson was fitted for."""
        return self.lesson.wanted or WantedSetup()

    def fit(self, wanted: WantedSetup) -> FittedBody:
        """Fit a putter to the student in a wanted setup.

        Parameters
        ----------
        wanted : WantedSetup

        Raises
        ------
        UsageError
            If the wanted setup cannot be asked for.
        """
        with self._lock:
            if (known := self._bodies.get(wanted)) is not None:
                self._bodies.move_to_end(wanted)
                return known
        found = find_fitted_body(
            self.lesson.posture,
            self.lesson.student,
            wanted=wanted,
            lengths=self.lengths,
            without_putter=self.lesson.without_putter,
            curves="left out",
        )
        with self._lock:
            self._bodies[wanted] = found
            while len(self._bodies) > _KEPT_FITS:
                self._bodies.popitem(last=False)
        return found

    def try_out(self, wanted: WantedSetup, chosen: ChosenPutter | None = None) -> TriedFit:
        """Try a wanted setup, and a putter in it.

        Parameters
        ----------
        wanted : WantedSetup
        chosen : ChosenPutter, optional
            The suggested putter by default.

        Raises
        ------
        UsageError
            If the setup cannot be asked for, or there is no such putter.
        """
        chosen = chosen or ChosenPutter()
        if chosen.length_cm is not None:
            check_putter_length(chosen.length_cm)
        if chosen.lie_deg is not None:
            check_putter_lie(chosen.lie_deg)
        body = self.fit(wanted)
        held = hold_putter(body, length_cm=chosen.length_cm, lie_deg=chosen.lie_deg) if chosen else None
        figure = body.fit.figure if held is None else held.figure
        length = body.fit.putter_length
        used_cm = chosen.length_cm if chosen.length_cm is not None else length.value if length else None
        return TriedFit(
            wanted=wanted,
            chosen=chosen,
            body=body,
            held=held,
            spec=find_club_spec(
                body.fit, self.lesson.student, without_putter=self.lesson.without_putter, chosen=chosen
            ),
            grip_down="" if used_cm is None else describe_grip_down(used_cm, wanted.grip_down_cm),
            ghost=None if figure is None or self.crop is None else trace_ghost(self.lesson, figure, crop=self.crop),
        )

    def draw_curves(self, wanted: WantedSetup, *, unit: str) -> tuple[CurvesChart, str] | None:
        """Draw how the setup changes with putters of other lengths; None where there is nothing to draw.

        Parameters
        ----------
        wanted : WantedSetup
        unit : str
            In which lengths are shown now, so that a chart in another is not taken.

        Returns
        -------
        (CurvesChart, str) or None
            The chart, and what it shows in words.

        Raises
        ------
        UsageError
            If the wanted setup cannot be asked for.
        """
        body, key = self.fit(wanted), (wanted, unit)
        with self._lock:
            known = self._charts.get(key)
        if known is None:
            curves = find_body_curves(body)
            chart = None if curves is None else draw_curves_to_read(curves)
            if curves is None or chart is None:
                return None
            known = chart, describe_curves(curves, filmed=self.lesson.posture.estimates)
            with self._lock:
                self._charts[key] = known
                while len(self._charts) > _KEPT_CHARTS:
                    self._charts.popitem(last=False)
        return known

    def write_spec_sheet(self, tried: TriedFit, *, made_on: date) -> SpecSheet:
        """Return the text of the spec sheet of a try.

        Parameters
        ----------
        tried : TriedFit
        made_on : date
            The day to print.
        """
        return write_spec_sheet(
            tried.spec, self.lesson.student, made_on=made_on, chosen=tried.chosen, suggested=tried.body.fit
        )


def open_fit(kept: KeptLesson) -> OpenFit:
    """Open a measured lesson, to try its fit out.

    It is measured again from what was seen, which takes about a second; the numbers are the same.

    Parameters
    ----------
    kept : KeptLesson
        Of a result folder, or of the archive as it may be shown.

    Raises
    ------
    NotAllowed
        If what was seen may not be shown.
    UsageError
        If it was kept without what was seen, or that is damaged.
    """
    if ARRAYS not in kept.names and kept.says:
        raise NotAllowed(f"{kept.says[0].rstrip('.')}, so its fit cannot be tried out.")
    lesson = measure_stored(load_detections(kept), kept.record, where=kept.title)
    side = lesson.views.get("down_the_line")
    crop = find_page_crop(lesson)
    picture = None if crop is None else cut_page_still(lesson, crop)
    return OpenFit(
        lesson=lesson,
        lengths=None if side is None else find_clip_lengths(side, lesson.posture, lesson.student),
        crop=crop,
        still=None if picture is None else as_jpeg(picture, most_bytes=_STILL_BYTES),
    )


def keep_wanted_in_folder(
    folder: Path, wanted: WantedSetup, *, made_on: date | None = None, paper: Paper = "a4"
) -> None:
    """Keep a wanted setup with the lesson of a result folder: report, findings, fit and spec sheet then follow it.

    The folder is replaced as a whole, or stays as it was.

    Parameters
    ----------
    folder : Path
    wanted : WantedSetup
    made_on : date, optional
        The day to print.
    paper : {"a4", "letter"}
        What the PDFs are set for.

    Raises
    ------
    UsageError
        If the lesson cannot be measured again, or the setup cannot be asked for.
    OutputError
        If the folder cannot be written.
    """
    kept = read_result_folder(folder)
    stored = load_detections(kept)
    lesson = measure_stored(evolve(stored, wanted=wanted), kept.record, where=kept.title)
    store_lesson(lesson, folder, replace=True, made_on=made_on, paper=paper)


def keep_wanted_in_archive(
    archive: Archive, number: int, wanted: WantedSetup, *, today: date, paper: Paper = "a4"
) -> MeasuredAgain:
    """Keep a wanted setup with a filed lesson: it is measured again for it, and filed beside the first.

    Parameters
    ----------
    archive : Archive
    number : int
        The lesson's.
    wanted : WantedSetup
    today : date
    paper : {"a4", "letter"}
        What the PDFs are set for.

    Raises
    ------
    NotInArchive, NotAllowed, UsageError, ArchiveError
        As `measure_again` does.
    """
    return measure_again(archive, number, today=today, wanted=wanted, paper=paper)
