"""Measure putting posture from phone clips."""
