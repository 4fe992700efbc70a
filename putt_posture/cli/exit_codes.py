"""What the command's exit codes mean; nought is done."""

from typing import Final

__all__ = ["FAULT", "STOPPED", "USAGE_FAULT"]

FAULT: Final = 1
"""A clip, the student or the installation is at fault."""

USAGE_FAULT: Final = 2
"""The call is at fault."""

STOPPED: Final = 130
"""Stopped by Ctrl-C: 128 plus the number of the interrupt signal, as shells count; for others see `stopped_code`."""
