"""posture."""
