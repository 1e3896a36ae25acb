"""Lets the tests of printing share ``reading``."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
