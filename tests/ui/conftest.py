"""What the tests of the screens share: the helpers of tests/support, found by name."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))
