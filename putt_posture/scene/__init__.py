"""What the picture says about the world: scale, camera roll and distance, ground, facing, putter and ball."""

from putt_posture.scene.read import find_in_pictures, look_for_roll, read_roll, read_scenes
from putt_posture.scene.seen import Seen
from putt_posture.scene.setup_check import check_setup

__all__ = ["Seen", "check_setup", "find_in_pictures", "look_for_roll", "read_roll", "read_scenes"]
