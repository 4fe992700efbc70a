"""clips."""
