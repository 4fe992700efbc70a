"""The lesson page served to a real browser: one way for all tests and benchmarks."""

import socket
import threading
import time
from contextlib import contextmanager

import uvicorn

from putt_posture.server.access import Session
from putt_posture.server.app import create_app

WIDTHS = {"phone": (390, 844), "tablet": (768, 1024), "laptop": (1366, 768)}
"""The screens on which the lesson page is used: a phone that is touched, a tablet, and a laptop."""


class ServedPage:
    """The lesson page, served by this process; `state` is what its routes share."""

    def __init__(self, browser, state, host):
        self.browser, self.state, self.base = browser, state, f"http://{host}"
        self.contexts = []

    def open(self, screen, path="/", *, role="coach", draft=None, **more):
        """Return a page of the browser that has come in, at a path, on one of the screens.

        No name is looked up and nothing outside of this server is reached: a request elsewhere fails the test.
        """
        width, height = WIDTHS[screen]
        context = self.browser.new_context(
            viewport={"width": width, "height": height},
            has_touch=screen == "phone",
            is_mobile=screen == "phone",
            **more,
        )
        self.contexts.append(context)
        context.route(lambda url: not url.startswith((self.base, "data:", "blob:")), lambda route: route.abort())
        page = context.new_page()
        page.faults = []
        page.on("pageerror", lambda error: page.faults.append(str(error)))
        page.on("console", lambda said: page.faults.append(said.text) if said.type == "error" else None)
        code = self.state.access.give_code(Session(role=role, draft=draft))
        answer = context.request.post(
            f"{self.base}/enter", form={"code": code}, headers={"origin": self.base}, max_redirects=0
        )
        assert answer.status == 303
        page.goto(self.base + path)
        return page

    def close(self):
        """Close all pages that were opened."""
        while self.contexts:
            self.contexts.pop().close()


@contextmanager
def serving(browser):
    """Give a function that serves the lesson page of a state, until the end of the block."""
    running = []

    def start(state):
        listening = socket.create_server(("127.0.0.1", 0))
        host = f"127.0.0.1:{listening.getsockname()[1]}"
        state.hosts = frozenset({host})
        server = uvicorn.Server(uvicorn.Config(create_app(state), log_level="warning", lifespan="off"))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.01)
        page = ServedPage(browser, state, host)
        running.append((server, thread, page, listening))
        return page

    try:
        yield start
    finally:
        for server, thread, page, listening in running:
            page.close()
            server.should_exit = True
            thread.join(10)
            listening.close()
