"""Putter and ball from frame to frame of one stroke.

Push every frame of the stroke once, in order of time; then ask for what was followed. Points go in and come out in
pixels of their own frame; in between they are those of the still, so that a camera that moved does not matter.
"""

import numpy as np
from attrs import field, frozen

from putt_posture.values import Estimate, Floats, Frame, Picture, Scene, StrokeKind
from putt_posture.values.showing import brief

__all__ = ["ClubFollower", "FollowedClub"]


@brief
@frozen(kw_only=True, eq=False)
class FollowedClub:
    """Putter and ball in the N frames of one stroke; the fields are those of `SeenStroke`.

    Attributes
    ----------
    shaft_px : (N, 2, 2)
        Butt end of the grip, then the sole, pixels of each frame; NaN where not followed.
    putter_head_px : (N, 2)
        Where the shaft's axis meets the putter head; NaN where not followed.
    putter_head_sd_px : (N,)
        One sigma of it, pixels.
    ball_px : (N, 2)
        Centre of the ball that is putted, at rest and rolling; NaN where not seen.
    ball_sd_px : (N,)
        One sigma of it, pixels.
    ball_leaves_s : Estimate
        Clip time of the ball's first motion, s; absent, with the reason, where it does not move or is not seen.
    kind : StrokeKind
    why : str
        One sentence: why it is a putt, a practice stroke or neither for sure.
    notes : tuple of str
        Sentences for the coach.
    """

    shaft_px: Floats = field(repr=False)
    putter_head_px: Floats = field(repr=False)
    putter_head_sd_px: Floats = field(repr=False)
    ball_px: Floats = field(repr=False)
    ball_sd_px: Floats = field(repr=False)
    ball_leaves_s: Estimate
    kind: StrokeKind
    why: str
    notes: tuple[str, ...] = ()


class ClubFollower:
    """Follows putter and ball through the frames of one stroke.

    Use one for each stroke. It keeps some 50 kB a frame; nothing else grows with the length.

    Parameters
    ----------
    scene : Scene
        Of the still: scale, facing, roll, shaft and ball. Without a shaft nothing but the ball is followed, without
        both nothing; the result then says why.
    still : (H, W, 3) uint8
        The still itself, RGB, upright, full size.
    hands_px : (2,)
        Hand centre in the still, pixels; NaN where hidden.

    Examples
    --------
    >>> follower = ClubFollower(scene, still, hands_px=hands)  # doctest: +SKIP
    >>> for frame, points in frames:  # doctest: +SKIP
    ...     follower.push(frame, points)
    >>> club = follower.finish()  # doctest: +SKIP
    """

    def __init__(self, scene: Scene, still: Picture, *, hands_px: Floats) -> None:
        self._scene = scene
        self._still = still
        self._hands_px = np.asarray(hands_px, dtype=np.float64)

    def push(self, frame: Frame, points_px: Floats, camera_px: Floats | None = None) -> None:
        """Take in the next frame.

        Parameters
        ----------
        frame : Frame
            Full size, later than the one before; its picture is not kept.
        points_px : (33, 2)
            The landmarks in it, pixels of this frame; NaN where the student was not seen.
        camera_px : (2, 3), optional
            Affine map from this frame's pixels to the still's (`SeenStroke.camera_px`); none where the camera stood.
        """
        raise NotImplementedError

    def finish(self) -> FollowedClub:
        """Return what was followed through all frames that were pushed, in their order."""
        raise NotImplementedError
