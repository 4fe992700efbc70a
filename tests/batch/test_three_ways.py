"""The same lessons by one process, by processes of this machine and by a Dask cluster give the same numbers."""

from datetime import date

import cv2
import pytest
from attrs import evolve
from dask_processes import cluster_of, wait_until
from filed import add_player

from putt_posture.archive import load_lessons, open_archive, open_lesson
from putt_posture.batch import BatchLesson, Ledger, open_executor, run_batch
from putt_posture.detection.detect import detect_in_clips
from putt_posture.documents import DOCUMENT
from putt_posture.services import Filing, file_measured, prepare_job, run_job

TODAY = date(2026, 11, 25)
NUMBERS = (DOCUMENT, "measures.csv")


@pytest.fixture
def lessons(golfer_stills):
    """Of three students: both views, and each view alone."""
    given = [golfer_stills, *({view: still} for view, still in golfer_stills.items())]
    return [
        BatchLesson(where=f"row {at}", student=at, moment="before", clips=clips, day=TODAY, putter_length_cm=86.4)
        for at, clips in enumerate(given, 1)
    ]


def numbers_in(archive):
    """The files with numbers of each student's only lesson, byte for byte."""
    found = {}
    for student in (1, 2, 3):
        (lesson,) = load_lessons(archive, student)
        kept = open_lesson(archive, lesson.number, today=TODAY)
        found[student] = {name: kept.read(name) for name in NUMBERS}
    return found


def begin(folder):
    archive = open_archive(folder)
    for _ in range(3):
        add_player(archive)
    return archive


def by_one_process(lessons, folder):
    """In this process, with OpenCV held to one thread as in every job: its `warpAffine` rounds by its threads."""
    threads = cv2.getNumThreads()
    cv2.setNumThreads(1)
    try:
        return measure_here(lessons, folder)
    finally:
        cv2.setNumThreads(threads)


def measure_here(lessons, folder):
    with begin(folder) as archive:
        for each in lessons:
            filing = Filing(student=each.student, day=TODAY, moment=each.moment, clips=each.clips)
            job = prepare_job(archive, filing, today=TODAY, putter_length_cm=each.putter_length_cm)
            file_measured(archive, filing, run_job(evolve(job, made_on=TODAY)), today=TODAY)
        return numbers_in(archive)


def by_pool(lessons, folder, pool):
    with begin(folder / "archive") as archive, Ledger(folder / "work") as ledger:
        states = [each.state for each in run_batch(archive, lessons, ledger=ledger, pool=pool, today=TODAY)]
        assert states == ["filed"] * 3
        return numbers_in(archive)


@pytest.mark.whole
def test_the_same_lessons_have_the_same_numbers_to_the_last_digit_in_all_three_ways(lessons, tmp_path, monkeypatch):
    monkeypatch.setattr("putt_posture.lesson.detect_in_clips", detect_in_clips)  # detected anew here too
    one = by_one_process(lessons, tmp_path / "one")
    with open_executor(workers=2) as pool:
        assert by_pool(lessons, tmp_path / "two", pool) == one
    with cluster_of(2, tmp_path / "dask") as cluster, open_executor(cluster=cluster.address) as pool:
        wait_until(lambda: pool.workers == 2, what="two workers")
        assert by_pool(lessons, tmp_path / "three", pool) == one
