"""Putter and ball from frame to frame of one stroke.

Push every frame of the stroke once, in order of time; then ask for what was followed. Points go in and come out in
pixels of their own frame; in between they are those of the still, so that a camera that moved does not matter.
"""

import math
from typing import Final

import cv2
import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray

from putt_posture.body import BALL_CM
from putt_posture.scene.ball_following import ball_px_per_cm, follow_ball
from putt_posture.scene.covered import HEAD_BOX_CM, PutterMask, draw_putter, whole_px
from putt_posture.scene.crops import Background, CropPlace, KeptCrops
from putt_posture.scene.shaft_following import FoundHead, HeadTemplate, ShaftLine, ShaftTracker
from putt_posture.values import (
    HAND_POINTS,
    LANDMARK_INDEX,
    VIEW_TITLES,
    Estimate,
    Floats,
    Frame,
    Picture,
    Scene,
    StrokeKind,
    View,
    median_seen,
)
from putt_posture.values.showing import brief

__all__ = ["ClubFollower", "FollowedClub"]

_Flags = NDArray[np.bool_]

_ABOVE_HANDS_CM: Final = 25.0
_BELOW_CM: Final = {"down_the_line": 22.0, "face_on": 14.0}
_BEHIND_CM: Final = {"down_the_line": 25.0, "face_on": 85.0}
_AHEAD_CM: Final = {"down_the_line": 30.0, "face_on": 115.0}
"""How far beyond hands, sole and ball the crop reaches, cm: face on a long putt swings the head 60 cm, and the ball is
to be seen rolling for the first half metre and more."""
_BEHIND_FRAMES: Final = 25
"""How many frames show what stands still behind putter and ball."""
_RULE_SD_CM: Final = 1.0
"""One sigma of the head along the shaft where only the putter's length says where it is, face on, cm."""
_STEP_MISFIT: Final = 4.0
_SMOOTH_S: Final = 0.07
"""A head's path is as good as a parabola for this long to either side: a quarter sine of 0.3 s is off by 0.3 mm."""
_LEAST_SD_CM: Final = 0.1
_FOLLOWED: Final = 0.8
"""A putter that was followed in a smaller share of the frames gets a sentence."""
_HAND_NAMES: Final = tuple(f"{side}_{part}" for side in ("left", "right") for part in HAND_POINTS)


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
        self._view: View = scene.view
        self._hands_px = np.asarray(hands_px, dtype=np.float64)
        self._size = still.shape[1], still.shape[0]
        self._kept = KeptCrops(place=self._place())
        self._still = self._kept.place.cut(still)
        self._tracker = self._start_tracker()
        self._times: list[float] = []
        self._lines: list[ShaftLine | None] = []
        self._cameras: list[Floats] = []

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
        camera = np.eye(2, 3) if camera_px is None else np.asarray(camera_px, dtype=np.float64)
        crop = self._kept.keep(frame.picture, camera)
        hands = np.mean([points_px[LANDMARK_INDEX[name]] for name in _HAND_NAMES], axis=0)
        line = None
        if self._tracker is not None:
            hands_px = self._kept.place.to_crop(_moved(hands, camera))
            line = self._tracker.next(crop, time_s=frame.time_s, hands_px=hands_px)
        self._times.append(frame.time_s)
        self._lines.append(line)
        self._cameras.append(camera)

    def finish(self) -> FollowedClub:
        """Return what was followed through all frames that were pushed, in their order.

        Returns
        -------
        FollowedClub
            With NaN, and sentences that say so, where something was not followed.
        """
        times = np.array(self._times)
        lines, tracker = self._lines, self._tracker
        chosen = self._choose_behind()
        background = Background.of(self._kept.several(chosen)) if chosen else None
        behind = self._stands_still(chosen, background)
        heads, template = self._follow_head(lines, tracker, behind)
        if template is not None:
            # Now that the head is known, less of each frame counts as covered by it.
            behind = self._stands_still(chosen, background, heads=heads, box_cm=template.box_cm())
        background = None
        shaft, head, head_sd = self._putter(times, lines, tracker, heads)
        hidden = PutterMask(template, px_per_cm=self._scale, shape=self._still.shape[:2])

        def covered(index: int) -> _Flags | None:
            head = heads[index]
            sole = 0.0 if tracker is None else tracker.sole_px + (0.0 if head is None else head.moved_px)
            return hidden.mask(lines[index], sole)

        ball = follow_ball(
            times,
            self._kept,
            lines,
            covered,
            scene=self._scene,
            still=self._still,
            behind=behind,
            picture_size=self._size,
        )
        return FollowedClub(
            shaft_px=self._to_frames(shaft),
            putter_head_px=self._to_frames(head),
            putter_head_sd_px=head_sd / self._zoom,
            ball_px=self._to_frames(ball.points_px),
            ball_sd_px=ball.sd_px / self._zoom,
            ball_leaves_s=ball.leaves_s,
            kind=ball.kind,
            why=ball.why,
            notes=(*self._say_followed(head), *ball.notes),
        )

    @property
    def _zoom(self) -> float:
        return self._kept.place.zoom

    @property
    def _scale(self) -> float:
        """Crop pixels per cm in the golfer's plane."""
        return self._scene.px_per_cm.value * self._zoom

    @property
    def _ball_scale(self) -> float:
        """Crop pixels per cm at the ball."""
        return ball_px_per_cm(self._scene, self._zoom)

    def _place(self) -> CropPlace:
        """Return the part of the picture in which putter and ball can be."""
        scene, scale, view = self._scene, self._scene.px_per_cm.value, self._scene.view
        points = [self._hands_px, *np.array(scene.shaft_px or ()), *np.array([scene.ball_px] if scene.ball_px else [])]
        points = [point for point in points if np.isfinite(point).all()]
        if not points:
            return CropPlace.around(np.zeros(2), np.full(2, 2.0), picture_size=self._size, px_per_cm=scale)
        low, high = np.min(points, axis=0), np.max(points, axis=0)
        high[1] = max(high[1], scene.ground_v_px.value if math.isfinite(scene.ground_v_px.value) else 0.0)
        left, right = _BEHIND_CM[view], _AHEAD_CM[view]
        if scene.forward == -1:
            left, right = right, left
        return CropPlace.around(
            low - scale * np.array([left, _ABOVE_HANDS_CM]),
            high + scale * np.array([right, _BELOW_CM[view]]),
            picture_size=self._size,
            px_per_cm=scale,
        )

    def _start_tracker(self) -> ShaftTracker | None:
        if self._scene.shaft_px is None:
            return None
        place = self._kept.place
        return ShaftTracker(
            self._still,
            shaft_px=place.to_crop(np.array(self._scene.shaft_px)),
            hands_px=place.to_crop(self._hands_px),
            px_per_cm=self._scale,
        )

    def _choose_behind(self) -> list[int]:
        """Return which frames are to show what stands still behind putter and ball."""
        lines = self._lines
        usable = [index for index, line in enumerate(lines) if line is not None] or list(range(len(lines)))
        if not usable:
            return []
        angles = np.array([lines[k].angle_deg if lines[k] else 0.0 for k in usable])  # type: ignore[union-attr]
        # Half of the frames evenly in time, half of them evenly along the way of the putter.
        way = np.concatenate([[0.0], np.cumsum(np.abs(np.diff(angles)))])
        even = np.arange(len(usable)) / max(len(usable) - 1, 1)
        spread = even + (way / way[-1] if way[-1] > 0 else even)
        wanted = np.linspace(0, spread[-1], min(_BEHIND_FRAMES, len(usable)))
        return sorted({usable[int(np.abs(spread - each).argmin())] for each in wanted})

    def _stands_still(
        self,
        chosen: list[int],
        background: Background | None,
        *,
        heads: list[FoundHead | None] | None = None,
        box_cm: tuple[float, float, float] = HEAD_BOX_CM,
    ) -> Picture:
        """Return the crop without putter and ball, as far as other frames show what is behind them."""
        if background is None:
            return self._still
        tracker = self._tracker
        masks = np.zeros((len(chosen), *self._still.shape[:2]), dtype=np.uint8)
        for index, mask, crop in zip(chosen, masks, background.crops, strict=True):
            line = self._lines[index]
            if line is not None and tracker is not None:
                head = None if heads is None else heads[index]
                sole = tracker.sole_px + (0.0 if head is None else head.moved_px)
                box = HEAD_BOX_CM if head is None else box_cm
                draw_putter(mask, line, sole_px=sole, box_cm=box, px_per_cm=self._scale, use="behind")
            self._draw_resting_ball(mask, crop)
        return background.without(masks > 0, make_up=heads is not None)

    def _draw_resting_ball(self, mask: NDArray[np.uint8], crop: Picture) -> None:
        """Cover the ball in the mask where the crop shows it as the still does."""
        if self._scene.ball_px is None:
            return
        rest = self._kept.place.to_crop(np.array(self._scene.ball_px))
        radius = BALL_CM / 2 * self._ball_scale
        (column, row), reach = whole_px(rest), math.ceil(0.7 * radius)
        rows, columns = np.mgrid[-reach : reach + 1, -reach : reach + 1].reshape(2, -1)
        inside = np.hypot(rows, columns) <= reach + 0.5
        rows, columns = row + rows[inside], column + columns[inside]
        inside = (rows >= 0) & (rows < mask.shape[0]) & (columns >= 0) & (columns < mask.shape[1])
        if self._view == "down_the_line":
            inside &= rows < math.floor(rest[1])
        rows, columns = rows[inside], columns[inside]
        if not len(rows):
            return
        apart = np.linalg.norm(crop[rows, columns].astype(float) - self._still[rows, columns].astype(float), axis=1)
        if np.median(apart) < 30.0:
            cv2.circle(mask, whole_px(rest), math.ceil(1.4 * radius), 1, -1)

    def _follow_head(
        self, lines: list[ShaftLine | None], tracker: ShaftTracker | None, behind: Picture
    ) -> tuple[list[FoundHead | None], HeadTemplate | None]:
        if tracker is None:
            return [None] * len(lines), None
        template = HeadTemplate.of_still(
            self._still_without_ball(behind),
            behind,
            line=tracker.first.line,
            sole_px=tracker.sole_px,
            px_per_cm=self._scale,
        )
        heads: list[FoundHead | None] = []
        near: float | None = None
        for index, line in enumerate(lines):
            found = None
            if line is not None and template is not None:
                crop = self._kept[index]
                for expected in dict.fromkeys((near, None)):
                    found = template.find(crop, behind, line=line.line, sole_px=tracker.sole_px, near_px=expected)
                    if found is not None:
                        break
            near = None if found is None else found.moved_px
            heads.append(found)
        return heads, template

    def _still_without_ball(self, behind: Picture) -> Picture:
        """Return the still with what is behind the ball in its place; down the line the head is before the ball."""
        if self._scene.ball_px is None or self._view == "down_the_line":
            return self._still
        mask = np.zeros(self._still.shape[:2], dtype=np.uint8)
        rest = self._kept.place.to_crop(np.array(self._scene.ball_px))
        cv2.circle(mask, whole_px(rest), math.ceil(1.25 * BALL_CM / 2 * self._ball_scale), 1, -1)
        return np.where(mask[..., None] > 0, behind, self._still)

    def _putter(
        self,
        times: Floats,
        lines: list[ShaftLine | None],
        tracker: ShaftTracker | None,
        heads: list[FoundHead | None],
    ) -> tuple[Floats, Floats, Floats]:
        """Return shaft (N, 2, 2), head (N, 2) and its one sigma (N,) in crop pixels; misfits are NaN."""
        shaft = np.full((len(times), 2, 2), np.nan)
        sd = np.full(len(times), np.nan)
        if tracker is None:
            return shaft, shaft[:, 1], sd
        for index, (line, head) in enumerate(zip(lines, heads, strict=True)):
            if line is None or (head is None and self._view == "down_the_line"):
                continue
            moved, along_sd = (0.0, _RULE_SD_CM * self._scale) if head is None else (head.moved_px, head.sd_px)
            sole = tracker.sole_px + moved
            across_sd = math.hypot(math.radians(line.angle_sd_deg) * 0.6 * tracker.length_px, 0.15 * line.scatter_px)
            start, along = line.line.start_px, line.line.along
            shaft[index] = start + (sole - tracker.length_px) * along, start + sole * along
            sd[index] = math.hypot(across_sd, along_sd, _LEAST_SD_CM * self._scale) / math.sqrt(2)
        off = _off_smooth(times, shaft[:, 1])
        usual = max(1.48 * median_seen(off), _LEAST_SD_CM * self._scale) if np.isfinite(off).any() else 0.0
        misfit = off > _STEP_MISFIT * np.hypot(usual, np.nan_to_num(sd))
        shaft[misfit], sd[misfit] = np.nan, np.nan
        return shaft, shaft[:, 1], np.maximum(sd, usual / math.sqrt(2))

    def _to_frames(self, crop_px: Floats) -> Floats:
        """Return points (N, …, 2) of the crops in pixels of their own frames."""
        still = self._kept.place.to_still(crop_px)
        back = [cv2.invertAffineTransform(camera) for camera in self._cameras]
        return np.stack([_moved(points, camera) for points, camera in zip(still, back, strict=True)]) if back else still

    def _say_followed(self, head: Floats) -> tuple[str, ...]:
        seen = int(np.isfinite(head[:, 0]).sum())
        if self._scene.shaft_px is None or seen >= _FOLLOWED * len(head):
            return ()
        return (
            f"{VIEW_TITLES[self._view]} the putter could be followed in {seen} of the {len(head)} frames of this "
            "stroke; what is said of its head rests on those.",
        )


def _moved(points_px: Floats, affine: Floats) -> Floats:
    return np.asarray(points_px @ affine[:, :2].T + affine[:, 2])


def _off_smooth(times: Floats, points: Floats) -> Floats:
    """Return how far each point is from a parabola through its neighbours in time, (N,); NaN where there are few."""
    off = np.full(len(times), np.nan)
    seen = np.isfinite(points[:, 0])
    for index in np.flatnonzero(seen):
        away = np.abs(times - times[index])
        near = seen & (away <= max(_SMOOTH_S, 2.6 * _gap(times)))
        near[index] = False
        if near.sum() < 4:
            continue
        since = times[near] - times[index]
        powers = np.stack([np.ones_like(since), since, since**2], axis=1)
        # Twice, the second time without what is far off, so that one misfit does not make its neighbours look wrong.
        weight = np.ones(len(since))
        for _ in range(3):
            fitted, *_ = np.linalg.lstsq(powers * weight[:, None], points[near] * weight[:, None], rcond=None)
            apart = np.linalg.norm(points[near] - powers @ fitted, axis=1)
            weight = 1 / np.hypot(1.0, apart / max(1.48 * float(np.median(apart)), 0.2))
        off[index] = float(np.linalg.norm(points[index] - fitted[0]))
    return off


def _gap(times: Floats) -> float:
    return float(np.median(np.diff(times))) if len(times) > 1 else 0.0
