"""The look-up: what a typed line means, and that every value of an answer comes from the catalogue."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from handwheel.calc import CATALOGUE
from handwheel.calc.designations import known_threads
from handwheel.calc.materials import materials_called
from handwheel.errors import HandwheelError, InputError
from handwheel.look import LONGEST, Answer, NothingFoundError, look
from handwheel.tables import table
from handwheel.values import Computed, Entered, Listed, Missing, Value


def first(query: str) -> Answer:
    return look(query)[0]


def number(answer: Answer, name: str) -> float:
    return answer.values[name].number


def kinds(query: str) -> list[str]:
    return [answer.kind for answer in look(query)]


# --- threads -----------------------------------------------------------------------------------------


def test_a_thread_has_its_drill_its_holes_and_its_heads() -> None:
    """M8: ISO 261 and 2306, ISO 273, DIN 974-1, ISO 10642; the figures are those of the published checks."""
    answer = first("M8")
    wanted = {"pitch": 1.25, "tap_drill": 6.8, "clearance_fine": 8.4, "clearance_medium": 9.0}
    wanted |= {"clearance_coarse": 10.0, "internal_minor_min": 6.647, "internal_minor_max": 6.912}
    wanted |= {"counterbore_diameter": 15.0, "counterbore_depth": 8.6, "head_diameter": 13.0}
    wanted |= {"countersink_diameter": 17.92, "countersink_angle": 90.0, "pitch_diameter": 7.188}
    assert answer.kind == "thread" and answer.title.startswith("M8,")
    for name, value in wanted.items():
        assert number(answer, name) == pytest.approx(value, abs=0.001), name
    assert number(answer, "engagement") == pytest.approx(73.9, abs=0.05)


@pytest.mark.parametrize(
    ("query", "designation"),
    [
        ("m8x1", "M8x1"),
        ("M8 × 1", "M8x1"),
        ("1/4-20", "1/4-20 UNC"),
        ("#10-32", "#10-32 UNF"),
        ("G 1/4", "G 1/4"),
        ("g1/4", "G 1/4"),
        ("1/8 NPT", "1/8-27 NPT"),
        ("Tr 20x4", "Tr 20x4"),
    ],
)
def test_threads_are_written_as_the_standards_or_the_shop_do(query: str, designation: str) -> None:
    """Each spelling is one answer, under the standard's own designation."""
    (answer,) = (one for one in look(query) if one.kind == "thread")
    assert answer.title.startswith(f"{designation},") and not answer.query


def test_a_half_written_thread_points_at_what_it_may_become() -> None:
    """1/4 is a drill, and the beginning of two threads; each of them is one line away."""
    drill, *threads = look("1/4")
    assert drill.kind == "drill" and number(drill, "diameter") == 6.35
    assert [one.query for one in threads] == ["1/4-20 UNC", "1/4-28 UNF", "1/4-32 UNEF"]
    assert all(first(one.query).kind == "thread" for one in threads)


@pytest.mark.parametrize(
    ("query", "said"), [("M8x3", "M8 has the pitch"), ("M8.5", "M8"), ("1/4-19", "1/4-20")]
)
def test_a_thread_that_is_none_is_answered_with_those_there_are(query: str, said: str) -> None:
    """What is written as a thread and is in no standard names the nearest."""
    with pytest.raises(NothingFoundError, match=said):
        look(query)


@given(st.sampled_from(sorted(known_threads())))
def test_every_thread_on_file_is_found_by_its_designation(name: str) -> None:
    """The pitch is there for all, and the drill for every one that has one."""
    (answer,) = (one for one in look(name) if one.kind == "thread")
    assert ("tap_drill" in answer.values) == known_threads()[name].has_drill
    assert number(answer, "pitch") > 0


# --- drills and sizes ----------------------------------------------------------------------------------


def test_a_size_says_which_drills_stand_beside_it_and_what_it_is_for() -> None:
    """6.8 mm is the tap drill of M8; H and 17/64 are the inch drills beside it; M6 goes through."""
    answer = first("6.8")
    assert answer.kind == "drill"
    assert (number(answer, "drill_below"), number(answer, "drill_above")) == (6.75, 6.9)
    assert answer.values["nearest_letter"].plain == "H" and answer.values["nearest_fraction"].plain == "17/64"
    assert number(answer, "tap_drill_of_M8") == 6.8 and number(answer, "engagement_M8") == pytest.approx(
        73.9, abs=0.1
    )
    assert number(answer, "inches") == pytest.approx(0.2677, abs=5e-5)
    assert number(answer, "clears_M6_medium") == 6.6


@pytest.mark.parametrize(
    ("query", "diameter"),
    [
        ("#7", 5.1054),
        ("F", 6.5278),
        ("f", 6.5278),
        ("13/64", 5.159375),
        ("1 1/4", 31.75),
        ("0.201 in", 5.1054),
        ("6,8 mm", 6.8),
        ("ø 6.8", 6.8),
        ("no 7", 5.1054),
        ("0.257", 6.5278),
    ],
)
def test_drills_are_found_by_number_letter_fraction_and_size(query: str, diameter: float) -> None:
    """ASME B94.11M; three decimals below one without a unit are inches."""
    assert number(first(query), "diameter") == pytest.approx(diameter)


def test_a_bare_whole_number_is_a_size_and_a_numbered_drill() -> None:
    """10 is 10 mm, and the drill No. 10."""
    assert [number(one, "diameter") for one in look("10")] == [10.0, pytest.approx(4.9149)]


def test_the_unit_of_the_job_is_that_of_a_bare_size() -> None:
    """A quarter of an inch where inches are worked in; what no inch drill is near to stays millimetres."""
    assert number(look("0.25", "in")[0], "diameter") == 6.35
    assert number(look("6.8", "in")[0], "diameter") == 6.8
    assert look("1 H7", "in")[0].values["min_size"].number == 25.4


def test_a_size_between_the_drills_is_no_drill() -> None:
    """6.83 mm has drills beside it and none of its own."""
    answer = first("6.83")
    assert answer.kind == "size"
    assert number(answer, "drill_below") == 6.8 and number(answer, "drill_above") == 6.9


def test_a_number_that_can_be_read_two_ways_is_not_guessed() -> None:
    """1,000 is one or a thousand."""
    with pytest.raises(NothingFoundError, match="two ways"):
        look("1,000")


# --- zones and fits ------------------------------------------------------------------------------------


@pytest.mark.parametrize("query", ["47 H7", "47H7", "ø47 H7", "H7 47", "47 mm H7"])
def test_a_size_with_a_zone_has_its_limits_and_their_middle(query: str) -> None:
    """ISO 286-2: H7 over 30 up to 50 mm is 0 to +25 µm."""
    (answer,) = look(query)
    assert answer.kind == "zone"
    wanted = {"max_size": 47.025, "min_size": 47.0, "tolerance": 25, "middle_size": 47.0125}
    assert {name: number(answer, name) for name in wanted} == pytest.approx(wanted)


@pytest.mark.parametrize("query", ["25 H7/g6", "H7/g6 25", "25H7/g6", "25 H7 g6"])
def test_two_zones_are_a_fit(query: str) -> None:
    """ISO 286: H7/g6 at 25 mm is 7 to 41 µm loose."""
    (answer,) = look(query)
    assert answer.kind == "fit" and answer.values["kind"].plain == "clearance"
    assert (number(answer, "min_clearance"), number(answer, "max_clearance")) == (7, 41)


def test_a_zone_without_a_size_says_what_is_missing() -> None:
    """H7 alone shows what is typed, and asks for the size."""
    (answer,) = look("H7")
    assert answer.values["zone"].plain == "H7"
    assert isinstance(answer.values["size"].origin, Missing) and "47 mm" in answer.values["size"].origin.ask
    assert kinds("M8") == ["thread"]  # which is a zone as well, and nobody means it


def test_a_zone_that_the_standard_does_not_have_is_said_in_one_line() -> None:
    """Q7 is no zone: the letters that there are are named."""
    with pytest.raises(NothingFoundError, match="no Q; holes have A B C"):
        look("47 Q7")


# --- materials and screws ------------------------------------------------------------------------------


def test_a_material_has_its_data_and_what_to_start_with() -> None:
    """C45: kc1.1 and mc of Kienzle and Victor; spindle speeds are those of the diameters that are named."""
    answer = first("C45")
    assert answer.kind == "material" and answer.values["group"].plain == "P"
    assert (number(answer, "kc1_1"), number(answer, "mc"), number(answer, "expansion")) == (2220, 0.14, 11.5)
    assert "turn at 25 mm, mill at 10 mm, drill at 10 mm" in answer.said[0]
    for begin, diameter in (
        ("turn_hss", 25),
        ("turn_carbide_insert", 25),
        ("mill_carbide", 10),
        ("drill_hss", 10),
    ):
        speed = number(answer, f"{begin}_cutting_speed")
        turning = 1000 * speed / (3.141592653589793 * diameter)
        assert number(answer, f"{begin}_spindle_speed") == pytest.approx(turning)
    assert number(answer, "drill_carbide_cutting_speed") > number(answer, "drill_hss_cutting_speed")


@pytest.mark.parametrize(("query", "name"), [("1045", "C45"), ("4140", "42CrMo4"), ("304", "X5CrNi18-10")])
def test_a_material_is_found_by_its_common_names(query: str, name: str) -> None:
    """Aliases of AISI and others lead to the one material they mean."""
    assert (first(query).kind, first(query).title) == ("material", name)


def test_an_ambiguous_name_answers_with_the_choices() -> None:
    """Mild steel may be several; each choice says what tells it apart, and leads to itself."""
    answers = [one for one in look("mild steel") if one.kind == "material"]
    assert len(answers) > 1
    for one in answers:
        assert one.query == one.title and "hardness_high" in one.values
        assert first(one.query).title == one.title


@given(
    st.sampled_from(
        [name for row in table("materials").rows for name in (row["designation"], *row["aliases"])]
    )
)
def test_every_name_of_a_material_finds_it(name: str) -> None:
    """Each designation and alias on file is answered with every material it may mean."""
    found = [one.title for one in look(name) if one.kind == "material"]
    assert found == [one.name for one in materials_called(name)]


@pytest.mark.parametrize(
    "query", ["ISO 4762 M6", "DIN 912 M6", "DIN EN ISO 4762 - M6 x 20", "iso 4762 m6x20"]
)
def test_a_socket_screw_has_its_head_and_its_counterbore(query: str) -> None:
    """ISO 4762 and DIN 974-1 for M6: head 10 x 6, counterbore 11 and 6.4 deep; a length is passed over."""
    (answer,) = look(query)
    wanted = {"head_diameter": 10, "head_height": 6, "counterbore_diameter": 11, "counterbore_depth": 6.4}
    assert answer.kind == "screw"
    assert {name: number(answer, name) for name in wanted} == pytest.approx(wanted)
    assert number(answer, "clearance_medium") == 6.6 and number(answer, "tap_drill") == 5


def test_a_countersunk_screw_has_its_countersink() -> None:
    """ISO 10642 M6: 13.44 mm, 90 degrees; the older DIN 7991 is smaller."""
    assert number(first("ISO 10642 M6"), "countersink_diameter") == 13.44
    assert number(first("ISO 10642 M6"), "countersink_angle") == 90
    assert number(first("DIN 7991 M6"), "countersink_diameter") < 13.44


def test_a_screw_says_what_is_missing_and_what_is_not_on_file() -> None:
    """A standard without a thread asks for it; an unknown standard names those that there are."""
    assert isinstance(first("ISO 4762").values["thread"].origin, Missing)
    with pytest.raises(NothingFoundError, match="ISO 4762"):
        look("ISO 9999 M6")
    with pytest.raises(NothingFoundError, match="no head"):
        look("ISO 4762 M9")


@pytest.mark.parametrize("query", ["MT2", "mt 2", "MK2", "Morse 2", "morse taper no. 2"])
def test_a_morse_taper_has_its_gauge_diameter_and_its_angle(query: str) -> None:
    """ISO 296, table 1: number 2 is 17.78 mm at the gauge plane, 1 : 20.02."""
    answer = first(query)
    assert number(answer, "gauge_diameter") == 17.78
    assert number(answer, "half_angle") == pytest.approx(1.4307, abs=5e-5)


def test_the_taper_of_a_chuck_may_be_a_zone_too() -> None:
    """B16 is a taper of DIN 238 and a zone of ISO 286; with a size before it only the zone is meant."""
    chuck, zone = look("B16")
    assert (chuck.kind, zone.kind) == ("taper", "zone")
    assert number(chuck, "large_diameter") == 15.733
    assert "taper" not in kinds("47 H7")


def test_a_morse_taper_that_is_none_is_answered_with_those_there_are() -> None:
    with pytest.raises(NothingFoundError, match="it has to be at most 6"):
        look("MT8")


@pytest.mark.parametrize("query", ["centre drill 2.5", "center drill 2.5", "centre drill 2.5 B"])
def test_a_centre_drill_has_its_mouth(query: str) -> None:
    """DIN 333: 2.5 has a mouth of 5.3 mm in each form."""
    assert number(first(query), "countersink") == 5.3


def test_a_retaining_ring_has_its_groove() -> None:
    """DIN 472 and DIN 471: what the two calculations say of the diameter, and what is missing without one."""
    for query, id, name in (
        ("DIN 472 47", "bore_ring_groove", "bore_diameter"),
        ("din 471 25", "shaft_ring_groove", "shaft_diameter"),
    ):
        (answer,) = look(query)
        assert answer.kind == "ring"
        plain = CATALOGUE[id].function(**{name: float(query.split()[2])})
        assert number(answer, "groove_diameter") == plain.groove_diameter
    assert isinstance(first("DIN 472").values["bore_diameter"].origin, Missing)


# --- calculations and recipes ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    "query",
    [
        "spindle_speed 25 m/min 6.8 mm",
        "spindle_speed 6.8 mm 25 m/min",
        "spindle speed 25 6.8",
        "Spindle Speed cutting_speed=25 diameter=6.8",
        "spindle_speed cutting_speed=25 m/min diameter=6.8 mm",
        "spindle_speed 25 m/min diameter=6.8",
    ],
)
def test_a_calculation_is_one_line(query: str) -> None:
    """Inputs stand by name or one behind the other, and go where their unit fits: 1170 1/min."""
    (answer,) = look(query)
    assert answer.kind == "calculation"
    assert number(answer, "spindle_speed") == pytest.approx(1170.26, abs=0.01)


def test_what_is_missing_is_named_with_its_unit_and_an_example() -> None:
    """The inputs typed so far are shown as typed, the others asked for."""
    (answer,) = look("spindle_speed 25 m/min")
    origin = answer.values["cutting_speed"].origin
    assert isinstance(origin, Entered) and origin.text == "25 m/min"
    wanted = answer.values["diameter"].origin
    assert isinstance(wanted, Missing) and "mm" in wanted.ask


def test_what_is_typed_wrongly_says_why_and_what_would_do() -> None:
    """A unit of another kind, a name that is none, and more than is taken."""
    (wrong,) = look("spindle_speed cutting_speed=25 kW")
    origin = wrong.values["cutting_speed"].origin
    assert isinstance(origin, Missing) and "25 m/min" in origin.ask
    assert 'did you mean "diameter"' in look("spindle_speed diamter=5")[0].said[0]
    assert any("nothing takes" in line for line in look("spindle_speed 25 m/min 6.8 mm 3 kW")[0].said)


def test_words_lists_threads_and_materials_are_inputs_too() -> None:
    """Choices, threads with blanks, lists in brackets: each goes to the input that takes it."""
    assert number(first("tap_drill G 1/4"), "drill") == 11.8
    assert number(first("tap_drill 1/4-20 UNC"), "drill") == pytest.approx(5.1054)
    assert number(first("tap_drill M8 forming"), "drill") == 7.45
    assert number(first("nearest_spindle_speed 900 [300, 450, 850]"), "spindle_speed") == 850
    assert first("material_data C45").values["name"].plain == "C45"
    assert number(first("limits 47 H7"), "max_size") == 47.025


def test_a_calculation_that_refuses_its_inputs_says_why() -> None:
    """All is there and impossible: that is no lack of an answer."""
    with pytest.raises(InputError, match="has to be above 0"):
        look("spindle_speed 0 m/min 6.8 mm")


@pytest.mark.parametrize("id", sorted(CATALOGUE))
def test_every_calculation_is_found_by_its_id_and_by_its_title(id: str) -> None:
    """Both show what it wants, each required input with an example."""
    calculation = CATALOGUE[id]
    wanted = {name for name, one in calculation.inputs.items() if one.required}
    for query in (id, calculation.title):
        if len(query) > LONGEST:
            continue
        answer = next(one for one in look(query) if one.title == calculation.title)
        assert set(answer.values) == wanted
        assert all(isinstance(value.origin, Missing) and value.origin.ask for value in answer.values.values())


def test_words_find_recipes_and_calculations() -> None:
    """Chamfer: the recipe first, then each calculation that has to do with one."""
    answers = look("chamfer")
    assert answers[0].kind == "recipe" and answers[0].title.startswith("chamfer:")
    assert {"chamfer_depth ", "spot_depth ", "countersink_depth "} <= {one.query for one in answers}
    assert first("torque of tap").query == "tapping_torque "
    assert first("rpm").query.startswith(("spindle_speed", "nearest_spindle", "ruling", "limited"))


def test_words_with_numbers_behind_them_are_computed_where_all_fits() -> None:
    """A word of a title and two inputs are enough."""
    assert number(first("spindle 25 m/min 6.8 mm"), "spindle_speed") == pytest.approx(1170.26, abs=0.01)


def test_ones_own_recipes_are_found_and_a_broken_one_hides_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What stands in the person's folder counts; a file that is no TOML is for the check of recipes."""
    folder = tmp_path / "recipes"
    folder.mkdir()
    assert not any(one.title.startswith("lap:") for one in look("chamfer"))
    (folder / "lap.toml").write_text('id = "lap"\ntitle = "Lapping a plug"\nfeatures = ["bore"]\n', "utf-8")
    (folder / "broken.toml").write_text("id = ", "utf-8")
    monkeypatch.setenv("HANDWHEEL_HOME", str(tmp_path))
    assert first("lapping").title == "lap: Lapping a plug"
    assert first("chamfer").kind == "recipe"
    (folder / "lap.toml").write_text('id = "lap"\ntitle = "Polishing a plug"\nfeatures = ["bore"]\n', "utf-8")
    assert first("polishing").title == "lap: Polishing a plug", "a changed file is read again"
    with pytest.raises(NothingFoundError, match="lap"):
        look("lapp")
    (folder / "lap.toml").unlink()
    with pytest.raises(NothingFoundError):
        look("polishing")


# --- any line ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("query", ["", "   ", "x" * (LONGEST + 1), "M8\x1b[31m", "M8\n", "a\tb", "\x00"])
def test_a_line_that_is_none_is_refused(query: str) -> None:
    """Empty, too long, or with signs that nobody types: refused in one line."""
    with pytest.raises(InputError) as refused:
        look(query)
    assert str(refused.value).isprintable() and len(str(refused.value)) < 200


def test_what_is_not_known_names_the_nearest() -> None:
    """A slip of the finger is answered with what was meant."""
    for query, near in (("spindel_sped", "spindle_speed"), ("C46", "C45"), ("chamfr", "chamfer")):
        with pytest.raises(NothingFoundError, match=near):
            look(query)
    with pytest.raises(NothingFoundError, match="would do"):
        look("zzzz")


LIKELY = "".join(map(chr, range(32, 127))) + "øØ⌀×µ°½–"


@given(st.text(LIKELY, max_size=40))
@example("((((((((")
@example("[[[[]]]")
@example("bolt_circle [1,2 6 80")
@example("spindle_speed 9**9**9 mm")
@example("tap_drill =")
@example("1/0")
@example("M8x" + "9" * 60)
@example("ISO 4762 M6x")
def test_any_line_is_answered_or_refused_in_one_line(line: str) -> None:
    """Whatever is typed: answers with something in them, or one line that can be printed."""
    try:
        answers = look(line)
    except HandwheelError as fault:
        assert str(fault).isprintable()
    else:
        assert answers and all(one.title for one in answers)


QUERIES = [
    "M8",
    "1/4-20",
    "G 1/4",
    "6.8",
    "#7",
    "10",
    "47 H7",
    "25 H7/g6",
    "C45",
    "mild steel",
    "ISO 4762 M6",
]
QUERIES += ["chamfer", "spindle_speed 25 m/min 6.8 mm", "spindle_speed 25", "bolt_circle 6 80", "H7"]


def leaves_of(value: Value) -> list[Value]:
    if isinstance(value.origin, Computed):
        return [leaf for one in value.origin.call.inputs.values() for leaf in leaves_of(one)]
    return [value]


@pytest.mark.parametrize("query", QUERIES)
def test_every_value_is_a_result_of_the_catalogue_or_was_typed_or_listed(query: str) -> None:
    """Nothing is computed in the look-up: run again with the inputs of its trace, each value is the same."""
    for answer in look(query):
        for value in answer.values.values():
            if isinstance(value.origin, Computed):
                call = value.origin.call
                again = CATALOGUE[call.calculation].run(call.inputs)[value.origin.result]
                assert (again.plain, again.unit) == (value.plain, value.unit)
            for leaf in leaves_of(value):
                assert isinstance(leaf.origin, (Entered, Listed, Missing))
                if isinstance(leaf.origin, Entered):
                    assert leaf.origin.text in query or query in leaf.origin.text
