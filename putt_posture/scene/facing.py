"""Which way the student faces in a picture, and what that says about the camera's place."""

from typing import Literal

import numpy as np

from putt_posture.values import Landmarks, Student, median_seen, side_of

__all__ = ["find_forward", "warn_of_side"]


def find_forward(landmarks: Landmarks, student: Student) -> Literal[-1, 1]:
    """Return the sign of the picture's u axis along the axis that the view measures.

    Down the line: +1 where the ball side is to the right (toes in front of heels, knees of ankles, hands of shoulders
    where they are). Face on: +1 where the lead side, toward the target, is to the right.

    Parameters
    ----------
    landmarks : Landmarks
    student : Student
    """
    if landmarks.view == "face_on":
        lead, trail = side_of("lead", student.handed), side_of("trail", student.handed)
        spreads = [
            landmarks.point(f"{lead}_{part}")[:, 0] - landmarks.point(f"{trail}_{part}")[:, 0]
            for part in ("shoulder", "hip", "ankle")
        ]
    else:
        pairs = (("foot_index", "heel"), ("foot_index", "heel"), ("knee", "ankle"), ("ear", "hip"), ("wrist", "hip"))
        spreads = [landmarks.middle(front)[:, 0] - landmarks.middle(rear)[:, 0] for front, rear in pairs]
    return 1 if np.nansum([median_seen(spread) for spread in spreads]) >= 0 else -1


def warn_of_side(landmarks: Landmarks, student: Student, *, forward: int) -> tuple[str, ...]:
    """Return a sentence where the student faces the other way than their handedness says.

    A right-hander filmed from behind the trail side faces the right edge of the picture, a left-hander the left;
    face on a right-hander's lead side is on the right of the picture.

    Parameters
    ----------
    landmarks : Landmarks
    student : Student
    forward : {-1, 1}
        As `find_forward`.
    """
    if landmarks.view == "face_on":
        return ()
    expected = 1 if student.handed == "right" else -1
    if forward == expected:
        return ()
    seen, hand = ("left", "right") if forward == -1 else ("right", "left")
    return (
        f"Down the line the student faces {seen}, which a {hand}-hander filmed from behind the trail side does not: "
        "either the camera was on the target side, or the clip is mirrored without saying so, or --handed is wrong. "
        "The measures seen from the side are right; lead and trail, and left and right, may be swapped.",
    )
