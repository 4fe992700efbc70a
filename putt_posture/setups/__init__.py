"""The still moments at address in a clip: found, or chosen by the coach."""

from putt_posture.setups.build import choose_setups
from putt_posture.setups.finder import find_setups
from putt_posture.setups.strokes import FollowedStroke
from putt_posture.setups.together import find_setups_together

__all__ = ["FollowedStroke", "choose_setups", "find_setups", "find_setups_together"]
