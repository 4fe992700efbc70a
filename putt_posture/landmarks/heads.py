"""Where the heads are: of one person by their landmarks, and of all people in a picture."""

import hashlib
import threading
from collections import OrderedDict
from typing import Final

import numpy as np
from numpy.typing import NDArray

from putt_posture.landmarks.all_people import find_all_people, paint_over, share_painted
from putt_posture.landmarks.crops import find_people_in_box
from putt_posture.landmarks.model import open_pose_model
from putt_posture.landmarks.zoom import tiles
from putt_posture.values import LANDMARK_INDEX, Floats, Head, Picture

__all__ = ["find_head", "find_heads"]

RADIUS_CM: Final = 18.0
"""From between the ears the crown is 13 cm away and the chin 12 (ANSUR II, tragion to top of head and menton, tall
men); the rest is for hair, a cap, the head's lean toward the camera and landmark errors."""

RADIUS_OF: Final = {
    ("shoulder", "hip"): 0.38,
    ("hip", "knee"): 0.44,
    ("knee", "ankle"): 0.44,
    ("left", "right"): 0.52,
}
"""The radius as a share of trunk, thigh, shank and shoulder width, as the model marks them (judged). A length seen at a
slant is short, so the largest radius counts."""

LIFT: Final = 0.12
"""How far the middle of the disc is above the ears, in radii: on a bowed head seen from the front the model puts the
ears toward the chin."""

RADIUS_OF_FACE: Final = 1.4
"""The least radius as a share of the largest distance between two points of the head."""

BLIND: Final = 1.4
"""Factor of the radius where no point of the head is seen and the top of the outline is used instead."""

SURE: Final = 128
"""Level of the outline (0 to 255) from which a pixel counts as the person."""

GHOST: Final = 0.4
"""As in `all_people`: a detection with this share of its joints on paint is not a person."""

SEEN: Final = 0.9
"""Least mean visibility of the face for a person found in a part of the picture: people had 0.98 and more, figures that
the model sees in leaves and in halves of people mostly less than 0.9."""

PEOPLE: Final = 5
PARTS: Final = (2, 4)
"""Numbers of squares along the longer side into which the picture is cut, in this order, to find people who are small
in it."""

REMEMBERED: Final = 64
"""Pictures whose heads are remembered: those of some ten lessons, so that a lesson that is opened again is quick."""

_FACE: Final = [
    LANDMARK_INDEX[name]
    for name in ("nose", "left_eye", "right_eye", "left_ear", "right_ear", "mouth_left", "mouth_right")
]
_EARS: Final = [LANDMARK_INDEX["left_ear"], LANDMARK_INDEX["right_ear"]]


def find_head(
    points_px: Floats,
    *,
    px_per_cm: float | None = None,
    outline: NDArray[np.uint8] | None = None,
    outline_corner_px: tuple[float, float] = (0.0, 0.0),
) -> Head | None:
    """Find the head of one person.

    Parameters
    ----------
    points_px : (33, 2)
        Landmarks, pixels of the full-size picture; NaN where unseen.
    px_per_cm : float, optional
        Scale; it can make the disc larger than the body's size does, never smaller.
    outline : (h, w) uint8, optional
        Probability that each pixel is the person, 0 to 255; its top is taken where no point of the head is seen.
    outline_corner_px : (u, v)
        Where the top left of the outline is in the picture.

    Returns
    -------
    Head or None
        None where there is neither a point of the head nor an outline.
    """
    face = points_px[_FACE]
    face = face[np.isfinite(face).all(axis=1)]
    radius = max(_radius(points_px), RADIUS_CM * (px_per_cm or 0.0), RADIUS_OF_FACE * _widest(face))
    if len(face):
        ears = points_px[_EARS]
        middle = ears.mean(axis=0) if np.isfinite(ears).all() else face.mean(axis=0)
        return Head(centre_px=(float(middle[0]), float(middle[1] - LIFT * radius)), radius_px=max(radius, 1.0))
    return None if outline is None else _top_of(outline, outline_corner_px, BLIND * radius)


class _Heads:
    """The heads of the pictures that were searched last, by the digest of their pixels. No picture is kept."""

    def __init__(self) -> None:
        self._found: OrderedDict[tuple[tuple[int, ...], bytes], tuple[Head, ...]] = OrderedDict()
        self._lock = threading.Lock()

    def of(self, picture: Picture) -> tuple[Head, ...]:
        """Return the heads in a picture; it is searched only if it is not one of the last."""
        key = picture.shape, hashlib.sha256(np.ascontiguousarray(picture).data).digest()
        with self._lock:
            if key in self._found:
                self._found.move_to_end(key)
                return self._found[key]
        found = _search(picture)
        with self._lock:
            self._found[key] = found
            while len(self._found) > REMEMBERED:
                self._found.popitem(last=False)
        return found


_remembered: Final = _Heads()


def find_heads(picture: Picture) -> tuple[Head, ...]:
    """Find the heads of all people whom the pose model finds in a picture, also small ones and those behind others.

    The model needs a body to find a head. A person may be missed of whom only the head shows, who is largely hidden,
    who is only a dark shape, or who is shorter than about an eighth of the picture. The search takes seconds, so the
    heads of the last pictures are remembered.

    Parameters
    ----------
    picture : (H, W, 3) uint8

    Returns
    -------
    tuple of Head
        In pixels of this picture.

    Raises
    ------
    InstallationError
        As `open_pose_model`.
    """
    return _remembered.of(picture)


def _search(picture: Picture) -> tuple[Head, ...]:
    height, width = picture.shape[:2]
    with open_pose_model("large", people=PEOPLE) as model:
        people = find_all_people(model, picture)
        painted = paint_over(picture, people)
        paint = np.any(painted != picture, axis=2)
        boxes = [box for parts in PARTS for box in tiles((width, height), max(height, width) // parts)]
        small = [person for box in boxes for person in find_people_in_box(model, painted, box)]
    people += [one for one in small if share_painted(one, paint) < GHOST and one.visibility[_FACE].mean() >= SEEN]
    heads = (find_head(person.points_px) for person in people)
    return tuple(head for head in heads if head is not None)


def _radius(points_px: Floats) -> float:
    """Return the largest radius by the parts of the body, pixels; 0 where none is seen."""

    def place(side: str, part: str) -> Floats:
        return np.asarray(points_px[LANDMARK_INDEX[f"{side}_{part}"]])

    asked = [RADIUS_OF["left", "right"] * np.hypot(*(place("left", "shoulder") - place("right", "shoulder")))]
    for (start, end), share in RADIUS_OF.items():
        if start != "left":
            asked += [share * np.hypot(*(place(side, start) - place(side, end))) for side in ("left", "right")]
    return float(np.nanmax([0.0, *asked]))


def _widest(points: Floats) -> float:
    gaps = points[:, None] - points[None]
    return float(np.hypot(gaps[..., 0], gaps[..., 1]).max(initial=0.0))


def _top_of(outline: NDArray[np.uint8], corner_px: tuple[float, float], radius: float) -> Head | None:
    rows, columns = np.nonzero(outline >= SURE)
    if not rows.size:
        return None
    if radius == 0.0:
        radius = 0.2 * float(np.ptp(rows) + 1)
    top = rows <= rows.min() + 0.3 * radius
    u, v = corner_px
    return Head(centre_px=(u + float(columns[top].mean()), v + float(rows.min()) + 0.5 * radius), radius_px=radius)
