"""Run the command with ``python -m putt_posture``."""

from putt_posture.cli import run

run()
