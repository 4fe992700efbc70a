"""Several coaches at once, each in a process of their own."""

from datetime import date

import pytest
from at_once import do_at_once
from filed import TODAY, add_player, file_one, make_clips, make_lesson_of
from sqlalchemy import func, select
from wholeness import assert_whole

from putt_posture.archive import (
    add_practice_test,
    back_up,
    check_archive,
    erase_student,
    find_students,
    load_erasures,
    load_history,
    load_lessons,
    open_archive,
    restore,
)
from putt_posture.archive.db.tables import FileRow, StudentRow
from putt_posture.errors import UsageError
from putt_posture.values import PuttCount

pytestmark = pytest.mark.usefixtures("quick_forks")

ROUNDS = 4


def begin(place, *, players):
    with place.open() as archive:
        return [add_player(archive, name=f"Player Number{each}") for each in range(players)]


def test_writers_of_all_kinds_at_once_lose_nothing(place, stored, tmp_path):
    one, two, erased = begin(place, players=3)
    clips = make_clips(tmp_path / "clips", "all")
    with place.open() as archive:
        file_one(archive, erased, make_lesson_of(stored, tag="goes", clips=clips), clips=clips)

    def file(number):
        for each in range(ROUNDS):
            with place.open() as archive:
                another = make_lesson_of(stored, tag=f"{number}.{each}", clips=clips)
                file_one(archive, number, another, clips=clips, day=date(2026, 1, 1 + each))

    def enrol():
        with place.open() as archive:
            for each in range(ROUNDS):
                number = add_player(archive, name=f"Newcomer Number{each}")
                add_practice_test(
                    archive,
                    number,
                    day=TODAY,
                    counts=[PuttCount(distance_cm=90.0, tried=3, holed=each % 4)],
                    today=TODAY,
                )

    def sweep():
        for _ in range(3 * ROUNDS):
            with place.open() as archive:
                assert find_students(archive, "number")

    def erase():
        with place.open() as archive:
            erase_student(archive, erased, today=TODAY, reason="asked")

    do_at_once([lambda: file(one), lambda: file(two), enrol, sweep, erase])

    with place.open() as archive:
        assert_whole(archive)
        for number in (one, two):
            lessons = load_lessons(archive, number)
            assert [each.day for each in lessons] == [date(2026, 1, 1 + each) for each in range(ROUNDS)]
            assert {len(each.names) for each in lessons} == {7}
        newcomers = find_students(archive, "newcomer")
        assert len(newcomers) == ROUNDS
        assert all(len(load_history(archive, each.number, today=TODAY).practice) == 1 for each in newcomers)
        assert len(load_erasures(archive)) == 1
        assert len(find_students(archive, "player")) == 2


@pytest.mark.whole
def test_two_who_file_the_same_clips_keep_them_once(place, stored, tmp_path):
    numbers = begin(place, players=3)
    clips = make_clips(tmp_path / "clips", "same")

    def file(number):
        with place.open() as archive:
            file_one(archive, number, make_lesson_of(stored, tag=f"of {number}", clips=clips), clips=clips)

    do_at_once([lambda number=number: file(number) for number in numbers])

    with place.open() as archive:
        assert_whole(archive)
        lessons = [load_lessons(archive, number) for number in numbers]
        assert [len(each) for each in lessons] == [1, 1, 1]
        own, shared = 3, 4  # document, still and report; landmarks, table and the clips
        with archive.read() as session:
            assert session.scalar(select(func.count()).select_from(FileRow)) == own * len(numbers) + shared
        assert len(list(archive.files.digests())) == own * len(numbers) + shared


@pytest.mark.whole
def test_of_two_who_file_the_same_lesson_one_is_told_so(place, stored, tmp_path):
    (number,) = begin(place, players=1)
    refused = tmp_path / "refused"
    refused.mkdir()

    def file(at):
        with place.open() as archive:
            try:
                file_one(archive, number, make_lesson_of(stored, tag="the same"))
            except UsageError as error:
                (refused / str(at)).write_text(str(error))

    do_at_once([lambda at=at: file(at) for at in range(3)])

    with place.open() as archive:
        assert len(load_lessons(archive, number)) == 1
        assert_whole(archive)
    assert len(list(refused.iterdir())) == 2
    assert all("This lesson is filed already" in each.read_text() for each in refused.iterdir())


@pytest.mark.whole
def test_one_who_files_what_another_erases_keeps_it(place, stored, tmp_path):
    """The clip of who goes is on its way out while it comes in again for another."""
    gone, stays = begin(place, players=2)
    clips = make_clips(tmp_path / "clips", "both")
    with place.open() as archive:
        file_one(archive, gone, make_lesson_of(stored, tag="gone", clips=clips), clips=clips)

    def file():
        with place.open() as archive:
            for each in range(ROUNDS):
                file_one(archive, stays, make_lesson_of(stored, tag=f"stays {each}", clips=clips), clips=clips)

    def erase():
        with place.open() as archive:
            erase_student(archive, gone, today=TODAY, reason="asked")

    do_at_once([file, erase])
    with place.open() as archive:
        assert_whole(archive)
        assert len(load_lessons(archive, stays)) == ROUNDS


def test_several_who_make_the_same_archive_make_one(nowhere):
    def make(at):
        with nowhere.open() as archive:
            add_player(archive, name=f"Maker Number{at}")

    do_at_once([lambda at=at: make(at) for at in range(4)])
    with nowhere.open() as archive:
        assert_whole(archive)
        assert len(find_students(archive, "maker")) == 4


@pytest.mark.whole
def test_a_backup_among_writers_is_of_one_moment(place, stored, tmp_path):
    (number,) = begin(place, players=1)
    clips = make_clips(tmp_path / "clips", "first")

    def file():
        with place.open() as archive:
            for each in range(ROUNDS):
                file_one(archive, number, make_lesson_of(stored, tag=f"lesson {each}", clips=clips), clips=clips)

    def copy():
        for each in range(2):
            with place.open() as archive:
                back_up(archive, tmp_path / f"backup_{each}", today=TODAY)

    do_at_once([file, copy])
    for each in range(2):
        restore(tmp_path / f"backup_{each}", archive=tmp_path / f"restored_{each}")

        with open_archive(tmp_path / f"restored_{each}") as archive:
            assert_whole(archive)
            assert all(len(each.names) == 7 for each in load_lessons(archive, number))


@pytest.mark.whole
def test_of_two_who_restore_to_the_same_place_one_is_told_so(place, nowhere_else, stored, tmp_path):
    (number,) = begin(place, players=1)
    with place.open() as archive:
        file_one(archive, number, make_lesson_of(stored, tag="only"))
        back_up(archive, tmp_path / "backup", today=TODAY)
    refused = tmp_path / "refused"
    refused.mkdir()

    def bring_back(at):
        try:
            restore(tmp_path / "backup", **nowhere_else.where)
        except UsageError as error:
            (refused / str(at)).write_text(str(error))

    do_at_once([lambda at=at: bring_back(at) for at in range(2)])
    assert ["There is something in" in each.read_text() for each in refused.iterdir()] == [True]
    with nowhere_else.open() as archive:
        assert_whole(archive)
        with archive.read() as session:
            assert session.scalar(select(func.count()).select_from(StudentRow)) == 1
        assert len(load_lessons(archive, number)) == 1


def test_checks_while_others_file_report_nothing(place, stored, tmp_path):
    with place.open() as archive:
        number = add_player(archive)

    def file():
        for each in range(12):
            with place.open() as archive:
                file_one(archive, number, make_lesson_of(stored, tag=f"lesson {each}"))

    def check():
        for _ in range(12):
            with place.open() as archive:
                assert check_archive(archive) == ()

    do_at_once([file, check, check])
