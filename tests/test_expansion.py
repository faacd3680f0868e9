"""Laws of the growth of water, glycol and pipes. Printed values stand in the evidence."""

import pytest

from calc.expansion import (
    COPPER_EXPANSION,
    PIPE_EXPANSION,
    STEEL_EXPANSION,
    expanded_volume,
    expansion_of_densities,
    expansion_of_volumes,
    mixture_expansion,
    net_expansion,
    pipe_expansion,
    raccolta_expansion,
    relative_expansion,
    une_expansion,
    une_glycol_factor,
    water_expansion,
)
from calc.fluids import WATER, Fluid
from calc.model import Refusal, as_text

ZERO = 273.15


def test_growth_rises_with_the_hot_temperature():
    grown = [water_expansion(ZERO + 10, ZERO + t) for t in range(15, 116, 5)]
    assert grown == sorted(grown)
    assert grown[0] > 0


def test_water_shrinks_between_freezing_and_four_degrees():
    assert water_expansion(ZERO + 0.5, ZERO + 4) < 0
    assert water_expansion(ZERO + 4, ZERO + 8) > 0


def test_growth_over_two_rises_is_the_product_of_both():
    whole = 1 + water_expansion(ZERO + 10, ZERO + 90)
    parts = (1 + water_expansion(ZERO + 10, ZERO + 40)) * (
        1 + water_expansion(ZERO + 40, ZERO + 90)
    )
    assert whole == pytest.approx(parts, rel=1e-12)


def test_densities_and_specific_volumes_say_the_same():
    assert expansion_of_densities(1000.0, 970.0) == pytest.approx(
        expansion_of_volumes(1 / 1000.0, 1 / 970.0)
    )


@pytest.mark.parametrize("substance", ["propylene glycol", "ethylene glycol"])
def test_more_glycol_grows_more_and_all_more_than_water(substance):
    shares = [0.2, 0.3, 0.4, 0.5]
    grown = [mixture_expansion(substance, x, ZERO + 10, ZERO + 80) for x in shares]
    assert grown == sorted(grown)
    assert grown[0] > water_expansion(ZERO + 10, ZERO + 80)


def test_water_is_the_fluid_called_water():
    assert relative_expansion(WATER, ZERO + 10, ZERO + 60) == water_expansion(ZERO + 10, ZERO + 60)
    assert mixture_expansion("water", 0.0, ZERO + 10, ZERO + 60) == water_expansion(
        ZERO + 10, ZERO + 60
    )
    assert relative_expansion(Fluid("propylene glycol", 0.3), ZERO + 10, ZERO + 60) > 0


def test_pipes_take_back_part_and_plastic_takes_none():
    fluid = water_expansion(ZERO + 10, ZERO + 80)
    net = {name: net_expansion(fluid, alpha, 70.0) for name, alpha in PIPE_EXPANSION.items()}
    assert net["copper"] < net["steel"] < net["none"]
    assert net["plastic"] == net["none"] == fluid
    assert fluid - net["steel"] == pytest.approx(pipe_expansion(STEEL_EXPANSION, 70.0))


@pytest.mark.parametrize(
    ("per_kelvin", "per_fahrenheit"), [(STEEL_EXPANSION, 6.5e-6), (COPPER_EXPANSION, 9.5e-6)]
)
def test_both_printed_forms_of_a_coefficient_agree(per_kelvin, per_fahrenheit):
    assert per_kelvin == pytest.approx(per_fahrenheit * 1.8, rel=1e-9)


def test_expanded_volume_is_proportional():
    assert expanded_volume(2.0, 0.03) == pytest.approx(2 * expanded_volume(1.0, 0.03))


def test_a_temperature_outside_the_water_table_is_refused():
    with pytest.raises(Refusal, match="outside the table"):
        water_expansion(ZERO + 10, ZERO + 250)


@pytest.mark.parametrize("celsius", [29.9, 120.1])
def test_the_spanish_coefficient_is_refused_outside_its_range(celsius):
    with pytest.raises(Refusal, match="30"):
        une_expansion(ZERO + celsius)


@pytest.mark.parametrize(
    ("celsius", "share"), [(64.0, 0.3), (116.0, 0.3), (80.0, 0.1), (80.0, 0.6)]
)
def test_the_spanish_glycol_factor_is_refused_outside_its_range(celsius, share):
    with pytest.raises(Refusal, match="glycol factor"):
        une_glycol_factor(ZERO + celsius, share)


def test_the_spanish_net_form_lies_below_the_gross_growth():
    for t in (60, 70, 80, 90, 100):
        assert une_expansion(ZERO + t) < water_expansion(ZERO + 4, ZERO + t)


def test_the_italian_form_is_near_the_gross_growth():
    for t in (60, 80, 100):
        assert raccolta_expansion(ZERO + t) == pytest.approx(
            water_expansion(ZERO + 4, ZERO + t), rel=0.05
        )


def test_the_spanish_coefficient_is_the_printed_polynomial_to_its_last_figure():
    # UNE 100155, worked by hand: (3.24 x 80^2 + 102.13 x 80 - 2708.3) 1e-6.
    assert une_expansion(ZERO + 80.0) == pytest.approx(26198.1e-6, rel=1e-9)
    assert une_expansion(ZERO + 60.0) == pytest.approx(15083.5e-6, rel=1e-9)


def test_the_glycol_factor_holds_to_both_ends_of_its_range():
    assert une_glycol_factor(353.15, 0.20) < une_glycol_factor(353.15, 0.50)
    for share in (0.199, 0.501):
        with pytest.raises(Refusal, match="20 to 50"):
            une_glycol_factor(353.15, share)


def test_a_temperature_outside_of_a_range_is_told_with_both_ends_of_it():
    with pytest.raises(Refusal) as refused:
        une_glycol_factor(ZERO + 64.0, 0.3)
    words = as_text(refused.value.message, "si").replace("\xa0", " ")
    assert "65 °C to 115 °C, not for 64 °C" in words.replace(".0 °C", " °C")
