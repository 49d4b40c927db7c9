"""What the tests of the drawings share: the helpers of tests/support, and plans of jobs made to be drawn."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))

from drawn_jobs import PLANS

from handwheel.plan.resolve import Plan


@pytest.fixture
def plate() -> Plan:
    """Give the plan of the plate."""
    return PLANS[0]


@pytest.fixture
def flange() -> Plan:
    """Give the plan of the flange, on a lathe."""
    return PLANS[1]
