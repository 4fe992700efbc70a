"""Who may come in."""

from contextlib import suppress

import pytest

from putt_posture.server.access import Access, Session, TooManyTries

COACH, PHONE = Session(role="coach"), Session(role="phone", draft="0" * 16)


class Clock:
    now = 1000.0

    def __call__(self):
        return self.now


def test_a_code_works_once(state, stranger):
    code = state.access.give_code(COACH)
    assert stranger.get("/").status_code == 403
    assert stranger.post("/enter", data={"code": code}).status_code == 200
    assert stranger.get("/").status_code == 200
    stranger.cookies.clear()
    assert stranger.post("/enter", data={"code": code}).status_code == 403
    assert stranger.get("/").status_code == 403


def test_whoever_only_looks_at_the_address_takes_no_code(state, stranger):
    """A program that shows a preview of an address fetches it before the phone does."""
    code = state.access.give_code(COACH)
    for _ in range(3):
        assert stranger.get("/enter", params={"code": code}).status_code == 200
        assert stranger.head("/enter", params={"code": code}).status_code == 200
    assert stranger.get("/").status_code == 403
    assert stranger.post("/enter", data={"code": code}).status_code == 200


def test_only_the_browser_of_this_computer_presses_the_button_by_itself(state, stranger, browser):
    assert "enter.js" in stranger.get("/enter", params={"code": "a"}).text
    assert "enter.js" not in browser("192.168.1.5:8765").get("/enter", params={"code": "a"}).text


def test_a_code_is_shown_as_text(stranger):
    said = stranger.get("/enter", params={"code": '"><script>alert(1)</script>'}).text
    assert "<script>alert" not in said


def test_a_cookie_is_for_this_site_and_for_no_script(state, stranger):
    answer = stranger.post("/enter", data={"code": state.access.give_code(COACH)}, follow_redirects=False)
    said = answer.headers["set-cookie"].lower()
    assert "httponly" in said
    assert "samesite=strict" in said
    assert "domain" not in said


def test_a_phone_comes_in_for_its_lesson(state, browser, draft):
    code = state.access.give_code(Session(role="phone", draft=draft.id))
    answer = browser("192.168.1.5:8765").post("/enter", data={"code": code}, follow_redirects=False)
    assert answer.headers["location"] == f"/lessons/{draft.id}"


def test_a_phones_code_may_be_typed_in_small_letters_and_with_a_space():
    access = Access()
    code = access.give_code(PHONE)
    assert access.exchange(f" {code.lower().replace('-', ' ')} ") is not None


def test_a_coach_comes_in_from_this_computer_alone(state, browser):
    code = state.access.give_code(COACH)
    other = browser("192.168.1.5:8765")
    assert other.post("/enter", data={"code": code}).status_code == 403
    coach = browser()
    assert coach.post("/enter", data={"code": code}).status_code == 200
    other.cookies.set(state.access.cookie, coach.cookies[state.access.cookie])
    assert other.get("/").status_code == 403


def test_codes_and_sessions_end_with_time():
    clock = Clock()
    access = Access(clock=clock)
    late, code = access.give_code(PHONE), access.give_code(PHONE)
    cookie, session = access.exchange(code)
    clock.now += 601.0
    assert access.exchange(late) is None
    assert access.find(cookie) == session
    clock.now += 12 * 3600.0
    assert access.find(cookie) is None
    assert not access.lasts(session)


def test_codes_cannot_be_guessed():
    clock = Clock()
    access = Access(clock=clock)
    code = access.give_code(PHONE)
    tried = 0
    for number in range(1000):
        with suppress(TooManyTries):
            assert access.exchange(f"{number:08d}", address=f"10.0.0.{number % 250}") is None
            tried += 1
    assert tried <= 60
    with pytest.raises(TooManyTries, match="Wait a minute"):
        access.exchange(code, address="10.0.0.1")
    clock.now += 61.0
    assert access.exchange(code, address="10.0.0.1") is not None


def test_wrong_codes_of_one_device_do_not_shut_out_another(state, browser):
    access = Access()
    code = access.give_code(PHONE)
    for _ in range(10):
        assert access.exchange("wrong", address="10.0.0.1") is None
    assert access.exchange(code, address="10.0.0.2") is not None


def test_too_many_wrong_codes_are_told_so(stranger):
    answers = [stranger.post("/enter", data={"code": "wrong"}).status_code for _ in range(12)]
    assert answers[0] == 403
    assert answers[-1] == 429


def test_sessions_outlive_the_server_and_only_digests_are_kept(tmp_path):
    access = Access(tmp_path / "drafts")
    cookie, session = access.exchange(access.give_code(PHONE))
    again = Access(tmp_path / "drafts")
    assert again.find(cookie) == session
    assert again.cookie == access.cookie
    kept = tmp_path / "drafts" / "sessions.json"
    assert cookie not in kept.read_text()
    assert kept.stat().st_mode & 0o077 == 0


def test_two_servers_with_the_same_drafts_know_each_others_sessions(tmp_path):
    one, other = Access(tmp_path), Access(tmp_path)
    first, _ = one.exchange(one.give_code(PHONE))
    second, _ = other.exchange(other.give_code(PHONE))
    assert one.find(second) is not None
    assert other.find(first) is not None
    one.shut_phones_out()
    assert other.find(second) is None


def test_a_damaged_list_of_sessions_lets_no_one_in(tmp_path):
    access = Access(tmp_path)
    cookie, _ = access.exchange(access.give_code(PHONE))
    (tmp_path / "sessions.json").write_text('{"sessions": {"a": 1}}')
    assert Access(tmp_path).find(cookie) is None
    assert access.find(cookie) is None
    assert Access(tmp_path).exchange(access.give_code(PHONE)) is None
    assert access.exchange(access.give_code(COACH)) is not None


def test_phones_that_are_shut_out_are_out_and_their_codes_dead(state, coach, phone, draft):
    code = state.access.give_code(Session(role="phone", draft=draft.id))
    assert phone.get(f"/lessons/{draft.id}/uploads").status_code == 200
    assert "1 phone is in." in coach.get("/phone").text
    coach.post("/phone/end")
    assert phone.get(f"/lessons/{draft.id}/uploads").status_code == 403
    assert phone.post("/enter", data={"code": code}).status_code == 403
    assert coach.get("/").status_code == 200


def test_phones_of_one_lesson_are_shut_out_alone():
    access = Access()
    mine, _ = access.exchange(access.give_code(PHONE))
    others, _ = access.exchange(access.give_code(Session(role="phone", draft="1" * 16)))
    access.shut_phones_out("0" * 16)
    assert access.find(mine) is None
    assert access.find(others) is not None


def test_the_page_shows_a_code_and_the_picture_of_its_address(coach, state, draft, browser):
    assert "<svg" not in coach.get("/phone").text
    page = coach.post("/phone", data={"draft": draft.id}).text
    assert "<svg" in page
    assert "http://192.168.1.5:8765/enter" in page
    code = page.split('class="code">')[1].split("<")[0]
    phone = browser("192.168.1.5:8765", accept="application/json")
    assert phone.post("/enter", data={"code": code}, follow_redirects=False).status_code == 303
    assert phone.get(f"/lessons/{draft.id}/uploads").status_code == 200


def test_no_code_is_made_where_phones_are_not_let_in(coach, state, draft):
    state.addresses = ()
    page = coach.post("/phone", data={"draft": draft.id}).text
    assert "<svg" not in page
    assert "--local-network" in page
