"""What every request has to pass, and the headers of every answer."""

import asyncio
from concurrent.futures import ThreadPoolExecutor

import pytest
from starlette.routing import Mount, Route, WebSocketRoute
from starlette.testclient import TestClient
from starlette.websockets import WebSocketDisconnect

from putt_posture.server.app import create_app
from putt_posture.server.guards import Guard
from putt_posture.values import Student

OPEN = {"/enter", "/static", "/static/style.css"}


def routes_of(app):
    """Every route of the app, with what its address may look like and how it is asked."""
    for route in app.routes:
        if isinstance(route, Mount):
            continue
        assert isinstance(route, Route | WebSocketRoute)
        yield route


def address_of(route, draft):
    """Fill in the parts of an address: the draft at hand, and numbers that a curious phone would try."""
    found = route.path
    for name in route.param_convertors:
        value = draft if name == "draft" else "1"
        for kind in ("", ":int", ":path", ":str"):
            found = found.replace(f"{{{name}{kind}}}", value)
    assert "{" not in found
    return found


def ask(browser, route, address):
    """Ask in every way that the route takes, and yield the statuses."""
    if isinstance(route, WebSocketRoute):
        try:
            with browser.websocket_connect(address):
                yield 101
        except WebSocketDisconnect:
            yield 403
        return
    for method in route.methods:
        yield browser.request(method, address, follow_redirects=False).status_code


def test_a_stranger_is_refused_at_every_route(app, browser):
    for route in routes_of(app):
        if route.path in OPEN:
            continue
        stranger = TestClient(create_app(app.state.shared), base_url=str(browser().base_url), headers=browser().headers)
        assert set(ask(stranger, route, address_of(route, "0" * 16))) == {403}, route.path


def test_a_phone_is_refused_at_every_route_that_is_not_opened_to_phones(app, phone, draft):
    refused = 0
    for route in routes_of(app):
        if route.path in OPEN or getattr(route.endpoint, "open_to_phones", False):
            continue
        assert set(ask(phone, route, address_of(route, draft.id))) == {403}, route.path
        refused += 1
    assert refused >= 4  # the start, and what lets phones in and out


def test_a_phone_is_refused_at_every_lesson_but_its_own(app, state, phone, draft):
    other = state.drafts.begin(Student(stature_cm=160.0, handed="left", name="Robin"), now=draft.begun)
    seen = 0
    for route in routes_of(app):
        if getattr(route.endpoint, "open_to_phones", False) and "draft" in route.param_convertors:
            assert set(ask(phone, route, address_of(route, other.id))) == {403}, route.path
            seen += 1
    assert seen >= 1
    upload = state.uploads.begin(draft=other.id, view="face_on", size=5, name="a.mov")
    for method in ("GET", "HEAD", "PATCH", "DELETE"):
        assert phone.request(method, f"/uploads/{upload.id}").status_code == 403
    told = {"draft": other.id, "view": "face_on", "size": 5, "name": "a.mov"}
    assert phone.post("/uploads", json=told).status_code == 403
    assert "Robin" not in phone.get(f"/lessons/{other.id}/uploads").text


def test_a_phone_cannot_go_round_the_guard_by_another_way_of_writing_an_address(phone):
    for path in ("//students", "/static/../students", "/%73tudents", "/students/", "/STUDENTS", "/enter/../students"):
        assert phone.get(path, follow_redirects=False).status_code in (403, 404), path


@pytest.mark.parametrize(
    "path",
    [
        "/static/../app.py",
        "/static/..%2fapp.py",
        "/static/%2e%2e/app.py",
        "/static//etc/passwd",
        "/static/..%5capp.py",
        "/static/%00",
        "/lessons/..%2f..%2fetc/uploads",
        "/uploads/..%2f..%2f..%2fetc%2fpasswd",
        "/work/..%2f..",
    ],
)
def test_path_tricks_reach_no_file(coach, path):
    answer = coach.get(path)
    assert answer.status_code in (400, 404)
    assert "create_app" not in answer.text
    assert "root:" not in answer.text


def test_headers_are_on_every_answer(app, coach, stranger, browser, phone):
    async def fail(_request):
        raise RuntimeError("a fault of the program")

    app.router.routes.append(Route("/fails", fail))
    quiet = TestClient(app, base_url=str(coach.base_url), headers=coach.headers, raise_server_exceptions=False)
    quiet.cookies = coach.cookies
    answers = {
        "page": coach.get("/"),
        "missing": coach.get("/nothing"),
        "method": coach.post("/nothing"),
        "static": coach.get("/static/page.css"),
        "missing static": coach.get("/static/nothing.js"),
        "redirect": coach.get("/enter", follow_redirects=False),
        "json": coach.get("/work/1", headers={"accept": "application/json"}),
        "stranger": browser().get("/"),
        "phone": phone.get("/"),
        "wrong host": coach.get("/", headers={"host": "evil.example"}),
        "other site": coach.post("/enter", headers={"origin": "http://evil.example"}),
        "too large": coach.post("/enter", content=b"x" * 3000),
        "fault": quiet.get("/fails"),
    }
    assert answers["fault"].status_code == 500
    assert "a fault of the program" not in answers["fault"].text
    for name, answer in answers.items():
        assert "default-src 'self'" in answer.headers["content-security-policy"], name
        assert "unsafe" not in answer.headers["content-security-policy"], name
        assert answer.headers["x-content-type-options"] == "nosniff", name
        assert answer.headers["referrer-policy"] == "same-origin", name
        assert answer.headers["cross-origin-resource-policy"] == "same-origin", name
        assert answer.headers["cache-control"] in ("no-store", "no-cache"), name
        assert "access-control-allow-origin" not in answer.headers, name


def test_modules_are_served_as_scripts(coach):
    assert coach.get("/static/upload.js").headers["content-type"].startswith("text/javascript")


@pytest.mark.parametrize(
    "host", ["evil.example", "127.0.0.1:1", "127.0.0.1", "192.168.1.5:8765", "localhost.evil:8765"]
)
def test_another_name_of_the_host_is_refused(coach, host):
    """A site that points its own name at this computer is asked for by that name (DNS rebinding)."""
    assert coach.get("/", headers={"host": host}).status_code == 421


def test_a_phone_cannot_ask_for_this_computers_own_name(browser):
    """Whoever asks from the local network for the loopback address hopes to be taken for the coach's browser."""
    assert browser("192.168.1.5:8765").get("/enter", headers={"host": "127.0.0.1:8765"}).status_code == 421


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "", "https://127.0.0.1:8765", "http://127.0.0.1:87"])
def test_what_another_site_sends_is_refused(coach, origin):
    for method in ("POST", "PUT", "PATCH", "DELETE"):
        assert coach.request(method, "/phone/end", headers={"origin": origin}).status_code == 403


def test_a_form_without_an_origin_is_refused(coach):
    del coach.headers["origin"]
    assert coach.post("/phone/end").status_code == 403


def test_a_body_that_is_too_large_is_refused_told_or_not(coach):
    def pieces():
        for _ in range(30):
            yield b"x" * 100_000

    form = {"content-type": "application/x-www-form-urlencoded"}
    assert coach.post("/phone", content=b"x" * 2_000_001, headers=form).status_code == 413
    assert coach.post("/phone", content=pieces(), headers=form).status_code == 413


def test_a_body_that_takes_too_long_is_refused(app, coach, state, monkeypatch):
    monkeypatch.setattr("putt_posture.server.routes.entry.enter.body_limits", (2000, 0.05))
    sent = []

    async def receive():
        await asyncio.sleep(5.0)

    async def send(message):
        sent.append(message)

    host = b"127.0.0.1:8765"
    headers = {b"host": host, b"origin": b"http://" + host, b"content-type": b"multipart/form-data; boundary=a"}
    scope = {
        "type": "http", "method": "POST", "path": "/enter", "raw_path": b"/enter", "query_string": b"",
        "scheme": "http", "server": ("127.0.0.1", 8765), "client": ("127.0.0.1", 5), "root_path": "",
        "http_version": "1.1", "headers": list(headers.items()),
    }  # fmt: skip
    with ThreadPoolExecutor(1) as pool:  # where a browser is open for other tests, this thread has a loop already
        pool.submit(lambda: asyncio.run(app(scope, receive, send))).result()
    assert sent[0]["status"] == 408


def test_a_stranger_who_asks_without_end_is_slowed_down(stranger):
    answers = [stranger.get("/").status_code for _ in range(80)]
    assert answers[0] == 403
    assert answers[-1] == 429


def test_lengths_are_shown_in_the_unit_of_the_coach(state, app, coach):
    from starlette.responses import PlainTextResponse

    from putt_posture.shown_units import shown_length_unit

    app.router.routes.append(Route("/unit", lambda _request: PlainTextResponse(shown_length_unit())))
    assert coach.get("/unit").text == "cm"
    state.units = "inches"
    assert coach.get("/unit").text == "inches"


def test_the_guard_stands_before_every_route(app):
    assert [each.cls for each in app.user_middleware] == [Guard]
