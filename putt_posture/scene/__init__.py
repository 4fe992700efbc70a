"""What the picture says about the world: scale, camera roll and distance, ground, facing; what the coach gave."""

from putt_posture.scene.given import Given
from putt_posture.scene.read import Seen, read_scenes

__all__ = ["Given", "Seen", "read_scenes"]
