"""Landmarks and outline of the student in the setup frames, by the large model.

Everything is in pixels of the full-size upright picture, origin top left, u right, v down.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np
from attrs import evolve

from putt_posture.clips import read_frames_at
from putt_posture.errors import StudentNotFound
from putt_posture.landmarks.all_people import find_all_people
from putt_posture.landmarks.chest import read_chest
from putt_posture.landmarks.crops import Box, detect_in_crop, pad_box
from putt_posture.landmarks.frame_detections import FrameDetection, combine_detections, drop_outlying_detections
from putt_posture.landmarks.model import PoseModel, open_pose_model
from putt_posture.landmarks.outline import refine_mask
from putt_posture.landmarks.person import Person, is_plausible
from putt_posture.landmarks.suitability import BACK_SEEN
from putt_posture.values import LANDMARK_NAMES, Clip, Floats, Frame, Landmarks, Picture, Progress, Setup, Track

__all__ = ["find_landmarks", "find_landmarks_in_frames"]


ROOMS: Final = (0.45, 0.25, 0.8)
"""Padding around the student, shares of their size; crops are tried in this order until one shows a whole body."""

FRESH_S: Final = 1.0
"""A frame farther than this from the last detection of the student is searched as a whole, real seconds."""

_TORSO: Final = tuple(
    [LANDMARK_NAMES.index(f"{side}_{part}") for side in ("left", "right")] for part in ("shoulder", "hip")
)


def find_landmarks(
    clip: Clip,
    setups: Sequence[Setup],
    track: Track,
    *,
    student_at: tuple[float, float] | None = None,
    progress: Progress | None = None,
) -> tuple[Landmarks, Frame, int]:
    """Find the student's landmarks and outline in every frame of the setups.

    Parameters
    ----------
    clip : Clip
    setups : sequence of Setup
    track : Track
        Where the student is, so that other people are not mistaken for the student.
    student_at : (u, v), optional
        A point on the student, pixels; used where the track has no place.
    progress : callable, optional
        Called with what is going on and the share done.

    Returns
    -------
    landmarks : Landmarks
        One row a setup frame in which the student was found.
    still : Frame
        The full-size picture that represents the lesson.
    still_index : int
        Its row in `landmarks`.

    Raises
    ------
    StudentNotFound
        The student is in none of the frames, or the back is seen where the chest is needed.
    """
    size_px = (clip.width, clip.height)
    looks: list[FrameDetection] = []
    still: tuple[int, Frame] | None = None
    total = sum(len(setup.times_s) for setup in setups)
    with open_pose_model("large", outline=True) as model:
        for index, setup in enumerate(setups):
            for frame in read_frames_at(clip, setup.times_s):
                look = _look(
                    model, frame, index, track=track, student_at=student_at, size_px=size_px, stretch=clip.time_stretch
                )
                looks.append(look)
                if look.person is not None and _stands_for_it(frame, index, setup, still):
                    still = index, frame
                if progress is not None:
                    progress("Finding the landmarks", len(looks) / total)
        label = model.weights.label
    found = [look for look in looks if look.person is not None]
    if still is None:
        raise StudentNotFound(
            f"{clip.name}: the whole student was not found in any of the {total} setup frames. Film with nothing "
            "in front of the legs and without a deep bend toward the camera, or give other times with --setup-at.",
            path=clip.path,
            time_s=setups[0].moment_s,
        )
    _check_chest(found, clip)
    agreeing = drop_outlying_detections(found)
    landmarks = combine_detections(agreeing.looks, clip=clip, model=label, missed=len(looks) - len(found))
    landmarks = evolve(landmarks, notes=(*landmarks.notes, *agreeing.notes))
    row, picture = _choose_still(agreeing.looks, setups, still, clip)
    return landmarks, picture, row


def find_landmarks_in_frames(
    model: PoseModel, clip: Clip, frames: Sequence[Frame], track: Track
) -> tuple[Landmarks | None, list[int]]:
    """Find the student's landmarks and outline in single frames, each searched as a setup frame is.

    Parameters
    ----------
    model : PoseModel
        The large one, with outlines.
    clip : Clip
    frames : sequence of Frame
        Full size, in any order.
    track : Track
        Where the student is.

    Returns
    -------
    landmarks : Landmarks or None
        One row, and one setup index, for each frame in which the student was found; None where there is none.
    found : list of int
        Which of the frames those are.
    """
    size_px = (clip.width, clip.height)
    looks = [
        _look(model, frame, 0, track=track, student_at=None, size_px=size_px, stretch=clip.time_stretch)
        for frame in frames
    ]
    found = [index for index, look in enumerate(looks) if look.person is not None]
    if not found:
        return None, []
    kept = [evolve(looks[index], setup=row) for row, index in enumerate(found)]
    return combine_detections(kept, clip=clip, model=model.weights.label, missed=len(looks) - len(found)), found


def _stands_for_it(frame: Frame, index: int, setup: Setup, so_far: tuple[int, Frame] | None) -> bool:
    """Return whether a frame is the lesson's still: nearest to the moment of the first setup with the student."""
    if so_far is None:
        return True
    return so_far[0] == index and abs(frame.time_s - setup.moment_s) < abs(so_far[1].time_s - setup.moment_s)


def _choose_still(
    kept: Sequence[FrameDetection], setups: Sequence[Setup], so_far: tuple[int, Frame], clip: Clip
) -> tuple[int, Frame]:
    """Return the row and the picture of the first setup's detection that is nearest to its moment."""
    first = kept[0].setup
    rows = [row for row, look in enumerate(kept) if look.setup == first]
    row = min(rows, key=lambda row: abs(kept[row].time_s - setups[first].moment_s))
    index, picture = so_far
    if (index, picture.time_s) != (first, kept[row].time_s):  # its detection was left out
        picture = read_frames_at(clip, [kept[row].time_s])[0]
    return row, picture


def _check_chest(found: Sequence[FrameDetection], clip: Clip) -> None:
    people = [look.person for look in found if look.person is not None]
    points, visibility, depth = (
        np.stack([getattr(person, name) for person in people]) for name in ("points_px", "visibility", "depth")
    )
    if clip.view == "face_on" and read_chest(points, visibility, depth) < 0:
        raise StudentNotFound(f"{clip.name}: {BACK_SEEN}", path=clip.path, time_s=found[0].time_s)


def _look(
    model: PoseModel,
    frame: Frame,
    setup: int,
    *,
    track: Track,
    student_at: tuple[float, float] | None,
    size_px: tuple[int, int],
    stretch: float,
) -> FrameDetection:
    torso, around, gap_s = _expect(track, frame.time_s)
    if gap_s > FRESH_S * stretch:
        person = _find_anew(model, frame.picture, student_at=student_at, torso=torso)
        if person is not None:
            torso, around = person.torso, np.array(person.box)
    whole_picture = (0, 0, *size_px)
    rooms = () if around is None else tuple(pad_box(around, size_px=size_px, room=room) for room in ROOMS)
    for box in (*rooms, whole_picture):
        person = detect_in_crop(model, frame.picture, box, torso=torso)
        if person is not None and is_plausible(person):
            outline = None if person.mask is None else refine_mask(person.mask, _cut(frame.picture, box))
            return FrameDetection(time_s=frame.time_s, setup=setup, box=box, person=person, outline=outline).trimmed()
    return FrameDetection(time_s=frame.time_s, setup=setup, box=whole_picture, person=None)


def _cut(picture: Picture, box: Box) -> Picture:
    u0, v0, u1, v1 = box
    return picture[v0:v1, u0:u1]


def _expect(track: Track, time_s: float) -> tuple[Floats | None, Floats | None, float]:
    """Return torso (2, 2) and box (4,) of the nearest detection of the student in time, and how far it is, s."""
    seen = np.flatnonzero(np.isfinite(track.boxes_px).all(axis=1))
    if not seen.size:
        return None, None, np.inf
    nearest = seen[np.argmin(np.abs(track.times_s[seen] - time_s))]
    points = track.points_px[nearest]
    torso = np.stack([points[pair].mean(axis=0) for pair in _TORSO])
    return torso, track.boxes_px[nearest], float(abs(track.times_s[nearest] - time_s))


def _find_anew(
    model: PoseModel, picture: Picture, *, student_at: tuple[float, float] | None, torso: Floats | None
) -> Person | None:
    """Find the student in the whole picture: the person nearest to the given point, or else to the last place."""
    people = find_all_people(model, picture)
    if not people:
        return None
    if student_at is None and torso is None:
        return max(people, key=lambda one: one.torso_length)
    place = np.asarray(student_at, dtype=float) if torso is None or student_at is not None else torso.mean(axis=0)
    return min(people, key=lambda one: float(np.hypot(*(one.torso.mean(axis=0) - place))))
