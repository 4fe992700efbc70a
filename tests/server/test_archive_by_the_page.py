"""A student's whole way through the page, with the archive in SQLite, and in PostgreSQL with the files in a bucket."""

import io
import json
import zipfile

import pytest
from coaches import ROBIN, TODAY, Coach, find_place
from drafted import at
from reading import text_of

from putt_posture.archive import check_archive, find_students, load_erasures, load_lessons

DAY = TODAY.isoformat()


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)])
def coach(request, tmp_path):
    """A coach whose archive does not exist yet."""
    made = Coach(tmp_path / "drafts", find_place(request, tmp_path))
    yield made
    made.state.close()


def read_zip(answer):
    with zipfile.ZipFile(io.BytesIO(answer.content)) as packed:
        return {name: packed.read(name) for name in packed.namelist()}


def file_both(coach, results):
    """Enrol the student and file two lessons, the first with its clips."""
    assert coach.post("/students", data=ROBIN).url.path == "/students/1"
    first = coach.begin(results / "result")
    kept = coach.post(
        at(first, "/keep"), data={"day": "2026-01-10", "moment": "before", "pictures": "yes", "clips": "yes"}
    )
    assert "Lesson 1 of 10 January 2026" in text_of(kept)
    second = coach.begin(results / "later", moment="after")
    kept = coach.post(at(second, "/keep"), data={"day": "2026-02-10", "moment": "after", "pictures": "yes"})
    assert "Lesson 2 of 10 February 2026" in text_of(kept)


def test_a_student_goes_from_enrolment_to_erasure_by_the_page(coach, results):
    state = coach.state
    file_both(coach, results)
    assert state.drafts.list() == []
    with state.open_archive() as archive:
        assert archive.place.database.get_backend_name() == ("postgresql" if state.files else "sqlite")
        assert [each.clips for each in load_lessons(archive, 1)] == [2, 0]
        assert len(list(archive.files.digests())) > 10
        assert check_archive(archive) == ()

    assert "Robin Example" in text_of(coach.get("/students", params={"name": "robin"}))
    says = text_of(coach.get("/students/1"))
    assert "2 clips" in says
    assert "2026-02-10" in says
    assert "data:image/jpeg" in coach.get("/filed/1").text
    assert coach.get("/filed/1/files/report.pdf").content.startswith(b"%PDF")
    history = coach.get("/students/1/history")
    assert history.status_code == 200
    assert "Spine tilt, 10 February 2026" in history.text
    assert coach.get("/students/1/history.pdf").content.startswith(b"%PDF")
    assert "What changed" in text_of(coach.get("/students/1/compare", params={"before": 1, "after": 2}))
    sheet = {"day": DAY, "holed-0": "6", "tried-0": "6", "holed-2": "2", "tried-2": "6"}
    assert "2 of 6" in text_of(coach.post("/students/1/practice", data=sheet))
    assert "Robin Example" in text_of(coach.get("/overview", params={"weeks": "52"}))
    assert "is whole" in text_of(coach.post("/keeping/check", data={}))

    exported = read_zip(coach.post("/students/1/export", data={}))
    assert json.loads(exported["student.json"])
    clips = {name: data for name, data in exported.items() if name.endswith(".mov")}
    assert sorted(clips.values()) == sorted(
        (results / f"{view}.mov").read_bytes() for view in ("face_on", "down_the_line")
    )
    tables = b"".join(read_zip(coach.post("/keeping/export", data={})).values())
    assert b"spine_tilt" in tables
    assert b"Robin" not in tables

    withdraw = {"act": "withdraw", "on": DAY}
    coach.post("/students/1/consents", data=withdraw | {"for": "pictures"})
    filed = coach.get("/filed/1")
    assert filed.status_code == 200
    assert "data:image" not in filed.text
    coach.post("/students/1/consents", data=withdraw | {"for": "measures"})
    for path in ("/filed/1", "/students/1/history", "/students/1/compare?before=1&after=2"):
        assert coach.get(path).status_code == 403, path
    assert "Robin Example" in text_of(coach.get("/keeping/retention"))

    erased = coach.post("/students/1/erase", data={"name": "Robin Example", "reason": "asked for it"})
    assert "Erased: 1 student, 2 lessons" in text_of(erased)
    for path in ("/students/1", "/students/1/history", "/filed/1"):
        answer = coach.get(path)
        assert answer.status_code == 404, path
        assert "There is no" in text_of(answer), path
    with state.open_archive() as archive:
        assert not find_students(archive, "robin")
        assert len(load_erasures(archive)) == 1
        assert list(archive.files.digests()) == []
        assert check_archive(archive) == ()


def test_a_backup_by_the_page_holds_every_file(coach, results, tmp_path):
    file_both(coach, results)
    answer = coach.post("/keeping/backup", data={"folder": str(tmp_path / "backup")})
    assert "Backup of all rows" in text_of(answer)
    held = {path.name for path in (tmp_path / "backup").rglob("*") if path.is_file()}
    with coach.state.open_archive() as archive:
        assert set(archive.files.digests()) <= held
