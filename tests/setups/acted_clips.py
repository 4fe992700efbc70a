"""Made clips of putting with everything around the address: walking in, practice, a step in, waggles, looks, holds.

These are made tracks of a jointed figure and not people: whatever share is found right here says how the finder deals
with the order of things, with the rate of the clip and with coarse landmarks, and nothing about what a pose model
makes of somebody's clothes. `acted_clip(seed, view)` always gives the same clip; both views of one seed show one
performance, filmed by two phones that were not started together.

Landmark noise: on the rendered sample clips the small model scatters by 0.05 to 0.25 % of the body's size from look
to look at six looks a second, with a correlation of 0.3 between neighbours (a memory of 0.15 s). People are seen
coarser, so a clip's scatter is drawn between 0.1 and 1.2 % of stature.
"""

import numpy as np
from attrs import evolve, frozen
from simulated_golfer import (
    POSES,
    Action,
    back_to_ball,
    film,
    look,
    step_to,
    still,
    stroke,
    stroke_that_stops_at_the_ball,
    take,
    to_the_top,
    waggle,
    walk,
)

from putt_posture.values import Clip, Setup, Track

__all__ = ["TRAPS", "ActedClip", "act", "acted_clip", "is_right", "started_later", "trapped_clip", "what_is_wrong"]

EARLY_S = 0.12
"""A frame may lie so long before the figure is quite still: the last tenth of settling moves no joint by 1 mm."""
LATE_S = 0.08
"""And so long after the stroke has begun: minimum jerk has taken the hands less than 1 mm back by then."""
TRAPS = (
    "long held top",
    "long held finish",
    "stop at the ball",
    "rehearsed top",
    "rehearsal beside the ball",
    "many waggles",
    "hardly still at address",
)
"""Still moments that are no address, and an address that is hardly one; each is acted only where it is asked for."""
LOOKS_HZ = 6.0
"""As `track_student` looks."""


@frozen
class ActedStory:
    """What is done, and what of it a reader of results wants to sort by."""

    actions: tuple[Action, ...]
    labels: frozenset[str]


@frozen
class ActedClip:
    """One clip with its truth."""

    seed: int
    clip: Clip
    track: Track
    putts_s: tuple[tuple[float, float], ...]
    addresses_s: tuple[tuple[tuple[float, float], ...], ...]
    """For each putt, the still stretches at address before it; clip time."""
    practice_s: tuple[tuple[float, float], ...]
    """Still stretches at address before practice strokes, clip time."""
    labels: frozenset[str]


def acted_clip(seed: int, view: str, *, labels: frozenset[str] = frozenset()) -> ActedClip:
    """Return one clip of a seeded performance; `labels` ask for events beside those that are drawn."""
    story = act(np.random.default_rng([seed, 1]), labels)
    filming, how = _film(np.random.default_rng([seed, 2, view == "face_on"]), view, seed)
    clip, track, truth = film(story.actions, **filming)
    return ActedClip(
        seed=seed,
        clip=clip,
        track=track,
        putts_s=truth.strokes_s,
        addresses_s=truth.quiet_s,
        practice_s=truth.practice_s,
        labels=story.labels | how | {view.replace("_", " ")},
    )


def trapped_clip(seed: int, view: str) -> ActedClip:
    """Return one clip of a seeded performance with one or two of the `TRAPS`."""
    rng = np.random.default_rng([seed, 3])
    drawn = rng.choice(len(TRAPS), size=int(rng.integers(1, 3)), replace=False)
    return acted_clip(seed, view, labels=frozenset(TRAPS[number] for number in drawn))


def started_later(acted: ActedClip, seconds: float) -> ActedClip:
    """Return the clip as a phone gives it that was started so many real seconds later, or a second before the putt."""
    cut = max(min(seconds * acted.clip.time_stretch, acted.putts_s[0][0] - acted.clip.time_stretch), 0.0)
    track, first = acted.track, (acted.track.times_s >= cut)
    motion = acted.track.motion_times_s >= cut

    def moved(stretches):
        return tuple((max(start - cut, 0.0), stop - cut) for start, stop in stretches if stop > cut)

    return evolve(
        acted,
        clip=evolve(acted.clip, duration_s=acted.clip.duration_s - cut),
        track=evolve(
            track,
            times_s=track.times_s[first] - cut,
            points_px=track.points_px[first],
            visibility=track.visibility[first],
            boxes_px=track.boxes_px[first],
            motion_times_s=track.motion_times_s[motion] - cut,
            motion=track.motion[motion],
        ),
        putts_s=moved(acted.putts_s),
        addresses_s=tuple(moved(quiet) for quiet in acted.addresses_s),
        practice_s=moved(acted.practice_s),
    )


def act(rng: np.random.Generator, asked: frozenset[str] = frozenset()) -> ActedStory:
    """Draw a performance."""
    labels: set[str] = set(asked)

    def chance(label: str, share: float) -> bool:
        drawn = bool(rng.random() < share)
        if drawn or label in asked:
            labels.add(label)
            return True
        return False

    tilt, reach = rng.uniform(20, 46), rng.uniform(-0.02, 0.02)
    usual = np.array(POSES["address"])
    address = tuple(usual + [tilt - 36, 0.0, 0.0, reach, 0.0011 * (30 - tilt), rng.uniform(-0.005, 0.01)])
    back_s, down_s = rng.normal(0.67, 0.09), rng.normal(0.317, 0.035)
    size = rng.uniform(0.5, 1.5)

    def swing(*, share: float = 1.0, held_s: float = 0.0, counts: bool = True) -> Action:
        return stroke(size * share, back_s=back_s, down_s=down_s, held_s=held_s, counts=counts)

    came_from = "walked in" if chance("walked in", 0.6) else "stood there"
    beside = -rng.uniform(0.10, 0.28)
    practice = chance("practice beside the ball", 0.5) or "rehearsal beside the ball" in asked
    actions: list[Action] = []
    if came_from == "walked in":
        actions += [walk(rng.uniform(1.5, 3), 0.0, beside if practice else 0.0), take(address, rng.uniform(0.8, 1.5))]
    else:
        actions += [Action("still", 0.3, pose=address, at=(0.0, beside if practice else 0.0))]
    if practice:
        actions.append(still(rng.uniform(0.3, 1.6)))
        for _ in range(int(rng.integers(1, 3))):
            if "rehearsal beside the ball" in asked:
                actions += [to_the_top(size, back_s), still(1.6), back_to_ball(0.8)]
                actions.append(still(1.0))
            actions.append(swing(share=rng.uniform(0.8, 1.2), counts=False))
            actions.append(still(rng.uniform(0.0, 0.7)))
            actions.append(back_to_ball(rng.uniform(0.6, 1.0)))
            actions.append(still(rng.uniform(0.0, 1.0)))
        if chance("step in at once", 0.5):
            actions.pop()
        if chance("stands up before the step in", 0.25):
            actions += [take("stand", 0.9), still(rng.uniform(0.0, 1.0)), step_to(0.0, 0.0, rng.uniform(0.5, 0.9))]
            actions += [take(address, rng.uniform(0.8, 1.4))]
        else:
            actions += [step_to(0.0, 0.0, rng.uniform(0.5, 0.9))]
    elif chance("practice at the ball", 0.12):
        actions += [still(rng.uniform(0.7, 1.5)), swing(counts=False), still(rng.uniform(0.0, 0.5))]
        actions += [back_to_ball(rng.uniform(0.6, 1.0))]
    actions += _putt(rng, chance, swing, asked)
    if chance("second putt", 0.25):
        actions += [take("stand"), walk(2.5, 0.5, -0.5), take("place a ball"), still(0.8), take("stand")]
        actions += [walk(2.0, 0.0, 0.0), take(address, 1.2), *_putt(rng, chance, swing, asked)]
    if chance("walks off", 0.6):
        actions += [take("stand", 0.9), walk(2.0, 1.5, -1.0)]
    return ActedStory(tuple(actions), frozenset(labels))


def _putt(rng, chance, swing, asked=frozenset()) -> list[Action]:
    """Draw what is done from coming to address to the hold."""
    actions = [still(rng.uniform(0.5, 2.0))]
    if "rehearsed top" in asked:
        actions += [to_the_top(), still(1.8), back_to_ball(0.8), still(1.2)]
    if "many waggles" in asked:
        for size in (0.2, 0.15, 0.25, 0.2):
            actions += [waggle(0.55, size), still(0.35)]
    if chance("waggle", 0.4):
        for _ in range(int(rng.integers(1, 3))):
            actions += [waggle(rng.uniform(0.4, 0.7), rng.uniform(0.08, 0.25)), still(rng.uniform(0.2, 0.6))]
    if chance("look at the hole", 0.4):
        actions += [look(rng.uniform(0.4, 0.6)), still(rng.uniform(0.4, 1.0))]
        actions += [look(rng.uniform(0.4, 0.6), away=False)]
    actions += [still(rng.uniform(0.8, 2.0))]
    if "hardly still at address" in asked:
        actions = [still(0.6), waggle(0.5, 0.15), still(0.6)]
    held_s = rng.uniform(0.7, 1.3) if chance("held top", 0.12) else 0.0
    if "long held top" in asked:
        held_s = 1.6 + 1.8 * (held_s or 0.5)
    putt, hold = swing(held_s=held_s), still(rng.uniform(0.3, 1.6))
    if "stop at the ball" in asked:
        putt = stroke_that_stops_at_the_ball(putt.size)
    if "long held finish" in asked:
        hold = still(2.0 + 2.5 * hold.seconds)
    actions += [putt, hold]
    if chance("putter comes back", 0.3):
        actions += [back_to_ball(rng.uniform(0.7, 1.2)), still(rng.uniform(0.2, 1.0))]
    return actions


def _film(rng: np.random.Generator, view: str, seed: int) -> tuple[dict[str, object], frozenset[str]]:
    """Draw how it is filmed."""
    rate = float(rng.choice([25, 30, 50, 60, 120, 240]))
    stretch = float(rng.choice([1, rate / 30])) if rate >= 120 else 1.0
    held = rng.random() < 0.2
    patterned = rng.random() < 0.4
    coarse = rng.random() < 0.35
    filming = {
        "view": view,
        "look_hz": LOOKS_HZ,
        "reading_hz": min(rate, 60.0),
        "frame_hz": rate,
        "time_stretch": stretch,
        "noise": rng.uniform(0.006, 0.012) if coarse else rng.uniform(0.001, 0.006),
        "noise_s": 0.15,
        "flicker": rng.uniform(0.0, 0.02),
        "missing": rng.uniform(0.0, 0.06),
        "jumps": rng.uniform(0.0, 0.01),
        "sway": rng.uniform(0.05, 0.25),
        "contrast": rng.uniform(1.2, 3.0) if patterned else rng.uniform(0.5, 1.2),
        "floor": float(np.exp(rng.uniform(np.log(0.03), np.log(0.5)))),
        "shake": rng.uniform(0.0005, 0.002) if held else 0.0,
        "height_px": rng.uniform(300, 1200),
        "mirrored": rng.random() < 0.2,
        "key_frames_s": float(rng.choice([0.0, 1.0])),
        "seed": seed,
    }
    labels = {f"{rate:.0f} a second", "hand-held" if held else "on a tripod"}
    labels |= {
        "patterned clothes" if patterned else "plain clothes",
        "coarse landmarks" if coarse else "fine landmarks",
    }
    if stretch > 1:
        labels.add("stretched slow motion")
    return filming, frozenset(labels)


def what_is_wrong(acted: ActedClip, setups: tuple[Setup, ...] | None) -> str:
    """Return what is wrong with the setups found in a clip, in a few words; nothing where all is right.

    Right means: each putt has one setup, all of whose frames lie in the stillness at address before it; any other
    setup is one before a practice stroke and is said to be doubtful.
    """
    if setups is None:
        return "none found"
    stretch = acted.clip.time_stretch
    taken: list[int] = []
    for setup in setups:
        putt = next((k for k, quiet in enumerate(acted.addresses_s) if _inside(setup, quiet, stretch)), None)
        if putt is not None:
            taken.append(putt)
        elif not _inside(setup, acted.practice_s, stretch):
            return "frames outside of an address"
        elif not setup.doubt:
            return "practice without a word"
    if len(set(taken)) < len(acted.putts_s):
        return "putt missed"
    return "a putt twice" if len(taken) > len(set(taken)) else ""


def is_right(acted: ActedClip, setups: tuple[Setup, ...] | None) -> bool:
    """Say whether `what_is_wrong` has nothing to say."""
    return not what_is_wrong(acted, setups)


def _inside(setup: Setup, quiet: tuple[tuple[float, float], ...], stretch: float) -> bool:
    return any(
        start - EARLY_S * stretch <= setup.times_s[0] and setup.times_s[-1] <= stop + LATE_S * stretch
        for start, stop in quiet
    )
