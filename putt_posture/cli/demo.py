"""``putt-posture demo``: the main job on the sample clips."""

import click

__all__ = ["demo"]


@click.command(short_help="Do the main job on the sample clips.")
def demo() -> None:
    """Do the main job."""
