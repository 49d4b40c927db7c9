from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc.designations import known_threads, parse_thread
from handwheel.calc.drills import drill_size
from handwheel.calc.tapping import tap_drill, tap_plan, thread_engagement
from handwheel.calc.threads import thread_dimensions
from handwheel.errors import InputError

SIXTY = [name for name, size in known_threads().items() if size.family in ("metric", "unified")]


@pytest.mark.parametrize("name", SIXTY)
def test_a_tap_drill_keeps_the_limits_of_the_minor_diameter_or_is_said_not_to(name: str) -> None:
    chosen = tap_drill(thread=name)
    limits = thread_dimensions(thread=name)
    assert limits.internal_minor_min is not None and limits.internal_minor_max is not None
    inside = limits.internal_minor_min <= chosen.drill <= limits.internal_minor_max
    assert inside or any("minor diameter" in said for said in chosen.warnings)


def test_only_these_listed_drills_stand_outside() -> None:
    outside = [
        name for name in SIXTY if any("minor diameter" in said for said in tap_drill(thread=name).warnings)
    ]
    assert [name for name in outside if parse_thread(name).nominal_diameter <= 76] == [
        "9/16-18 UNF",
        "5/8-18 UNF",
        "1 1/2-18 UNEF",
        "1 9/16-18 UNEF",
    ]


@pytest.mark.parametrize("name", [name for name, size in known_threads().items() if size.has_drill])
def test_the_name_and_the_diameter_are_of_one_drill(name: str) -> None:
    chosen = tap_drill(thread=name)
    assert drill_size(name=chosen.name) == chosen.drill


@pytest.mark.parametrize("name", [name for name, size in known_threads().items() if not size.has_drill])
def test_a_thread_without_a_drill_says_so(name: str) -> None:
    with pytest.raises(InputError, match=r"no drill for .* such as G "):
        tap_drill(thread=name)


@given(st.sampled_from(SIXTY), st.floats(50, 85))
def test_an_engagement_asked_for_is_left_by_the_exact_diameter(name: str, engagement: float) -> None:
    exact = tap_drill(thread=name, engagement=engagement).exact_diameter
    assert thread_engagement(thread=name, hole_diameter=exact).engagement == pytest.approx(engagement)


@given(st.sampled_from(SIXTY), st.floats(50, 80))
def test_more_thread_needs_a_smaller_hole(name: str, engagement: float) -> None:
    for kind in ("cutting", "forming"):
        less = tap_drill(thread=name, kind=kind, engagement=engagement)
        more = tap_drill(thread=name, kind=kind, engagement=engagement + 5)
        assert more.exact_diameter < less.exact_diameter
        assert more.drill <= less.drill


@given(st.sampled_from(SIXTY), st.floats(0.7, 0.99))
def test_the_two_bases_stand_a_fifth_apart(name: str, share: float) -> None:
    hole = share * parse_thread(name).nominal_diameter
    first = thread_engagement(thread=name, hole_diameter=hole)
    second = thread_engagement(thread=name, hole_diameter=hole, base="5/8H")
    assert second.engagement == pytest.approx(1.2 * first.engagement)
    assert (first.base, second.base) == ("0.75H", "5/8H")


def test_a_forming_tap_needs_the_larger_hole() -> None:
    assert tap_drill(thread="M6", kind="forming").drill > tap_drill(thread="M6").drill


def test_a_hole_outside_the_limits_is_said_to_be() -> None:
    assert "above the largest" in thread_engagement(thread="M8", hole_diameter=7.2).warnings[0]
    assert "below the least" in thread_engagement(thread="M8", hole_diameter=6.5).warnings[0]
    assert thread_engagement(thread="M8", hole_diameter=6.8).warnings == ()


def test_pipe_threads_have_a_drill_but_no_per_cent() -> None:
    assert tap_drill(thread="G 1/4").engagement is None
    assert tap_drill(thread="1/8 NPT").engagement is None
    for refused in ({"kind": "forming"}, {"engagement": 65}):
        with pytest.raises(InputError, match="tapered"):
            tap_drill(thread="1/8 NPT", **refused)
    with pytest.raises(InputError, match="60 degree"):
        thread_engagement(thread="G 1/4", hole_diameter=11.8)


@given(st.floats(1, 60), st.floats(0.25, 6), st.floats(0.25, 3), st.floats(0, 1))
def test_bites_go_on_to_the_depth(depth: float, pitch: float, bite: float, back: float) -> None:
    plan = tap_plan(tap_tip_depth=depth, pitch=pitch, bite=bite, back=back)
    assert plan.bites[-1].depth == depth
    assert plan.bites[-1].turns == plan.turns == depth / pitch
    assert [one.number for one in plan.bites] == list(range(1, plan.count + 1))
    turns = [0.0, *(one.turns for one in plan.bites)]
    assert all(0 < after - before <= bite * (1 + 1e-6) for before, after in pairwise(turns))
    assert plan.turned == pytest.approx(plan.turns + 2 * back * (plan.count - 1))


def test_a_bite_too_short_is_refused() -> None:
    with pytest.raises(InputError, match="too short"):
        tap_plan(tap_tip_depth=500, pitch=0.2, bite=0.05)
