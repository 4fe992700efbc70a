"""The pages of made-up students are made beside their tests."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
