"""Lessons and practice tests: filed, opened, corrected."""
