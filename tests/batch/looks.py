"""A clock that tests set, and a looker that answers at once from the content of a file."""

import os
from concurrent.futures import Future

from putt_posture.batch.looking import ClipLook, look_at_clip


class Clock:
    """Seconds that a test sets."""

    def __init__(self):
        self.now = 0.0

    def __call__(self):
        return self.now


class TextLooker:
    """Reads files such as ``face_on 120``: the view, and when it was filmed. ``cut`` is not whole."""

    def __init__(self):
        self.looked = []

    def begin(self, path, *, finds_view):
        self.looked.append(path.name)
        view, _, filmed = path.read_text().partition(" ")
        fault = f"{path.name} is cut short." if view == "cut" else ""
        known = view if finds_view and view in ("face_on", "down_the_line") else None
        future = Future()
        filmed_s = float(filmed.split()[0]) if filmed.strip() else None
        future.set_result(ClipLook(filmed_s=filmed_s, view=known, fault=fault))
        return future

    def close(self):
        pass


def end_or_look(path, finds_view):
    """End the process at one name; a worker imports this by the module's name."""
    if path.name == "deadly.mov":
        os._exit(9)
    return look_at_clip(path, finds_view)
