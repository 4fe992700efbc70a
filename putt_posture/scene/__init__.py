"""What the picture says about the world: scale, camera roll and distance, ground, facing, putter and ball."""

from putt_posture.scene.given import Given
from putt_posture.scene.read import read_roll, read_scenes
from putt_posture.scene.seen import Seen
from putt_posture.scene.setup_check import check_setup

__all__ = ["Given", "Seen", "check_setup", "read_roll", "read_scenes"]
