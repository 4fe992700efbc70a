"""Rendered golfers with known posture: bodies, poses, truth, pictures and clips."""
