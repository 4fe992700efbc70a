"""How much of a joint's residual stays with a body from one shot to the next: `python tests/accuracy/joint_sharing.py`.

Most of the bodies behind ``joint_examples.npz`` were shot twice, once as a careful coach films and once with the camera
askew in bad light. What is left of their residuals, learned without them, is compared between the two shots by the
intra-class correlation ICC(1,1) of Shrout and Fleiss, Psychol. Bull. 86, 1979, from memory: (MSB − MSW) / (MSB + MSW)
for pairs. Body, setup and clothes are the same in both, so for two lessons it is an upper figure, and
`putt_posture.changes.change` counts nothing of it.
"""

from typing import Final

import numpy as np
from learn_joints import VIEWS, leave_bodies_out, load_examples, without_blunders

from putt_posture.joints.fit import YAW
from putt_posture.joints.landmark_error_model import load_landmark_error_model, widening
from putt_posture.values import Floats, View

QUARTILES: Final = (0.25, 0.5, 0.75)
SHARED_BY_TWO_SHOTS: Final = 0.25
"""The lower quartile over the joints, 0.29 down the line and 0.25 face on (medians 0.42 and 0.42, 53 and 50 bodies),
rounded down."""


def main() -> None:
    for view in VIEWS:
        shares = find_joint_sharing(view)
        low, middle, high = np.quantile(list(shares.values()), QUARTILES)
        print(f"{view}: quartiles {low:.2f}, {middle:.2f}, {high:.2f} over {len(shares)} residuals")
        for name, share in shares.items():
            print(f"  {name:26s} {share:+.2f}")


def find_joint_sharing(view: View) -> dict[str, float]:
    """Return the intra-class correlation of what is left of each joint's residual in two shots of one body."""
    features, residuals, whose = load_examples(view)
    left, misfits = leave_bodies_out(features, residuals, whose, ridge=load_landmark_error_model(view).ridge)
    widths = np.array([widening(misfit) for misfit in misfits])
    left = without_blunders(left / widths[:, None])
    rows: dict[str, list[int]] = {}
    as_seen = whose[: len(whose) // 2] if view == "face_on" else whose  # what follows are the mirror images
    for row, body in enumerate(as_seen):
        rows.setdefault(body, []).append(row)
    pairs = np.array([both for both in rows.values() if len(both) == 2])
    return {
        name: find_intraclass_correlation(left[pairs, column])
        for column, name in enumerate(residuals[0])
        if name != YAW
    }  # fmt: skip


def find_intraclass_correlation(pairs: Floats) -> float:
    """Return ICC(1,1) of (N, 2) pairs; pairs with a NaN are left out."""
    pairs = pairs[np.isfinite(pairs).all(axis=1)]
    between = 2 * float(np.var(pairs.mean(axis=1), ddof=1))
    within = float(np.mean((pairs[:, 0] - pairs[:, 1]) ** 2)) / 2
    return (between - within) / (between + within)


if __name__ == "__main__":
    main()
