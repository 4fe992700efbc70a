"""Pendulums with known periods, rendered and filmed, through what finds the events of a stroke.

`sample_clips/make_pendulum.py` made the clips: a ball on a rod, and a putter that hangs as if from shoulders. Each is
drawn back, let go, and swings freely. From the release to the lowest point takes a quarter of the period, to where it
turns on the other side half of it. The ball is found by its colour, so that only the events are tested. The putter is
followed in the picture as in a lesson; of hands that nobody has there it gets a place with 1 cm of noise.
"""

import json
from pathlib import Path

import numpy as np
import pytest
from attrs import evolve, frozen
from scipy.special import ellipk

from putt_posture.clips import iterate_frames, read_clip
from putt_posture.scene.following import ClubFollower, FollowedClub
from putt_posture.strokes.events import find_events
from putt_posture.values import HAND_POINTS, LANDMARK_INDEX, LANDMARK_NAMES, Estimate, Scene, SeenStroke, absent

FOLDER = Path(__file__).parent
STARTS_S, BACK_S = 0.9, 0.7
EVENT_TOLERANCE_S = 0.015
"""What the study allows the top, root mean square."""
START_TOLERANCE_S = 0.025
RETURN_TOLERANCE_S = 0.005
"""The lowest point is passed at full speed, 80 to 90 cm/s: 5 ms are 4 mm."""
HEAD_PX = 1.0
"""How far the followed head may be from the true one, root mean square: 0.25 cm."""


@frozen
class Pendulum:
    """From its pivot to its weight, metres, how far it was drawn back, radians, and how long it was held there.

    The putter's weight is in its grip; its sole is 1.40 m below the pivot.
    """

    length: float
    angle: float
    held_s: float

    @property
    def released_s(self):
        return STARTS_S + BACK_S + self.held_s

    @property
    def period_s(self):
        """T = 4 √(length / g) K(sin²(angle / 2)), exact: 1.566 s for the ball, 1.556 s for the putter."""
        return 4 * np.sqrt(self.length / 9.81) * ellipk(np.sin(self.angle / 2) ** 2)

    @property
    def truth_s(self):
        return {
            "start": STARTS_S,
            "top": self.released_s,
            "impact": self.released_s + self.period_s / 4,
            "finish": self.released_s + self.period_s / 2,
        }


BALL = Pendulum(length=0.60, angle=0.35, held_s=0.15)
PUTTER = Pendulum(length=0.60, angle=0.16, held_s=0.0)
HANDS_AT = 0.2
"""Where hands would hold it, as a share of the putter from the butt."""


def as_stroke(times, heads_px, sd_px, *, stroke_s):
    seen = SeenStroke.without_putter(
        view="face_on",
        times_s=times,
        address_s=(0.1, 0.85),
        stroke_s=stroke_s,
        points_px=np.full((len(times), len(LANDMARK_NAMES), 2), np.nan),
        ball_leaves_s=absent("There is no ball.", unit="s"),
        why="A pendulum.",
    )
    return evolve(seen, putter_head_px=heads_px, putter_head_sd_px=sd_px)


@pytest.fixture(scope="module")
def swing():
    """Return the ball's swing as a stroke: the ball in the place of the putter head."""
    clip = read_clip(FOLDER / "pendulum.mp4", view="face_on")
    times, places = [], []
    for frame in iterate_frames(clip):
        picture = np.asarray(frame.picture, dtype=float)
        red = np.clip(picture[..., 0] - picture[..., 1:].max(axis=2) - 40, 0, None)
        v, u = np.indices(red.shape)
        times.append(frame.time_s)
        places.append([(red * u).sum() / red.sum(), (red * v).sum() / red.sum()])
    return as_stroke(np.array(times), np.array(places), np.full(len(times), 0.1), stroke_s=(0.95, 2.6))


def angle_at(time_s):
    """Return the putter's angle from the vertical, rad: minimum jerk, then a swing nearly like a sine.

    The sine with the exact period is off by a 200th of a degree at 0.16 rad.
    """
    if time_s < PUTTER.released_s:
        share = min(max((time_s - STARTS_S) / BACK_S, 0.0), 1.0)
        return -PUTTER.angle * share**3 * (10 - 15 * share + 6 * share**2)
    return -PUTTER.angle * np.cos(2 * np.pi * (time_s - PUTTER.released_s) / PUTTER.period_s)


@frozen
class FilmedPutter:
    """What was followed of the putter, at which times, and where its sole truly was."""

    times_s: np.ndarray
    club: FollowedClub
    sole_px: np.ndarray


@pytest.fixture(scope="module")
def putter():
    about = json.loads((FOLDER / "pendulum_putter.json").read_text(encoding="utf-8"))
    pivot, butt, sole = (np.array(about[f"{name}_px"]) for name in ("pivot", "butt", "sole"))
    clip = read_clip(FOLDER / "pendulum_putter.mp4", view="face_on")

    def known(value, sd, unit):
        return Estimate(value=value, standard_uncertainty=sd, unit=unit, view="face_on", frames=1)

    scene = Scene(
        view="face_on",
        px_per_cm=known(about["px_per_cm"], 0.05, "px/cm"),
        scale_source="stature",
        roll=known(0.0, 0.3, "deg"),
        yaw=known(0.0, 4.0, "deg"),
        forward=1,
        ground_v_px=known(sole[1], 2.0, "px"),
        distance_cm=known(400.0, 40.0, "cm"),
        shaft_px=(tuple(butt), tuple(sole)),
        shaft_source="found",
        ball_why_not="nothing round and bright lies there",
    )
    rng = np.random.default_rng(6)
    hands = butt + HANDS_AT * (sole - butt)
    follower, times, soles = None, [], []
    for frame in iterate_frames(clip):
        turn = angle_at(frame.time_s)
        turned = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
        follower = follower or ClubFollower(scene, frame.picture, hands_px=hands)
        points = np.full((len(LANDMARK_NAMES), 2), np.nan)
        place = pivot + turned @ (hands - pivot) + rng.normal(0, about["px_per_cm"], 2)
        points[[LANDMARK_INDEX[f"{side}_{part}"] for side in ("left", "right") for part in HAND_POINTS]] = place
        follower.push(frame, points)
        times.append(frame.time_s)
        soles.append(pivot + turned @ (sole - pivot))
    return FilmedPutter(times_s=np.array(times), club=follower.finish(), sole_px=np.array(soles))


@pytest.fixture(scope="module", params=["ball", "putter"])
def pendulum(request):
    """Return a pendulum and the events that were found in its clip."""
    if request.param == "ball":
        return BALL, find_events(request.getfixturevalue("swing"))
    filmed = request.getfixturevalue("putter")
    club = filmed.club
    seen = as_stroke(filmed.times_s, club.putter_head_px, club.putter_head_sd_px, stroke_s=(0.95, 2.35))
    return PUTTER, find_events(seen)


def test_ball_is_found_in_the_film(swing):
    wide = np.ptp(swing.putter_head_px[:, 0])
    assert 100 < wide < 300
    assert len(swing.times_s) == 201


def test_putter_is_followed_in_the_film(putter):
    off = np.linalg.norm(putter.club.putter_head_px - putter.sole_px, axis=1)
    assert np.isfinite(off).mean() > 0.95
    assert np.sqrt(np.nanmean(off**2)) < HEAD_PX
    assert np.ptp(putter.sole_px[:, 0]) > 180


@pytest.mark.parametrize(
    ("name", "tolerance_s"),
    [
        ("start", START_TOLERANCE_S),
        ("top", EVENT_TOLERANCE_S),
        ("impact", RETURN_TOLERANCE_S),
        ("finish", EVENT_TOLERANCE_S),
    ],
)
def test_event_is_where_the_law_of_the_pendulum_has_it(pendulum, name, tolerance_s):
    of, events = pendulum
    assert events[name].value == pytest.approx(of.truth_s[name], abs=tolerance_s)


def test_half_a_period_lies_between_top_and_finish(pendulum):
    of, events = pendulum
    assert events["finish"].value - events["top"].value == pytest.approx(of.period_s / 2, abs=EVENT_TOLERANCE_S)


@pytest.mark.parametrize("name", ["start", "top", "impact", "finish"])
def test_no_event_is_off_by_three_standard_uncertainties(pendulum, name):
    of, events = pendulum
    assert abs(events[name].value - of.truth_s[name]) <= 3 * events[name].standard_uncertainty
