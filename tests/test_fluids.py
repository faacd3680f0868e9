"""The fluid tables: against the live libraries off the nodes, against laws, and at their ends."""

import itertools
import json
import math
import re
from pathlib import Path

import pytest

from calc import fluids
from calc.fluids import WATER, Fluid
from calc.model import Refusal, as_text

CELSIUS = 273.15
GLYCOLS = {"propylene glycol": "APG", "ethylene glycol": "AEG"}
SHARES = tuple(0.10 + 0.02 * i for i in range(26))


def off_nodes(first, last, count, share=0.37):
    """Return points that never fall on a table's node."""
    step = (last - first) / count
    return [first + (i + share) * step for i in range(count)]


def mixtures():
    return [Fluid(name, round(share, 4)) for name in GLYCOLS for share in SHARES]


def liquid_from(fluid):
    return max(fluids.freezing_temperature(fluid), -35 + CELSIUS) + 0.01


@pytest.fixture(scope="module")
def water_rows():
    from iapws._iapws import _Viscosity
    from iapws.iapws97 import _PSat_T, _Region1

    rows = []
    for temperature in off_nodes(CELSIUS, 200 + CELSIUS, 1999):
        saturation = float(_PSat_T(temperature))
        liquid = _Region1(temperature, max(0.101325, saturation))
        density = 1 / liquid["v"]
        viscosity = _Viscosity(density, temperature)
        rows.append((temperature, density, saturation * 1e6, viscosity, liquid["cp"] * 1e3))
    return rows


@pytest.mark.native
class TestAgainstLiveLibraries:
    """Two libraries, read where the tables have no node."""

    def test_water_density(self, water_rows):
        for temperature, density, *_ in water_rows:
            assert fluids.density(WATER, temperature) == pytest.approx(density, rel=1e-4)

    def test_vapour_pressure(self, water_rows):
        for temperature, _, pressure, *_ in water_rows:
            assert fluids.vapour_pressure(temperature) == pytest.approx(pressure, rel=5e-4)

    def test_saturation_temperature(self, water_rows):
        for temperature, _, pressure, *_ in water_rows:
            assert fluids.saturation_temperature(pressure) == pytest.approx(temperature, abs=0.005)

    def test_water_viscosity(self, water_rows):
        for temperature, _, _, viscosity, _ in water_rows:
            assert fluids.dynamic_viscosity(WATER, temperature) == pytest.approx(
                viscosity, rel=2e-3
            )

    def test_water_specific_heat(self, water_rows):
        for temperature, *_, specific_heat in water_rows:
            assert fluids.specific_heat(WATER, temperature) == pytest.approx(
                specific_heat, rel=5e-4
            )

    def test_enthalpies(self):
        """Enthalpy is zero at the triple point, where a relative band would be empty: +- 1 J/kg."""
        import iapws

        for temperature in off_nodes(CELSIUS, 200 + CELSIUS, 67):
            liquid = iapws.IAPWS97(T=temperature, x=0).h * 1e3
            steam = iapws.IAPWS97(T=temperature, x=1).h * 1e3
            assert fluids.specific_enthalpy(temperature) == pytest.approx(liquid, rel=5e-4, abs=1)
            assert fluids.enthalpy_of_vaporisation(temperature) == pytest.approx(
                steam - liquid, rel=5e-4
            )

    @pytest.mark.parametrize(("substance", "key"), GLYCOLS.items())
    def test_glycol(self, substance, key):
        import CoolProp
        from CoolProp import AbstractState

        state = AbstractState("INCOMP", key)
        for share in off_nodes(0.10, 0.60, 41):
            state.set_volu_fractions([share])
            freezing = state.keyed_output(CoolProp.iT_freeze)
            fluid = Fluid(substance, share)
            assert fluids.freezing_temperature(fluid) == pytest.approx(freezing, abs=0.01)
            for temperature in off_nodes(max(freezing + 0.01, 238.15), 373.15, 23):
                state.update(CoolProp.PT_INPUTS, 1e6, temperature)
                assert fluids.density(fluid, temperature) == pytest.approx(
                    state.rhomass(), rel=2e-4
                )
                assert fluids.dynamic_viscosity(fluid, temperature) == pytest.approx(
                    state.viscosity(), rel=2e-3
                )
                assert fluids.specific_heat(fluid, temperature) == pytest.approx(
                    state.cpmass(), rel=2e-4
                )

    def test_second_opinion_on_water(self):
        """IF97 is a fit to IAPWS-95; the scientific formulation itself agrees."""
        from CoolProp.CoolProp import PropsSI

        for temperature in off_nodes(CELSIUS, 99 + CELSIUS, 50):
            there = PropsSI("D", "T", temperature, "P", 101325, "Water")
            assert fluids.density(WATER, temperature) == pytest.approx(there, rel=3e-5)

    def test_the_committed_tables_are_those_of_the_pinned_libraries(self):
        import CoolProp
        import iapws

        tables = Path(fluids.__file__).parent / "tables"
        versions = {"iapws": iapws.__version__, "CoolProp": CoolProp.__version__}
        for path in tables.glob("*.json"):
            table = json.loads(path.read_text(encoding="utf-8"))
            assert table["version"] == versions[table["library"]], path.name


def test_water_is_densest_near_four_degrees():
    places = [CELSIUS + 0.05 * i for i in range(200)]
    assert max(places, key=fluids.water_density) - CELSIUS == pytest.approx(4.0, abs=0.1)


def test_water_falls_in_density_on_both_sides_of_its_densest():
    cold = [fluids.water_density(CELSIUS + 0.1 * i) for i in range(39)]
    hot = [fluids.water_density(CELSIUS + 4.1 + 0.5 * i) for i in range(392)]
    assert cold == sorted(cold)
    assert hot == sorted(hot, reverse=True)


@pytest.mark.parametrize(
    ("function", "rises"),
    [
        (fluids.vapour_pressure, True),
        (fluids.specific_enthalpy, True),
        (fluids.enthalpy_of_vaporisation, False),
        (lambda t: fluids.dynamic_viscosity(WATER, t), False),
    ],
    ids=["vapour pressure", "enthalpy", "vaporisation", "viscosity"],
)
def test_water_property_is_monotone(function, rises):
    values = [function(CELSIUS + 0.3 * i) for i in range(667)]
    pairs = itertools.pairwise(values if rises else values[::-1])
    assert all(a < b for a, b in pairs)


def test_boiling_point_undoes_vapour_pressure():
    for i in range(401):
        temperature = CELSIUS + 0.5 * i
        back = fluids.saturation_temperature(fluids.vapour_pressure(temperature))
        assert back == pytest.approx(temperature, abs=1e-6)


def test_specific_volume_is_one_over_density():
    fluid = Fluid("ethylene glycol", 0.35)
    product = fluids.specific_volume(fluid, 330.0) * fluids.density(fluid, 330.0)
    assert product == pytest.approx(1.0, rel=1e-12)


def test_vaporisation_heat_follows_the_slope_of_the_saturation_line():
    """Clapeyron: latent heat = T (v'' - v') dp/dT, with steam as an ideal gas near 20 degC."""
    temperature, step = 293.15, 0.5
    slope = (
        fluids.vapour_pressure(temperature + step) - fluids.vapour_pressure(temperature - step)
    ) / (2 * step)
    steam_volume = 461.52 * temperature / fluids.vapour_pressure(temperature)
    expected = temperature * steam_volume * slope
    assert fluids.enthalpy_of_vaporisation(temperature) == pytest.approx(expected, rel=0.003)


def test_specific_heat_is_the_slope_of_enthalpy():
    """Along the saturation line the slope of enthalpy is the specific heat, below 100 degC."""
    for celsius in (20.5, 50.5, 80.5):
        t = celsius + CELSIUS
        slope = fluids.specific_enthalpy(t + 0.5) - fluids.specific_enthalpy(t - 0.5)
        assert slope == pytest.approx(fluids.specific_heat(WATER, t), rel=1e-3)


@pytest.mark.parametrize("fluid", mixtures(), ids=lambda f: f"{f.substance} {f.volume_fraction}")
def test_mixture_falls_in_density_and_viscosity_as_it_warms(fluid):
    first = liquid_from(fluid)
    places = [first + (373.15 - first) * i / 60 for i in range(61)]
    densities = [fluids.density(fluid, t) for t in places]
    viscosities = [fluids.dynamic_viscosity(fluid, t) for t in places]
    assert all(a > b for a, b in itertools.pairwise(densities))
    assert all(a > b for a, b in itertools.pairwise(viscosities))


@pytest.mark.parametrize("substance", GLYCOLS)
def test_more_glycol_is_denser_thicker_and_freezes_lower(substance):
    row = [Fluid(substance, share) for share in SHARES]
    for a, b in itertools.pairwise(row):
        assert fluids.density(a, 293.15) < fluids.density(b, 293.15)
        assert fluids.dynamic_viscosity(a, 293.15) < fluids.dynamic_viscosity(b, 293.15)
        assert fluids.freezing_temperature(a) > fluids.freezing_temperature(b)


@pytest.mark.parametrize("substance", GLYCOLS)
def test_no_glycol_is_water(substance):
    fluid = Fluid(substance, 0.0)
    for function in (fluids.density, fluids.dynamic_viscosity, fluids.specific_heat):
        assert function(fluid, 340.0) == function(WATER, 340.0)
    assert fluids.freezing_temperature(fluid) == CELSIUS


@pytest.mark.parametrize(
    "ask",
    [
        lambda: fluids.density(WATER, CELSIUS - 0.1),
        lambda: fluids.density(WATER, CELSIUS + 200.1),
        lambda: fluids.vapour_pressure(CELSIUS - 5),
        lambda: fluids.specific_enthalpy(CELSIUS + 210),
        lambda: fluids.enthalpy_of_vaporisation(CELSIUS + 400),
        lambda: fluids.dynamic_viscosity(WATER, 0.0),
        lambda: fluids.specific_heat(WATER, -10.0),
        lambda: fluids.saturation_temperature(100.0),
        lambda: fluids.saturation_temperature(2e6),
        lambda: fluids.density(Fluid("propylene glycol", 0.3), CELSIUS + 100.1),
        lambda: fluids.dynamic_viscosity(Fluid("ethylene glycol", 0.6), CELSIUS - 36),
        lambda: Fluid("propylene glycol", 0.05),
        lambda: Fluid("ethylene glycol", 0.65),
        lambda: Fluid("ethylene glycol", -0.2),
        lambda: Fluid("water", 0.3),
    ],
)
def test_outside_a_table_is_refused_with_the_mend(ask):
    with pytest.raises(Refusal, match=r"\. (Enter|Choose) .+\.$"):
        ask()


def test_frozen_mixture_is_refused_by_its_freezing_point():
    with pytest.raises(Refusal, match="below its freezing point") as caught:
        fluids.density(Fluid("propylene glycol", 0.2), CELSIUS - 10)
    assert "20 % by volume" in str(caught.value)
    assert "°F" in caught.value.message.text("us")


def test_refusal_names_both_ends_of_the_range():
    with pytest.raises(Refusal) as caught:
        fluids.density(WATER, CELSIUS + 250)
    assert "250" in str(caught.value)
    assert "200" in str(caught.value)


def test_unknown_substance_is_a_slip_of_the_program():
    with pytest.raises(ValueError, match="none of"):
        Fluid("brine", 0.2)


def test_ends_of_a_table_survive_the_rounding_of_a_unit():
    boiling = (212.0 - 32.0) / 1.8 + 273.15
    assert math.isfinite(fluids.density(Fluid("propylene glycol", 0.3), boiling + 1e-9))
    assert fluids.density(WATER, 273.15 - 1e-9) == pytest.approx(999.84, abs=0.01)


@pytest.mark.native
@pytest.mark.parametrize("name", ["water", *GLYCOLS])
def test_baking_again_gives_the_committed_table(name):
    import bake_fluids

    path = bake_fluids.TABLES / f"{name.replace(' ', '-')}.json"
    committed = json.loads(path.read_text(encoding="utf-8"))
    if name == "water":
        again = bake_fluids.water_table()
    else:
        again = bake_fluids.glycol_table(name, GLYCOLS[name])
    assert again.keys() == committed.keys()
    for key, value in again.items():
        if key in ("what", "range", "library", "version", "units"):
            assert value == committed[key]
        elif isinstance(value, dict):
            assert value == pytest.approx(committed[key])
        else:
            rows = value if isinstance(value[0], list) else [value]
            there = committed[key] if isinstance(value[0], list) else [committed[key]]
            for a, b in zip(rows, there, strict=True):
                assert a == pytest.approx(b, rel=1e-6, abs=1e-12)


@pytest.mark.parametrize("pressure_abs", [100.0, 5e7])
def test_a_boiling_point_outside_the_table_is_refused_with_its_bounds(pressure_abs):
    with pytest.raises(Refusal) as refused:
        fluids.saturation_temperature(pressure_abs)
    said = as_text(refused.value.message, "si")
    assert re.search(
        r"at \S+ bar abs is .* from \S+ bar abs to \S+ bar abs\.", said.replace("\xa0", " ")
    )
