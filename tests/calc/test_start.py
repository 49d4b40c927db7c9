import tomllib
from itertools import pairwise, product
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc import CalculationError
from handwheel.calc.materials import find_material
from handwheel.calc.start import OPERATIONS, TOOL_MATERIALS, StartValues, start_values
from handwheel.resources import recipe_files
from handwheel.tables import table

MATERIALS = [row["designation"] for row in table("materials").rows]
WITHOUT_DATA = {
    ("drill", "carbide-insert"),
    ("spot", "carbide-insert"),
    ("chamfer", "carbide-insert"),
    ("countersink", "carbide-insert"),
    ("counterbore", "carbide-insert"),
    ("slot", "carbide-insert"),
    ("pocket", "carbide-insert"),
    ("knurl", "carbide"),
    ("knurl", "carbide-insert"),
    ("ream", "carbide-insert"),
    ("centre-drill", "carbide-insert"),
    ("tap", "carbide"),
    ("tap", "carbide-insert"),
    ("tap-by-hand", "carbide"),
    ("tap-by-hand", "carbide-insert"),
}
KINDS = ("cutting_speed", "feed", "feed_per_tooth", "depth_of_cut")


def start(material: str = "C45", operation: str = "drill", tool: str = "HSS", **more: Any) -> StartValues:
    diameter = more.pop("diameter", 10.0)
    return start_values(material=material, operation=operation, tool_material=tool, diameter=diameter, **more)


@pytest.mark.parametrize("material", MATERIALS)
def test_every_value_lies_in_its_range_and_has_a_source(material: str) -> None:
    for operation, tool in set(product(OPERATIONS, TOOL_MATERIALS)) - WITHOUT_DATA:
        answer = start(material, operation, tool)._asdict()
        for kind in KINDS:
            value, low, high, source = (answer[kind + end] for end in ("", "_low", "_high", "_source"))
            if value is None:
                assert (low, high, source) == (None, None, None)
            else:
                assert 0 < low <= value <= high
                assert source


def speeds(answer: StartValues) -> tuple[float, float]:
    assert answer.cutting_speed_low and answer.cutting_speed_high
    return answer.cutting_speed_low, answer.cutting_speed_high


@pytest.mark.parametrize("material", MATERIALS)
def test_carbide_is_never_slower_than_steel_and_cobalt_only_faster_at_the_fast_end(material: str) -> None:
    """Held at the softest and the hardest that a material is listed with, in every operation with both."""
    span = find_material(material).hardness or (None,)
    for operation, hardness in product(OPERATIONS, span):
        if operation == "tap-by-hand":
            continue
        given: dict[str, Any] = {"hardness": hardness}
        steel = speeds(start(material, operation, "HSS", **given))
        cobalt = speeds(start(material, operation, "HSS-Co", **given))
        assert cobalt[0] == steel[0] and cobalt[1] == pytest.approx(1.1 * steel[1])
        for tool in ("carbide", "carbide-insert"):
            if (operation, tool) not in WITHOUT_DATA:
                carbide = speeds(start(material, operation, tool, **given))
                assert carbide[0] >= steel[0] and carbide[1] >= steel[1], (operation, tool)


@pytest.mark.parametrize("tool", TOOL_MATERIALS)
@pytest.mark.parametrize("material", MATERIALS)
def test_the_harder_state_is_never_cut_faster_by_any_tool(material: str, tool: str) -> None:
    span = find_material(material).hardness
    if span is None:
        return
    for operation in ("drill", "turn", "face", "tap"):
        if (operation, tool) in WITHOUT_DATA:
            continue
        steps = [span[0] + place * (span[1] - span[0]) / 12 for place in range(13)]
        answers = [speeds(start(material, operation, tool, hardness=one)) for one in steps]
        for softer, harder in pairwise(answers):
            assert harder[0] <= softer[0] and harder[1] <= softer[1], operation


@pytest.mark.parametrize("operation", OPERATIONS)
def test_a_light_machine_is_given_its_share_of_speed_and_depth_and_the_whole_feed(operation: str) -> None:
    """The printed ranges stay as they are; the note says the share."""
    whole, light = start(operation=operation), start(operation=operation, light_factor=0.6)
    for name in ("cutting_speed", "depth_of_cut"):
        value, share = getattr(whole, name), getattr(light, name)
        assert share == (None if value is None else pytest.approx(0.6 * value))
        assert getattr(light, f"{name}_low") == getattr(whole, f"{name}_low")
        assert getattr(light, f"{name}_high") == getattr(whole, f"{name}_high")
    assert (light.feed, light.feed_per_tooth) == (whole.feed, whole.feed_per_tooth)
    assert "light machine" not in whole.note
    assert ("for a light machine 0.6 of" in light.note) == (operation != "tap-by-hand")


@pytest.mark.parametrize("operation", sorted(set(OPERATIONS) - {"tap-by-hand"}))
def test_the_note_says_what_the_diameter_is_of(operation: str) -> None:
    """Of the cutter, the drill, the hole, or the largest in the cut: the speed is taken there."""
    words = ("diameter", "whole width", "face mill")
    assert any(word in start(operation=operation).note for word in words)


def test_every_recipe_that_turns_a_spindle_has_start_values() -> None:
    """A recipe that uses the shared spindle speed does an operation that is listed."""
    recipes = [tomllib.loads(file.read_text(encoding="utf-8")) for file in recipe_files()]
    uses = {one["id"]: set(one.get("use", [])) for one in recipes}
    spinning = {"spindle"}
    while more := {id for id, used in uses.items() if used & spinning} - spinning:
        spinning |= more
    does = {one.get("does", one["id"]) for one in recipes if one["id"] in spinning}
    shared = {one["id"] for one in recipes if one.get("belongs") == "shared"}
    assert len(does - shared) > 12 and does - shared <= set(OPERATIONS)


def test_a_deep_hole_is_told_to_take_less() -> None:
    assert "at 4 20 and 10" in start().note


def test_the_feed_of_a_thread_is_its_pitch_and_a_knurl_has_its_own() -> None:
    thread, knurl = start(operation="thread"), start(operation="knurl")
    assert thread.feed is None and "pitch" in thread.note
    assert knurl.feed == pytest.approx(0.381)
    assert thread.cutting_speed and start(operation="turn").cutting_speed == 4 * thread.cutting_speed


@pytest.mark.parametrize(("operation", "tool"), sorted(WITHOUT_DATA))
def test_what_nobody_published_is_refused_with_what_there_is(operation: str, tool: str) -> None:
    with pytest.raises(CalculationError, match=f'for {operation} with "{tool}"; there are: HSS, HSS-Co'):
        start(operation=operation, tool=tool)


def test_what_does_not_apply_is_none() -> None:
    drill, face, tap, by_hand = (start(operation=one) for one in ("drill", "face", "tap", "tap-by-hand"))
    assert drill.feed and drill.feed_per_tooth is None and drill.depth_of_cut is None
    assert face.feed_per_tooth and face.depth_of_cut
    assert tap.cutting_speed and tap.feed is None
    assert by_hand.cutting_speed is None and by_hand.cutting_speed_source is None
    assert "by hand" in by_hand.note


@pytest.mark.parametrize("material", MATERIALS)
def test_an_unknown_hardness_takes_the_slowest_and_says_so(material: str) -> None:
    unknown = start(material)
    if unknown.hardness_used is None:
        return
    assert any("hardness not given" in warning for warning in unknown.warnings)
    softer = start(material, hardness=unknown.hardness_used * 0.7)
    assert unknown.cutting_speed and softer.cutting_speed
    assert unknown.cutting_speed <= softer.cutting_speed


@given(st.sampled_from(MATERIALS), st.floats(60, 400), st.floats(1, 200))
def test_harder_material_is_never_cut_faster(material: str, hardness: float, more: float) -> None:
    try:
        harder = start(material, hardness=hardness + more)
    except CalculationError as fault:
        assert "no published speed" in str(fault)
        return
    softer = start(material, hardness=hardness)
    assert softer.cutting_speed and harder.cutting_speed
    assert harder.cutting_speed <= softer.cutting_speed


@given(st.sampled_from(MATERIALS), st.floats(0.4, 75), st.floats(0, 1))
def test_a_larger_drill_never_gets_less_feed(material: str, diameter: float, place: float) -> None:
    larger = diameter + place * (76 - diameter)
    small, large = start(material, diameter=diameter), start(material, diameter=larger)
    assert small.feed and large.feed
    assert small.feed <= large.feed + 1e-12


def test_the_feed_of_a_drill_grows_without_a_jump_up_to_an_inch() -> None:
    for edge in (3.175, 6.35, 12.7, 25.4):
        below, above = start(diameter=edge - 1e-6).feed, start(diameter=edge + 1e-6).feed
        assert below and above
        assert above - below < 1e-5


def test_a_drill_outside_the_published_feeds_is_refused() -> None:
    for diameter in (0.3, 80.0):
        with pytest.raises(CalculationError, match=r"over 0\.34 mm and up to 76\.2 mm"):
            start(diameter=diameter)


def test_a_small_cutter_takes_less_feed_per_tooth() -> None:
    small, large = start(operation="face", diameter=6).feed_per_tooth, start(operation="face", diameter=63)
    assert small == pytest.approx(0.03)
    assert large.feed_per_tooth == pytest.approx(0.1016)


def test_a_condition_counts_with_its_hardest_and_a_hardness_wins() -> None:
    assert start(condition="annealed").hardness_used == 207
    assert start(condition="annealed", hardness=180).hardness_used == 180
    with pytest.raises(CalculationError, match="C45 is listed only as: annealed, normalized"):
        start(condition="aged")


def test_a_hardness_the_material_never_has_is_doubted() -> None:
    assert "usually" in start("6082", hardness=300).warnings[0]
    assert start("6082", hardness=95).warnings == ()


def test_a_hardness_beyond_the_tables_is_refused() -> None:
    with pytest.raises(CalculationError, match="there is one up to 425 HB"):
        start(hardness=500)


def test_chips_that_burn_come_with_a_warning() -> None:
    assert any("can burn" in warning for warning in start("AZ31").warnings)
    assert not any("can burn" in warning for warning in start("S235").warnings)


def test_cobalt_is_given_the_speed_of_plain_hss() -> None:
    assert start(tool="HSS-Co").cutting_speed == start(tool="HSS").cutting_speed


def test_every_source_key_is_explained() -> None:
    known = {row["key"] for row in table("start_sources").rows}
    for name in ("start_hss", "start_inserts", "start_taps", "start_cuts", "start_operations"):
        for row in table(name).rows:
            for column, text in row.items():
                if column.endswith("source"):
                    assert set(text.split()) <= known
