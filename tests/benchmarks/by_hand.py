"""Time from letting go of a dragged point to numbers, findings, putter and ghost, on the sample pair.

    .venv/bin/python tests/benchmarks/by_hand.py            # processor time of one correction, beside a whole measuring
    .venv/bin/python tests/benchmarks/by_hand.py --browser  # and on the page in Chromium, from the finger's release

On a busy machine only the processor times, and the ratio to a whole measuring in the same run, say something.
"""

import argparse
import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from putt_posture.demo import load_samples
from putt_posture.lesson import measure_detections, measure_lesson
from putt_posture.pages import store_lesson
from putt_posture.server.by_hand import describe_corrected
from putt_posture.services.correcting import correct, open_folder_for_correcting
from putt_posture.values import Given, PlacedLandmark

VIEW, JOINT = "down_the_line", "right_shoulder"
RUNS = 12


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--browser", action="store_true", help="measure on the page too")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as place:
        sample = load_samples()[0]
        folder = store_lesson(measure_lesson(student=sample.student, **sample.clips), Path(place) / "result")
        measure_corrections(folder)
        if asked.browser:
            measure_page(folder, Path(place) / "drafts")


def measure_corrections(folder: Path) -> None:
    opened = open_folder_for_correcting(folder)
    result = opened.found.views[VIEW]
    u, v = (float(each) for each in result.joints.point(JOINT)[result.still_index])
    other = PlacedLandmark(landmark="left_hip", point_px=(u - 20, v + 200))

    def given(by: float, *, more: bool = False) -> dict[str, Given]:
        placed = (PlacedLandmark(landmark=JOINT, point_px=(u + by, v)), *((other,) if more else ()))
        return {VIEW: Given(landmarks=placed)}

    def answer(by: float, *, more: bool = False) -> None:
        describe_corrected(correct(opened, given(by, more=more)), opened, _=str)

    def anew(by: float) -> None:
        measuring = opened.measuring
        measure_detections(measuring.detections, student=measuring.student, given=given(by))

    one = processor_ms(answer)
    whole = processor_ms(anew)
    print(f"one point dragged, numbers to ghost: {one:.0f} ms of processor time")
    print(f"with a second point by hand: {processor_ms(lambda by: answer(100 + by, more=True)):.0f} ms")
    print(f"a whole measuring of the same: {whole:.0f} ms; ratio {one / whole:.2f}")
    start = time.process_time()
    answer(1.0)
    print(f"the same again, as after an undo: {1000 * (time.process_time() - start):.0f} ms")


def processor_ms(act: Callable[[float], None]) -> float:
    """Return the median over several runs, each with another place."""
    times = []
    for run in range(1, RUNS + 1):
        start = time.process_time()
        act(float(run))
        times.append(1000 * (time.process_time() - start))
    return statistics.median(times)


def measure_page(folder: Path, drafts: Path) -> None:
    sys.path.insert(0, str(Path(__file__).parents[1] / "browser"))
    from playwright.sync_api import sync_playwright
    from served_page import serving

    from putt_posture.server.drafts import DraftStore
    from putt_posture.server.state import ServerState

    browser_path = next((found for name in ("chromium", "google-chrome") if (found := shutil.which(name))), None)
    if browser_path is None:
        sys.exit("There is no Chromium on the path.")
    state = ServerState(drafts=DraftStore(drafts))
    draft = state.drafts.begin(load_samples()[0].student, now=datetime.now(UTC))
    shutil.copytree(folder, state.drafts.result_folder(draft.id))
    with sync_playwright() as tool:
        browser = tool.chromium.launch(executable_path=browser_path, args=["--no-sandbox"])
        with serving(browser) as serve:
            page = serve(state).open("laptop", f"/lessons/{draft.id}/by-hand")
            page.wait_for_selector("#by-hand[data-ready=true][data-scale]", timeout=60_000)
            page.select_option("#point", f"joint {JOINT}")
            times = []
            for run in range(1, RUNS + 1):
                page.focus("#canvas")
                page.keyboard.press("Shift+ArrowRight" if run % 2 else "ArrowLeft")
                page.wait_for_selector(f"#by-hand[data-answers='{run}']", timeout=60_000)
                times.append(float(page.get_attribute("#by-hand", "data-took-ms") or "nan"))
            print(
                f"on the page, release to numbers: median {statistics.median(times):.0f} ms, most {max(times):.0f} ms"
            )
        browser.close()


if __name__ == "__main__":
    main()
