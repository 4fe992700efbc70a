"""Who may come in."""

from putt_posture.server.access import Session


def test_a_code_works_once(state, stranger):
    code = state.access.give_code(Session(role="coach"))
    assert stranger.get("/").status_code == 403
    assert stranger.post("/enter", data={"code": code}).status_code == 200
    assert stranger.get("/").status_code == 200
    stranger.cookies.clear()
    assert stranger.post("/enter", data={"code": code}).status_code == 403
    assert stranger.get("/").status_code == 403


def test_a_cookie_is_for_this_site_and_for_no_script(state, stranger):
    answer = stranger.post(
        "/enter", data={"code": state.access.give_code(Session(role="coach"))}, follow_redirects=False
    )
    said = answer.headers["set-cookie"].lower()
    assert "httponly" in said
    assert "samesite=strict" in said


def test_another_name_of_the_host_is_refused(coach):
    assert coach.get("/", headers={"host": "evil.example"}).status_code == 421


def test_what_another_site_sends_is_refused(coach):
    assert coach.post("/students", headers={"origin": "http://evil.example"}).status_code == 403
