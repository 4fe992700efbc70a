"""Lessons and practice tests: filed, opened, put right."""
