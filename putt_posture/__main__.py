"""Run the command with ``python -m putt_posture``."""

import sys

from putt_posture.cli import main

sys.exit(main())
