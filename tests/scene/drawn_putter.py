"""A putter and a ball drawn into a picture of a floor and a wall, at places known by construction.

World axes as in the program: x toward the target, y toward the ball, z up, centimetres. Numbers and colours are made
up. Everything is drawn four times too large and made smaller, so that edges fall between pixels as in a photograph.
"""

import functools
import math

import cv2
import numpy as np
from attrs import evolve, field, frozen
from stick_golfer import SIZE, Camera, Golfer

FINE = 4
HORIZON = SIZE[1] // 2 + 150
BALL_RADIUS_CM = 4.267 / 2
"""Rules of Golf, Equipment Rules, part 4, 3: not less than 1.680 in (42.67 mm) across."""
GREEN, WALL, STEEL, RUBBER, HEAD, SKIN = (
    (70, 120, 60), (190, 185, 180), (165, 165, 170), (22, 22, 24), (40, 40, 48), (200, 150, 120),
)  # fmt: skip

Colour = tuple[int, int, int]


@frozen(kw_only=True)
class Drawing:
    """What to draw; lengths in cm, angles in deg.

    Attributes
    ----------
    butt_above_cm : from the hand centre up the shaft to the butt
    lean_deg : of the shaft face on, + = hands toward the target
    blades : levels of 255, how much light and dark the blades of grass are on the floor, one sigma
    """

    golfer: Golfer = field(factory=Golfer)
    camera: Camera = field(factory=Camera)
    lie_deg: float = 70.0
    lean_deg: float = 0.0
    butt_above_cm: float = 11.0
    shaft: Colour | None = STEEL
    ball: Colour | None = (240, 240, 238)
    noise: float = 3.0
    slope: float = 0.0
    blades: float = 0.0
    seed: int = 0

    @property
    def hands(self) -> np.ndarray:
        """Hand centre, (3,) cm."""
        return self.golfer.joints()["left_wrist"]

    @property
    def down(self) -> np.ndarray:
        """Unit vector down the shaft."""
        lie, lean = math.radians(self.lie_deg), math.radians(self.lean_deg)
        way = np.array([-math.tan(lean), 1 / math.tan(lie), -1.0])
        return way / np.linalg.norm(way)

    @property
    def sole(self) -> np.ndarray:
        """Where the shaft meets the ground, (3,) cm."""
        return self.hands - self.down * (self.hands[2] / self.down[2])

    @property
    def butt(self) -> np.ndarray:
        return self.hands - self.down * self.butt_above_cm

    @property
    def length_cm(self) -> float:
        return float(np.linalg.norm(self.sole - self.butt))

    @property
    def ball_at(self) -> np.ndarray:
        """Centre of the ball before the face, (3,) cm."""
        return self.sole + np.array([1.5 + BALL_RADIUS_CM, 0.0, BALL_RADIUS_CM - self.sole[2]])

    def px(self, point: np.ndarray) -> np.ndarray:
        """Return where a point is in the picture, (2,) px."""
        return self.camera.project(point, left_handed=self.golfer.left_handed)

    def px_per_cm(self, point: np.ndarray) -> float:
        """Return the size of a centimetre at a point."""
        up = self.px(point + np.array([0.0, 0.0, 0.5])) - self.px(point - np.array([0.0, 0.0, 0.5]))
        return float(np.linalg.norm(up))

    def picture(self) -> np.ndarray:
        """Return the picture, (H, W, 3) uint8."""
        canvas = _Canvas(self)
        if self.ball is not None:
            canvas.disc(self.ball_at, BALL_RADIUS_CM, self.ball)
        if self.shaft is not None:
            canvas.bar(self.butt, self.sole - 3.0 * self.down, 1.1, self.shaft)
            canvas.bar(self.butt, self.butt + 27.0 * self.down, 2.5, RUBBER)
            canvas.box(self.sole, toward=(-1.5, 1.5), out=(-5.5, 5.5), high=2.6, colour=HEAD)
        canvas.disc(self.hands + np.array([0.0, 1.0, 0.0]), 5.0, SKIN)
        return canvas.photograph()


class _Canvas:
    """What was drawn, in order; only the part of the picture that it touches is made four times too large."""

    def __init__(self, drawing: Drawing) -> None:
        self.drawing = drawing
        self.shapes: list[tuple[np.ndarray, Colour]] = []

    def bar(self, start: np.ndarray, end: np.ndarray, wide_cm: float, colour: Colour) -> None:
        """Draw a bar that grows with nearness, its ends cut square."""
        ends = [self.drawing.px(point) for point in (start, end)]
        across = np.array([ends[1][1] - ends[0][1], ends[0][0] - ends[1][0]])
        across = across / np.linalg.norm(across) / 2 * wide_cm
        steps = [self.drawing.px_per_cm(point) * across for point in (start, end)]
        self._add([ends[0] - steps[0], ends[0] + steps[0], ends[1] + steps[1], ends[1] - steps[1]], colour)

    def box(self, foot: np.ndarray, *, toward: tuple, out: tuple, high: float, colour: Colour) -> None:
        corners = np.array([[x, y, z] for x in toward for y in out for z in (0.0, high)]) + foot * [1, 1, 0]
        seen = np.array([self.drawing.px(corner) for corner in corners])
        self._add(list(cv2.convexHull(seen.astype(np.float32))[:, 0]), colour)

    def disc(self, centre: np.ndarray, radius_cm: float, colour: Colour) -> None:
        middle, radius = self.drawing.px(centre), radius_cm * self.drawing.px_per_cm(centre)
        turns = np.radians(np.arange(0, 360, 3))
        self._add([middle + radius * np.array([math.cos(turn), math.sin(turn)]) for turn in turns], colour)

    def photograph(self) -> np.ndarray:
        """Make small, and add uneven light and grain."""
        picture = np.empty((SIZE[1], SIZE[0], 3), dtype=np.uint8)
        picture[:HORIZON], picture[HORIZON:] = WALL, GREEN
        bare = np.zeros((SIZE[1], SIZE[0]), dtype=np.float32)
        bare[HORIZON:] = 1.0
        self._draw(picture, bare)
        rough, grain = _unevenness(self.drawing.seed)
        if self.drawing.blades:
            lit = np.random.default_rng((self.drawing.seed, 1)).normal(0, 1, (SIZE[1], SIZE[0]))
            blades = cv2.GaussianBlur(lit, (0, 0), sigmaX=0.9, sigmaY=5.0)
            rough = rough + self.drawing.blades * bare * blades / blades.std()
        floor = np.arange(SIZE[1])[:, None] > HORIZON
        light = self.drawing.slope * np.linspace(-1, 1, SIZE[0])[None, :]
        changed = self.drawing.noise * grain
        changed += (rough * floor + light)[..., None]
        changed += picture
        return np.clip(changed, 0, 255, out=changed).astype(np.uint8)

    def _draw(self, picture: np.ndarray, bare: np.ndarray) -> None:
        """Draw the shapes, and where the floor is bare, into both."""
        if not self.shapes:
            return
        corners = np.concatenate([outline for outline, _ in self.shapes]) / (FINE * 16)
        u0, v0 = np.clip(np.floor(corners.min(axis=0)).astype(int) - 2, 0, SIZE)
        u1, v1 = np.clip(np.ceil(corners.max(axis=0)).astype(int) + 2, 0, SIZE)
        if u0 == u1 or v0 == v1:
            return
        fine = np.empty(((v1 - v0) * FINE, (u1 - u0) * FINE, 3), dtype=np.uint8)
        horizon = max(HORIZON - v0, 0) * FINE
        fine[:horizon], fine[horizon:] = WALL, GREEN
        for outline, colour in self.shapes:
            cv2.fillPoly(fine, [outline - np.array([u0, v0], dtype=np.int32) * FINE * 16], colour, shift=4)
        size = (int(u1 - u0), int(v1 - v0))
        picture[v0:v1, u0:u1] = cv2.resize(fine, size, interpolation=cv2.INTER_AREA)
        if self.drawing.blades:
            green = (fine == GREEN).all(axis=-1).astype(np.float32)
            bare[v0:v1, u0:u1] = cv2.resize(green, size, interpolation=cv2.INTER_AREA)

    def _add(self, corners: list, colour: Colour) -> None:
        self.shapes.append((np.round(np.array(corners) * FINE * 16).astype(np.int32), colour))


@functools.lru_cache(maxsize=1)
def _unevenness(seed: int) -> tuple[np.ndarray, np.ndarray]:
    """Return the uneven light of the floor, (H, W), and the grain of a picture whose noise is 1, (H, W, 3)."""
    rng = np.random.default_rng(seed)
    rough = cv2.GaussianBlur(rng.normal(0, 60, (SIZE[1], SIZE[0])), (0, 0), sigmaX=8, sigmaY=2)
    return rough, rng.standard_normal((SIZE[1], SIZE[0], 3))


def cover(picture: np.ndarray, low_px: tuple, high_px: tuple, colour: Colour) -> np.ndarray:
    """Return the picture with a rectangle painted over it."""
    changed = picture.copy()
    (u0, v0), (u1, v1) = (np.round(corner).astype(int) for corner in (low_px, high_px))
    changed[max(v0, 0) : v1, max(u0, 0) : u1] = colour
    return changed


def without_putter(drawing: Drawing) -> Drawing:
    """Return the same drawing without putter and ball."""
    return evolve(drawing, shaft=None, ball=None)
