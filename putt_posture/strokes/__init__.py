"""The strokes of a clip: events, paths, stillness, the ball's start; times and points in, numbers out, pure."""
