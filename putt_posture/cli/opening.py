"""Which file to open when a command is done, and the option that opens it."""

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from rich.console import Console

__all__ = ["has_screen", "open_option", "say_what_to_open"]

open_option = click.option("--open", "opens", is_flag=True, help="Open the page at the end.")


def say_what_to_open(page: Path, *, opens: bool, console: "Console") -> None:
    """Print which file to open, and open it if asked.

    Parameters
    ----------
    page : Path
    opens : bool
        Whether to open it with the program that this computer has for such files.
    console : Console
    """
    from putt_posture.shown_units import AsIs

    console.print(AsIs(f"\nOpen {page}"), soft_wrap=True)
    if opens and not (has_screen() and click.launch(str(page.absolute())) == 0):
        console.print("It could not be opened from here: no browser or no screen was found. Open it yourself.")


def has_screen() -> bool:
    """Whether a window can be opened; Linux names its screen in the environment."""
    if sys.platform in ("win32", "darwin"):
        return True
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))
