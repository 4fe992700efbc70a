"""scene."""
