"""What tests of several folders share: a fresh demo, and its plan in memory."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from handwheel.demo import EXAMPLES, make_demo
from handwheel.store.jobs import OpenedJob, load_job

# The same examples in every run: whoever installs this sees the tests pass or fail as everybody does.
# The runs marked slow draw new ones each time.
settings.register_profile(
    "here",
    deadline=None,
    derandomize=True,
    print_blob=True,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("here")


@pytest.fixture(autouse=True)
def _own_home(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """Keep every test away from the person's own shop, recipes and jobs."""
    monkeypatch.setenv("HANDWHEEL_HOME", str(tmp_path_factory.getbasetemp() / "home"))


@pytest.fixture
def demo(tmp_path: Path) -> Path:
    """Give a fresh copy of the demo."""
    return make_demo(str(tmp_path / "plate"), "plate")[0]


@pytest.fixture(scope="session", params=sorted(EXAMPLES))
def example(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> OpenedJob:
    """Give each of the ready jobs as it is opened; nobody writes to its folder."""
    name: str = request.param
    return load_job(make_demo(str(tmp_path_factory.mktemp("example") / name), name)[0])


@pytest.fixture(scope="session")
def opened(tmp_path_factory: pytest.TempPathFactory) -> OpenedJob:
    """Give the demo as it is opened; nobody writes to its folder."""
    return load_job(make_demo(str(tmp_path_factory.mktemp("demo") / "plate"), "plate")[0])
