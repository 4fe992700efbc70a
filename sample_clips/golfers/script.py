"""Script: the four sample pairs - who, in what posture, with which events, filmed how. All invented."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import attrs
import numpy as np

from .body import load_body
from .camera import View
from .film import Stock
from .golfer import Golfer, Student, set_up
from .outfit import HAIR_COLOURS, SKIN_TONES, Outfit
from .performance import Passer, Performance, StepUp, WalkIn
from .pose import Wish
from .room import Room
from .scene import Light
from .stroke import Stroke
from .wardrobe import dress

INCH = 0.0254


@attrs.frozen(eq=False)
class Pair:
    """One lesson's two clips."""

    name: str
    student_name: str
    story: str
    student: Student
    wish: Wish
    putter_length: float
    """Metres."""
    address: tuple[tuple[float, float], ...]
    """Quiet spans at address before each putt, seconds."""
    said: dict[str, str]
    """What the invented student says, by the names of `Interview`."""
    events: Callable[[Golfer], Performance]
    cameras: dict[View, dict[str, Any]]
    stocks: dict[View, Stock]
    suffixes: dict[View, str] = attrs.field(factory=lambda: {"down_the_line": ".mp4", "face_on": ".mp4"})
    room: Room = attrs.field(factory=Room)
    light: Light = attrs.field(factory=Light)
    aim_height: float = 0.80

    def perform(self) -> Performance:
        """Stand the student up and lay out the clip's events."""
        return self.events(set_up(self.student, self.wish, putter_length=self.putter_length, fine=1))


def _one_putt(start: float, duration: float, mark: float) -> Callable[[Golfer], Performance]:
    def events(golfer: Golfer) -> Performance:
        return Performance(
            golfer=golfer, duration=duration, marks=(mark,), strokes=(Stroke(start=start, hold=2.0),), practice=(False,)
        )

    return events


def _practice_and_two_putts(golfer: Golfer) -> Performance:
    return Performance(
        golfer=golfer,
        duration=12.4,
        marks=(4.4, 9.1),
        strokes=(
            Stroke(start=0.6, hold=0.3, home=0.8),
            Stroke(start=5.1, hold=0.6, home=0.9),
            Stroke(start=9.8, hold=2.0),
        ),
        practice=(True, False, False),
        step_up=StepUp(start=2.7, end=3.5),
    )


def _filmed_badly(golfer: Golfer) -> Performance:
    body = load_body(sex="female", stature=1.68, weight=0.45)
    outfit = Outfit(
        skin=SKIN_TONES[3],
        shirt=(0.85, 0.75, 0.30),
        trousers=(0.25, 0.28, 0.40),
        shoes=(0.3, 0.3, 0.3),
        hair=HAIR_COLOURS[0],
        hair_style="long",
    )
    ways: dict[View, tuple[np.ndarray, np.ndarray]] = {
        "down_the_line": (np.array([1.9, 1.9]), np.array([1.9, -2.9])),
        "face_on": (np.array([-2.3, 1.6]), np.array([2.6, 1.6])),
    }
    return Performance(
        golfer=golfer,
        duration=8.0,
        marks=(5.2,),
        strokes=(Stroke(start=5.9, hold=2.0),),
        practice=(False,),
        walk_in=WalkIn(arrive=2.4),
        passer=Passer(body=body, dressed=dress(body, outfit, fine=1), outfit=outfit, ways=ways, start=3.2),
    )


def _cameras(down_the_line: dict[str, Any], face_on: dict[str, Any]) -> dict[View, dict[str, Any]]:
    usual = {"distance": 3.6, "height": 0.95, "yaw": 0.0, "roll": 0.0, "equivalent": 43.0}
    return {"down_the_line": usual | down_the_line, "face_on": usual | face_on}


_TALL = Student(
    sex="male",
    stature=1.73,
    proportions=0.6,
    outfit=Outfit(
        skin=SKIN_TONES[1],
        shirt=(0.16, 0.33, 0.62),
        trousers=(0.20, 0.20, 0.23),
        shoes=(0.9, 0.9, 0.88),
        hair=HAIR_COLOURS[1],
    ),
)

PAIRS: tuple[Pair, ...] = (
    Pair(
        name="before",
        student_name="Parker Puttwell",
        story=(
            "First lesson: stands tall with a putter that is too long, back rounded, hands well outside the shoulders, "
            "elbows off the ribs."
        ),
        student=_TALL,
        wish=Wish(
            spine_tilt=24,
            back_rounding=56,
            hand_offset=10,
            elbow_bend=24,
            elbow_gap=6.5,
            knee_flex=14,
            stance_width=28,
            head_drop=22,
            lie=69,
            balance=46,
            shoulder_level=3,
        ),
        putter_length=36 * INCH,
        address=((0.0, 1.9),),
        said={
            "misses": "left and right under 2 m",
            "weak_putts": "short",
            "putter_story": "off the rack, because the head felt heavy",
            "limits": "no pain",
        },
        events=_one_putt(1.9, 5.2, 1.2),
        cameras=_cameras({"yaw": 1.5, "roll": 0.5}, {"distance": 3.4}),
        stocks={"down_the_line": Stock(), "face_on": Stock()},
        room=Room(seed=11),
        light=Light(azimuth=-70),
    ),
    Pair(
        name="after",
        student_name="Parker Puttwell",
        story=(
            "The same student with a putter three inches shorter: tilted from the hips, back flatter, hands under the "
            "shoulders, elbows at the ribs."
        ),
        student=_TALL,
        wish=Wish(
            spine_tilt=40,
            back_rounding=20,
            hand_offset=0.5,
            elbow_bend=18,
            elbow_gap=0.6,
            knee_flex=20,
            stance_width=30,
            head_drop=20,
            lie=71,
            balance=46,
            shoulder_level=3,
        ),
        putter_length=33 * INCH,
        address=((0.0, 1.9),),
        said={
            "misses": "long putts come up short",
            "weak_putts": "lag",
            "limits": "no pain",
        },
        events=_one_putt(1.9, 5.2, 1.2),
        cameras=_cameras({"yaw": -1.0, "roll": -0.4}, {"distance": 3.4}),
        stocks={"down_the_line": Stock(), "face_on": Stock()},
        room=Room(seed=11),
        light=Light(azimuth=-70),
    ),
    Pair(
        name="left_hander",
        student_name="Lena Leftwing",
        story="A left-hander: a practice stroke off the ball, a step up to it, then two putts.",
        student=Student(
            sex="female",
            stature=1.66,
            handed="left",
            proportions=0.6,
            outfit=Outfit(
                skin=SKIN_TONES[2],
                shirt=(0.75, 0.30, 0.32),
                sleeves="short",
                trousers=(0.82, 0.80, 0.74),
                shoes=(0.25, 0.25, 0.28),
                hair=HAIR_COLOURS[0],
                hair_style="long",
            ),
        ),
        wish=Wish(
            spine_tilt=35,
            back_rounding=18,
            hand_offset=4,
            elbow_bend=26,
            elbow_gap=2.5,
            knee_flex=18,
            stance_width=32,
            head_drop=22,
            lie=71,
            balance=48,
            shoulder_level=4,
        ),
        putter_length=34 * INCH,
        address=((3.6, 5.1), (8.4, 9.8)),
        said={
            "misses": "pushes the short ones",
            "limits": "stiff neck in the morning",
        },
        events=_practice_and_two_putts,
        cameras=_cameras({"distance": 3.8, "height": 1.05, "yaw": 2.0}, {"height": 1.05, "yaw": -1.5, "roll": 0.8}),
        stocks={"down_the_line": Stock(), "face_on": Stock()},
        room=Room(seed=23, wall=(0.62, 0.66, 0.70), trim=(0.30, 0.32, 0.36)),
        light=Light(azimuth=-110),
    ),
    Pair(
        name="filmed_badly",
        student_name="Finn Farrow",
        story=(
            "Faults of filming: walking in before the address, a person walking past behind, turned and mirrored "
            "files, a variable rate."
        ),
        student=Student(
            sex="male",
            stature=1.86,
            weight=0.6,
            muscle=0.6,
            outfit=Outfit(
                skin=SKIN_TONES[4],
                shirt=(0.80, 0.80, 0.76),
                sleeves="long",
                trousers=(0.35, 0.30, 0.25),
                shoes=(0.85, 0.85, 0.85),
                hair=HAIR_COLOURS[0],
                hair_style="short",
            ),
        ),
        wish=Wish(
            spine_tilt=38,
            back_rounding=45,
            hand_offset=3,
            elbow_bend=24,
            elbow_gap=3,
            knee_flex=22,
            stance_width=36,
            head_drop=18,
            lie=70,
            balance=48,
            shoulder_level=4,
        ),
        putter_length=35 * INCH,
        address=((3.8, 5.9),),
        said={
            "misses": "pulls it when in a hurry",
            "putter_story": "his father's",
            "limits": "left knee, cannot bend it far",
        },
        events=_filmed_badly,
        cameras=_cameras(
            {"distance": 4.2, "yaw": 3.0, "roll": 1.2, "equivalent": 38.0}, {"distance": 4.0, "roll": -1.0}
        ),
        stocks={
            "down_the_line": Stock(codec="hevc", quality=23, turned=90, variable_rate=True),
            "face_on": Stock(codec="h264", turned=270, mirrored=True, variable_rate=True),
        },
        suffixes={"down_the_line": ".mov", "face_on": ".mp4"},
        room=Room(seed=31, wall=(0.70, 0.66, 0.58), wall_distance=3.6, brightness=0.9),
        light=Light(azimuth=-40, elevation=50),
    ),
)
