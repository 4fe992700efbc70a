"""One bit turned over anywhere in a database is found by the check, or every value still reads as it did."""

import json
import random
import sqlite3
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest
from filed import TODAY, add_player, file_one, make_clips, make_lesson_of
from places import copy_folder

from putt_posture.archive import (
    add_practice_test,
    change_settings,
    check_archive,
    correct_landmark,
    erase_student,
    open_archive,
)
from putt_posture.archive.db.tables import Base
from putt_posture.archive.place import DATABASE_FILE
from putt_posture.errors import ArchiveError
from putt_posture.values import PuttCount

pytestmark = pytest.mark.usefixtures("no_others")

MANY = 12
"""Flips on each page in the whole run, a third of them in its head, which is small; there is one in the short."""
SEED = 20261126
HEADER = 100
"""Bytes before the first page's own header."""
INNER = (2, 5)
"""Kinds of pages whose header is longer, as they point to other pages."""

JSON_COLUMNS = {
    (table.name, column.name)
    for table in Base.metadata.sorted_tables
    for column in table.columns
    if column.type.__class__.__name__ == "JSON"
}


@pytest.fixture(scope="module")
def filled(made, stored, tmp_path_factory):
    """The folder of a closed archive with something in every table that is not of the moment."""
    folder = tmp_path_factory.mktemp("filled")
    clips = make_clips(folder / "clips", "flipped")
    with copy_folder(made, folder / "archive").open() as archive:
        number = add_player(archive, notes="Comes on Tuesdays.")
        gone = add_player(archive, name="Somebody Gone")
        lesson = file_one(archive, number, make_lesson_of(stored, tag="flipped", clips=clips), clips=clips)
        correct_landmark(
            archive, lesson, view="face_on", frame=1, landmark="left_hip", point_px=(500.25, 900.75), made_by="Coach",
            today=TODAY,
        )  # fmt: skip
        counts = [PuttCount(distance_cm=91.44, tried=20, holed=19)]
        add_practice_test(archive, number, day=date(2026, 5, 2), counts=counts, today=TODAY, note="windy")
        change_settings(archive, revisit_weeks=6)
        erase_student(archive, gone, today=TODAY, reason="asked")
    return folder / "archive"


def used_bytes(content, page):
    """Go through the pages with the places of the bytes that SQLite uses, of its head and below; not free pages."""
    free = free_pages(content, page)
    for number in range(1, len(content) // page + 1):
        start = (number - 1) * page
        begin = start + HEADER if number == 1 else start
        if number in free:
            continue
        kind = content[begin]
        if kind not in (2, 5, 10, 13):  # a page that a long row runs on to
            yield range(start, start + 4), range(start + 4, start + page)
            continue
        cells = int.from_bytes(content[begin + 3 : begin + 5], "big")
        contents = int.from_bytes(content[begin + 5 : begin + 7], "big") or 65536
        head = range(start, begin + (12 if kind in INNER else 8) + 2 * cells)
        yield head, range(start + contents, start + page)


def free_pages(content, page):
    free, trunk = set(), int.from_bytes(content[32:36], "big")
    while trunk:
        free.add(trunk)
        begin = (trunk - 1) * page
        count = int.from_bytes(content[begin + 4 : begin + 8], "big")
        free |= {int.from_bytes(content[begin + 8 + 4 * at : begin + 12 + 4 * at], "big") for at in range(count)}
        trunk = int.from_bytes(content[begin : begin + 4], "big")
    return free


def read_values(path, tables):
    """Read every value of a database, as SQLite itself gives it."""
    with closing(sqlite3.connect(f"{path.as_uri()}?immutable=1", uri=True)) as connection:
        connection.text_factory = bytes
        values = {"sqlite_master": connection.execute("SELECT type, name, tbl_name, sql FROM sqlite_master").fetchall()}
        for table in tables:
            found = connection.execute(f'SELECT * FROM "{table}" NOT INDEXED')
            names = [each[0] for each in found.description]
            values[table] = [
                tuple(as_read(table, name, value) for name, value in zip(names, row, strict=True)) for row in found
            ]
    return {table: sorted(rows, key=repr) for table, rows in values.items()}


def as_read(table, name, value):
    """JSON is what it says, not how it is written: 1e-05 and 1E-05 are the same."""
    if (table, name) in JSON_COLUMNS and value is not None:
        return json.loads(value)
    return type(value), value


@pytest.mark.parametrize("each_page", [1, pytest.param(MANY, marks=pytest.mark.whole)])
def test_every_bit_that_changes_a_value_is_found_and_none_ends_the_check(filled, tmp_path, capsys, each_page):
    source = filled / DATABASE_FILE
    content = source.read_bytes()
    assert {path.name for path in filled.iterdir()} <= {
        DATABASE_FILE,
        "files",
        "reserve",
        ".making",
    }  # no log beside it
    with closing(sqlite3.connect(source)) as connection:
        page = connection.execute("PRAGMA page_size").fetchone()[0]
        tables = [row[0] for row in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
    before = read_values(source, tables)
    place = copy_folder(filled, tmp_path / "archive")
    path = Path(place.archive) / DATABASE_FILE
    files = {each for each in Path(place.files).rglob("*") if each.is_file()}
    chance = random.Random(SEED)
    flips = [
        (at, chance.randrange(8))
        for head, below in used_bytes(content, page)
        for places, number in ((head, each_page // 3), ([*head, *below], each_page - each_page // 3))
        for at in chance.sample(places, min(number, len(places)))
    ]
    assert len(flips) > 25 * each_page
    found = changed = 0
    missed, crashed = [], []
    for at, bit in flips:
        for beside in path.parent.glob(f"{DATABASE_FILE}-*"):
            beside.unlink()
        path.write_bytes(content[:at] + bytes([content[at] ^ 1 << bit]) + content[at + 1 :])
        try:
            same = read_values(path, tables) == before
        except (sqlite3.Error, ValueError, OverflowError, MemoryError):
            same = False
        try:
            with open_archive(place.archive, make=False) as archive:
                seen = bool(check_archive(archive))
        except ArchiveError as error:
            seen = "\n" not in str(error)
        except Exception as error:  # every one is told, with its place
            crashed.append((at // page + 1, at % page, bit, repr(error)))
            continue
        changed += not same
        found += seen
        if not same and not seen:
            missed.append((at // page + 1, at % page, bit))
    with capsys.disabled():
        print(
            f"\nbit flips in used bytes: {len(flips)} on {len({at // page for at, _ in flips})} pages; "
            f"{changed} change a value; {found} found ({found / len(flips):.0%}), {len(flips) - found} harmless, "
            f"{len(missed)} missed, {len(crashed)} crashed"
        )
    assert crashed == []
    assert missed == []
    assert {each for each in Path(place.files).rglob("*") if each.is_file()} >= files
