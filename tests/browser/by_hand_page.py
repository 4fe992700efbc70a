"""What tests do on the page of corrections, and what geometry says of a point that was moved on it."""

import math

VIEW, SHOULDER = "down_the_line", "right_shoulder"
PERSPECTIVE_DEG = 0.2
"""The trigonometry here has no perspective: near things are drawn larger by some percent."""


def wait_until_ready(page):
    page.wait_for_selector("#by-hand[data-ready=true][data-pictures='2']", timeout=60_000)
    page.wait_for_selector("#by-hand[data-scale]")


def answers(page):
    return int(page.evaluate("document.getElementById('by-hand').dataset.answers ?? 0"))


def wait_for_numbers(page, before):
    page.wait_for_selector(f"#by-hand[data-answers='{before + 1}']", timeout=60_000)


def value(page, name):
    return float(page.get_attribute(f"#table tr[data-name={name}]", "data-value"))


def found_of(page):
    return page.evaluate(
        "fetch(`${document.getElementById('by-hand').dataset.address}/found`).then((each) => each.json())"
    )


def tilt_deg(points, view):
    """Return the tilt by hand: the line from mid-hip to mid-shoulder against the plumb line, + toward the ball."""
    hip, shoulder = (
        [(points[f"left_{part}"][axis] + points[f"right_{part}"][axis]) / 2 for axis in (0, 1)]
        for part in ("hip", "shoulder")
    )
    ahead, up = view["forward"] * (shoulder[0] - hip[0]), hip[1] - shoulder[1]
    lean = math.degrees(math.atan2(ahead / math.cos(math.radians(view["yaw_deg"])), up))
    return lean - view["forward"] * view["roll_deg"]


def expected_change(found, by):
    view = found["views"][VIEW]["found"]
    points = view["points"]
    moved = {**points, SHOULDER: [points[SHOULDER][0] + by, points[SHOULDER][1]]}
    return tilt_deg(moved, view) - tilt_deg(points, view)
