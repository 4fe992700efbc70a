"""Make the README's pictures from the sample clips: a still, a ghost, before beside after, the page, a stroke.

Run it from anywhere with the program installed: ``python sample_clips/pictures/make_pictures.py``. It measures the
pairs ``before`` and ``after``, as the demo does, and takes their stills as the program draws them. The pictures are
JPEG files as wide as the README shows them on a phone, twice over. The page needs Chromium on the path, and the
packages for the checks.
"""

import shutil
import socket
import sys
import tempfile
import threading
import time
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

import uvicorn
from PIL import Image
from playwright.sync_api import sync_playwright

from putt_posture import compare, measure_lesson, store_lesson
from putt_posture.demo import Sample, load_samples
from putt_posture.server.access import Session
from putt_posture.server.app import create_app
from putt_posture.server.drafts import DraftStore
from putt_posture.server.state import ServerState

__all__ = ["PICTURES", "make_pictures"]

HERE: Final = Path(__file__).parent
PICTURES: Final = {
    "still.jpg": ("before", "stills/down_the_line.png"),
    "ghost.jpg": ("before", "stills/ghost.png"),
    "before_after.jpg": ("comparison", "stills/side_by_side_down_the_line.png"),
    "page.jpg": ("page", "by_hand.png"),
    "stroke.jpg": ("before", "stroke_row.png"),
}
"""Where each picture comes from: the result folder, and the file in it."""
WIDE_PX: Final = {"still.jpg": 720, "ghost.jpg": 720, "before_after.jpg": 1000, "page.jpg": 1000, "stroke.jpg": 880}
"""A phone shows some 360 px across, at two or three dots each."""
QUALITY: Final = 76


def make_pictures(folder: Path, *, into: Path = HERE) -> list[Path]:
    """Measure the clips, and make the pictures.

    Parameters
    ----------
    folder : Path
        An empty folder for the reports.
    into : Path
        The folder for the pictures; those that are there are replaced.

    Returns
    -------
    list of Path
    """
    lessons = [sample for sample in load_samples() if sample.name in ("before", "after")]
    for sample in lessons:
        lesson = measure_lesson(student=sample.student, **sample.clips)
        store_lesson(lesson, folder / sample.name)
    compare(*(folder / sample.name for sample in lessons), folder / "comparison")
    _show_page(lessons[0], folder)
    join_stroke(folder / "before")
    return [_shrink(folder / source / name, into / picture) for picture, (source, name) in PICTURES.items()]


def _show_page(sample: Sample, folder: Path) -> None:
    """Take a picture of the page on which points are put right, with the lesson of a sample at hand."""
    drafts = DraftStore(folder / "page" / "drafts")
    draft = drafts.begin(sample.student, now=datetime.now(UTC))
    for view, clip in sample.clips.items():
        shutil.copyfile(clip, drafts.clips_folder(draft.id) / f"{view}.mp4")
    drafts.change(draft.id, clips={view: f"{view}.mp4" for view in sample.clips})
    shutil.copytree(folder / sample.name, drafts.result_folder(draft.id))
    with socket.create_server(("127.0.0.1", 0)) as listening, sync_playwright() as tool:
        host = f"127.0.0.1:{listening.getsockname()[1]}"
        state = ServerState(drafts=drafts, archive=str(folder / "page" / "archive"), hosts=frozenset({host}))
        server = uvicorn.Server(uvicorn.Config(create_app(state), log_level="warning", lifespan="off"))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.05)
        opened = tool.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        page = opened.new_page(viewport={"width": 1000, "height": 660})
        code = state.access.give_code(Session(role="coach"))
        page.request.post(f"http://{host}/enter", form={"code": code}, headers={"origin": f"http://{host}"})
        page.goto(f"http://{host}/lessons/{draft.id}/by-hand")
        page.wait_for_selector("#by-hand[data-ready=true][data-pictures='2']", timeout=60_000)
        page.screenshot(path=folder / "page" / "by_hand.png")
        opened.close()
        server.should_exit = True
        thread.join(20)
        state.close()


def join_stroke(folder: Path) -> Path:
    """Put the four stills of the stroke face on into one row, beside the report.

    Parameters
    ----------
    folder : Path
        A result folder with a stroke.
    """
    stills = [
        Image.open(folder / "stills" / f"stroke_face_on_{event}.jpg").convert("RGB")
        for event in ("start", "top", "impact", "finish")
    ]
    (wide, high), gap = stills[0].size, stills[0].width // 30
    row = Image.new("RGB", (4 * wide + 3 * gap, high), "white")
    for place, still in enumerate(stills):
        row.paste(still, (place * (wide + gap), 0))
    row.save(folder / "stroke_row.png")
    return folder / "stroke_row.png"


def _shrink(still: Path, picture: Path) -> Path:
    with Image.open(still) as image:
        wide = WIDE_PX[picture.name]
        small = image.convert("RGB").resize((wide, round(image.height * wide / image.width)), Image.Resampling.LANCZOS)
    small.save(picture, quality=QUALITY, optimize=True, progressive=True, subsampling=0)
    return picture


def main(arguments: Sequence[str]) -> None:
    """Make the pictures beside this file, or in the folder that is named."""
    with tempfile.TemporaryDirectory() as folder:
        for path in make_pictures(Path(folder), into=Path(arguments[0]) if arguments else HERE):
            print(f"{path} ({path.stat().st_size / 1000:.0f} kB)")


if __name__ == "__main__":
    main(sys.argv[1:])
