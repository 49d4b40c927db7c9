"""A machine that the shop file says is light: what it is given of the published speed and depth of cut."""

from __future__ import annotations

from pathlib import Path

import pytest

from handwheel.demo import make_demo
from handwheel.errors import InputError
from handwheel.plan.resolve import Plan
from handwheel.present.explain import explain_call
from handwheel.store.jobs import load_job
from handwheel.values import Computed, Missing, leaves

KEY = "light_factor = 0.8"
LINE = f"{KEY} # the share of the published speed and depth of cut that this light machine is given\n"


def with_factor(tmp_path: Path, line: str) -> Plan:
    folder = make_demo(str(tmp_path / "carrier"), "carrier")[0]
    shop = folder / "shop.toml"
    text = shop.read_text(encoding="utf-8")
    assert text.count(LINE) == 2
    shop.write_text(text.replace(LINE, line), encoding="utf-8")
    return load_job(folder).plan


@pytest.mark.parametrize(
    ("line", "share"), [("light_factor = 0.5\n", 0.5), ("light_factor = 1\n", 1.0), ("", 1.0)]
)
def test_speed_and_depth_are_the_share_of_what_is_printed(tmp_path: Path, line: str, share: float) -> None:
    """Facing with an insert: 415 ft/min, 1.27 mm; without the key all of it, and nothing is missing."""
    scope = with_factor(tmp_path, line).by_number[20].scope
    assert scope["start.cutting_speed_low"].number == pytest.approx(415 * 0.3048)
    assert scope["start.cutting_speed"].number == pytest.approx(share * 415 * 0.3048)
    assert scope["start.depth_of_cut"].number == pytest.approx(share * 1.27)
    assert scope["start.feed"].number == pytest.approx(0.0065 * 25.4)
    said = isinstance(scope["start.cutting_speed"].origin, Computed)
    assert said and not any(isinstance(one.origin, Missing) for one in leaves(scope["start.cutting_speed"]))


def test_the_factor_is_among_the_reasons_of_a_speed(tmp_path: Path) -> None:
    """Why a number is what it is names the line of the shop file that the share was typed in."""
    speed = with_factor(tmp_path, "light_factor = 0.5\n").by_number[20].scope["start.cutting_speed"]
    assert isinstance(speed.origin, Computed)
    named = [str(getattr(one.origin, "where", "")) for one in leaves(speed)]
    assert "shop.toml machines.lathe.light_factor" in named
    assert "0.5" in "".join(map(str, explain_call(speed.origin.call)))


@pytest.mark.parametrize("given", ["1.5", "0.1", "true", '"0.8"', "nan"])
def test_what_is_no_share_is_told_with_its_line(tmp_path: Path, given: str) -> None:
    """Not above the whole, not next to nothing, a number: one line that names the key."""
    with pytest.raises(InputError, match=r"shop\.toml:\d+ machines\.\w+\.light_factor: "):
        with_factor(tmp_path, f"light_factor = {given}\n")
