"""Coaches with an app each on one archive, in SQLite or in PostgreSQL with the files in a bucket."""

import shutil
from datetime import date

from drafted import give_result
from export_lessons import CLIPS
from places import server_of
from starlette.testclient import TestClient

from putt_posture.server.access import Session
from putt_posture.server.app import create_app
from putt_posture.server.drafts import AboutClip, DraftStore
from putt_posture.server.state import ServerState

TODAY = date(2026, 11, 27)
HOST = "127.0.0.1:8765"
SCOPES = ("filming", "measures", "pictures", "faces")
ROBIN = {
    "name": "Robin Example", "stature": "178cm", "handed": "right", "adult": "yes", "given_by": "Robin Example",
    "scopes": SCOPES, "given_on": "2026-01-01",
}  # fmt: skip


def find_place(request, tmp_path):
    """Return where the archive of a test is, as `ServerState` takes it; `request.param` is the kind."""
    if request.param == "sqlite":
        return {"archive": str(tmp_path / "archive")}
    databases = server_of(request)
    databases.empty()
    (tmp_path / "bucket").mkdir()
    url = databases.url.render_as_string(hide_password=False)
    return {"archive": url, "files": f"file://{tmp_path}/bucket"}  # a local store of the bucket's own library


class Coach:
    """A coach's app, with drafts of its own, and a browser that has come in."""

    def __init__(self, drafts, place):
        self.state = ServerState(
            drafts=DraftStore(drafts), hosts=frozenset({HOST}), today=lambda: TODAY, tell=lambda _line: None, **place
        )
        app = create_app(self.state)
        self.browser = TestClient(app, base_url=f"http://{HOST}", headers={"origin": f"http://{HOST}"})
        code = self.state.access.give_code(Session(role="coach"))
        assert self.browser.post("/enter", data={"code": code}).status_code == 200
        self.get, self.post = self.browser.get, self.browser.post

    def begin(self, folder, *, student=1, moment="before"):
        """Begin a lesson with a student by the page; a result that is there already stands for measuring.

        The clips of the result lie beside its folder.
        """
        known = {each.id for each in self.state.drafts.list()}
        answer = self.post("/lessons", data={"student": student, "moment": moment})
        assert answer.status_code == 200
        (draft,) = [each for each in self.state.drafts.list() if each.id not in known]
        names = {view: f"{view}.mov" for view in CLIPS}
        for name in names.values():
            shutil.copyfile(folder.parent / name, self.state.drafts.clips_folder(draft.id) / name)
        about = {view: AboutClip(name=name, sha256="") for view, name in names.items()}
        draft = self.state.drafts.change(draft.id, clips=names, about=about)
        with self.state.open_archive() as archive:
            give_result(self.state, draft, folder, archive=archive)
        return draft
