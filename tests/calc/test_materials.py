import pytest

from handwheel.calc import CalculationError
from handwheel.calc.materials import CONDITIONS, find_material, material_data
from handwheel.tables import table

ROWS = table("materials").rows


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["designation"])
def test_a_designation_finds_its_own_row_however_it_is_typed(row: dict[str, str]) -> None:
    name = row["designation"]
    for typed in (name, name.lower(), f" {name.upper()} ", name.replace("-", " ")):
        assert find_material(typed).name == name


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["designation"])
def test_a_row_holds_together(row: dict[str, str]) -> None:
    data = material_data(material=row["designation"])
    assert data.group in ("P", "M", "K", "N", "S", "H")
    assert (data.kc1_1 is None) == (data.mc is None)
    assert data.kc_family.startswith(("Kienzle-Victor", "VDI 3323 group") if data.kc1_1 else "none published")
    assert 1000 < data.density < 9000
    assert data.source
    found = find_material(row["designation"])
    assert found.conditions.keys() <= set(CONDITIONS)
    assert all(0 < low < high for low, high in found.conditions.values())


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["designation"])
def test_every_class_has_a_row_in_the_tables_of_start_values(row: dict[str, str]) -> None:
    for name in ("start_hss", "start_taps", "start_cuts"):
        assert row["class"] in {one["class"] for one in table(name).rows}, name


def test_an_alias_of_several_materials_lists_them() -> None:
    with pytest.raises(CalculationError, match="may be any of: CW453K, CC493K, CW307G"):
        find_material("bronze")


def test_an_unknown_material_is_answered_with_the_nearest_names() -> None:
    with pytest.raises(CalculationError, match=r'"C46" is not in the table; near it: .*C45'):
        find_material("C46")


def test_a_long_or_odd_name_is_answered_on_one_short_line() -> None:
    with pytest.raises(CalculationError) as fault:
        find_material("x\n" * 100_000)
    assert "\n" not in str(fault.value)
    assert len(str(fault.value)) < 300


def test_a_plastic_has_no_hardness_and_no_cutting_force() -> None:
    data = material_data(material="acetal")
    assert (data.name, data.hardness_low, data.kc1_1) == ("POM", None, None)


def test_a_condition_narrows_the_hardness_and_nothing_else() -> None:
    whole, annealed = material_data(material="C45"), material_data(material="C45", condition="annealed")
    assert (annealed.hardness_low, annealed.hardness_high) == (160, 207)
    assert whole._replace(hardness_low=160, hardness_high=207) == annealed


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["designation"])
def test_the_conditions_of_a_material_span_its_whole_range(row: dict[str, str]) -> None:
    name = row["designation"]
    parts = [material_data(material=name, condition=one) for one in find_material(name).conditions]
    if parts:
        whole = material_data(material=name)
        assert whole.hardness_low == min(part.hardness_low for part in parts if part.hardness_low)
        assert whole.hardness_high == max(part.hardness_high for part in parts if part.hardness_high)


def test_a_condition_it_is_not_bought_in_is_answered_with_those_it_is() -> None:
    with pytest.raises(CalculationError, match="C45 is listed only as: annealed, normalized, cold-drawn"):
        material_data(material="C45", condition="aged")
    with pytest.raises(CalculationError, match="POM is listed only as: no condition, it has no Brinell"):
        material_data(material="POM", condition="annealed")
