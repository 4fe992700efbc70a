"""Several coaches at once on one archive, each with an app of their own: nothing is lost, doubled or half done."""

import threading
from concurrent.futures import ThreadPoolExecutor

import pytest
from coaches import ROBIN, Coach, find_place
from drafted import at
from reading import text_of

from putt_posture.archive import check_archive, find_students, load_erasures, load_history, load_lessons

FILED = {"day": "2026-01-10", "moment": "before", "pictures": "yes", "clips": "yes"}
ERASED = {"name": "Robin Example", "reason": "asked for it"}


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)])
def place(request, tmp_path):
    return find_place(request, tmp_path)


@pytest.fixture
def coaches(place, tmp_path):
    """Two coaches, each with drafts of their own; the first has enrolled a student."""
    made = [Coach(tmp_path / name, place) for name in ("one", "two")]
    assert made[0].post("/students", data=ROBIN).url.path == "/students/1"
    yield made
    for each in made:
        each.state.close()


def at_once(*acts):
    """Do all at the same moment, each in a thread of its own, and return what they return."""
    start = threading.Barrier(len(acts))

    def do(act):
        start.wait(60)
        return act()

    with ThreadPoolExecutor(len(acts)) as pool:
        return list(pool.map(do, acts))


def keep(coach, draft):
    return lambda: coach.post(at(draft, "/keep"), data=FILED)


def is_one_sentence(answer):
    """Whether an answer is a refusal in words."""
    return answer.status_code in (400, 403, 404) and "Something went wrong" not in answer.text


def test_two_who_file_lessons_of_one_student_keep_both(coaches, results):
    one, two = coaches
    drafts = [one.begin(results / "result"), two.begin(results / "later")]
    answers = at_once(*map(keep, coaches, drafts))
    assert [each.status_code for each in answers] == [200, 200]
    assert all(each.state.drafts.list() == [] for each in coaches)
    with one.state.open_archive() as archive:
        lessons = load_lessons(archive, 1)
        assert [each.clips for each in lessons] == [2, 2]
        assert check_archive(archive) == ()
        assert len(load_history(archive, 1, today=two.state.today()).visits) == 2
    for coach in coaches:
        assert text_of(coach.get("/students/1")).count("2 clips") == 2


def test_of_two_who_file_the_same_lesson_one_is_told_so_and_loses_nothing(coaches, results):
    drafts = [each.begin(results / "result") for each in coaches]
    answers = at_once(*map(keep, coaches, drafts))
    assert sorted(each.status_code for each in answers) == [200, 400]
    late = next(place for place, each in enumerate(answers) if each.status_code == 400)
    assert "This lesson is filed already, as lesson 1" in text_of(answers[late])
    assert coaches[late].state.drafts.list() == [drafts[late]]
    with coaches[0].state.open_archive() as archive:
        assert len(load_lessons(archive, 1)) == 1
        assert check_archive(archive) == ()


def test_a_button_that_is_pressed_twice_files_once(coaches, results):
    coach = coaches[0]
    draft = coach.begin(results / "result")
    answers = at_once(keep(coach, draft), keep(coach, draft))
    assert sorted(each.status_code for each in answers) == [200, 400]
    says = next(text_of(each) for each in answers if each.status_code == 400)
    assert "is not here any more" in says or "is filed already" in says
    assert coach.state.drafts.list() == []
    with coach.state.open_archive() as archive:
        assert len(load_lessons(archive, 1)) == 1


def test_who_is_erased_while_another_files_is_gone_with_all_of_it(coaches, results):
    one, two = coaches
    draft = one.begin(results / "result")
    kept, erased = at_once(keep(one, draft), lambda: two.post("/students/1/erase", data=ERASED))
    assert erased.status_code == 200, text_of(erased)
    assert kept.status_code == 200 or is_one_sentence(kept), text_of(kept)
    with two.state.open_archive() as archive:
        assert not find_students(archive, "robin")
        assert len(load_erasures(archive)) == 1
        assert check_archive(archive) == ()
        assert list(archive.files.digests()) == []


def test_who_is_erased_while_another_looks_is_shown_whole_or_not_at_all(coaches, results):
    one, two = coaches
    for name in ("result", "later"):
        assert keep(one, one.begin(results / name))().status_code == 200
    paths = ("/students/1", "/filed/1", "/students/1/history", "/filed/2", "/students", "/students/1/practice")

    def look():
        return [two.get(path) for _ in range(2) for path in paths]

    answers, erased = at_once(look, lambda: one.post("/students/1/erase", data=ERASED))
    assert "Erased: 1 student, 2 lessons" in text_of(erased)
    for each in answers:
        assert each.status_code == 200 or is_one_sentence(each), f"{each.url}: {text_of(each)}"
    assert {two.get(path).status_code for path in paths if path != "/students"} == {404}
    assert "Robin" not in two.get("/students").text


def test_a_draft_of_an_erased_student_goes_too_and_another_coach_can_throw_theirs_away(coaches, results):
    one, two = coaches
    drafts = [each.begin(results / "result") for each in coaches]
    one.post("/students/1/erase", data=ERASED)
    assert one.state.drafts.list() == []
    (left,) = two.state.drafts.list()
    assert left == drafts[1]
    for more in ("", "/input", "/keep"):
        page = two.get(at(left, more))
        assert page.url.path == at(left, "/keep")
        assert page.status_code == 404
        assert "There is no student 1" in text_of(page)
        assert "Throw away" in text_of(page)
        assert "File the lesson" not in text_of(page)
    assert "There is no student 1" in text_of(keep(two, left)())
    assert two.post(at(left, "/discard"), data={"sure": "yes"}).url.path == "/"
    assert two.state.drafts.list() == []
