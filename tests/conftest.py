"""What all tests share: the folder of the stick golfer on the path."""

import sys
from pathlib import Path

from hypothesis import settings

sys.path.insert(0, str(Path(__file__).parent))

settings.register_profile("project", deadline=None, max_examples=25)
settings.load_profile("project")
