"""The study's own modules on the path, as they are when its command runs."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
