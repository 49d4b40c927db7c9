import pytest

from handwheel.calc import CalculationError
from handwheel.calc.fluids import cutting_fluid
from handwheel.calc.start import OPERATIONS
from handwheel.tables import table

MATERIALS = [row["designation"] for row in table("materials").rows]


def fluid(material: str, operation: str = "turn") -> str:
    return cutting_fluid(material=material, operation=operation).fluid


@pytest.mark.parametrize("material", MATERIALS)
def test_every_material_has_a_fluid_for_every_operation_that_has_start_values(material: str) -> None:
    for operation in OPERATIONS:
        answer = cutting_fluid(material=material, operation=operation)
        assert answer.fluid
        assert answer.source
        assert "skin" in answer.warnings[-1]


@pytest.mark.parametrize("operation", OPERATIONS)
def test_magnesium_is_never_given_water_and_is_warned_of_it(operation: str) -> None:
    answer = cutting_fluid(material="AZ31", operation=operation)
    assert answer.kind == "magnesium"
    assert not any(word in answer.fluid for word in ("emulsion", "water", "soluble"))
    assert answer.warnings[0].startswith("never water or emulsion")


@pytest.mark.parametrize("operation", OPERATIONS)
def test_cast_iron_is_cut_dry_first(operation: str) -> None:
    for material in ("EN-GJL-200", "EN-GJL-250", "EN-GJS-400-15", "EN-GJS-600-3"):
        assert fluid(material, operation).startswith("dry")


@pytest.mark.parametrize("operation", OPERATIONS)
def test_titanium_is_given_no_chlorinated_oil(operation: str) -> None:
    assert "chlorinated" not in fluid("Ti-6Al-4V", operation)


def test_metals_that_sulfur_stains_are_not_given_any() -> None:
    for material in ("CW614N", "CW453K", "CC493K", "CW004A"):
        for operation in OPERATIONS:
            answer = cutting_fluid(material=material, operation=operation)
            assert "sulfur" not in answer.fluid
            assert "sulfur" in answer.warnings[0]


def test_operations_that_cut_alike_are_given_the_same() -> None:
    assert fluid("C45", "face") == fluid("C45", "bore") == fluid("C45", "turn")
    assert fluid("C45", "thread") == fluid("C45", "tap-by-hand") == fluid("C45", "tap")
    assert fluid("C45", "slot") == fluid("C45", "mill") != fluid("C45", "tap")


def test_every_row_of_the_table_is_reached() -> None:
    kinds = {cutting_fluid(material=material, operation="turn").kind for material in MATERIALS}
    assert kinds == {row["material"] for row in table("cutting_fluids").rows}


def test_an_ambiguous_name_is_answered_with_the_choices() -> None:
    with pytest.raises(CalculationError, match="may be any of: S235, C15, 11SMnPb30"):
        cutting_fluid(material="mild steel", operation="turn")
