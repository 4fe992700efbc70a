"""What all tests share: the folder of the stick golfer on the path, and one thread for each small matrix."""

import os
import sys
from pathlib import Path

from hypothesis import settings

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the command has it; numpy reads it when it is first imported
sys.path.insert(0, str(Path(__file__).parent))

settings.register_profile("project", deadline=None, max_examples=25)
settings.load_profile("project")
