"""Condensate: laws of the functions, the chemistry against PHREEQC, and the calculator."""

import math

import pytest

from calc import condensate, neutraliser
from calc.bridge import run
from calc.calculators.condensate_neutraliser import CALCULATOR
from calc.calculators.condensate_neutraliser.judging import ALKALINE
from calc.fluids import vapour_pressure
from calc.model import Refusal

ID = CALCULATOR.id
FUELS = (condensate.METHANE, condensate.PROPANE, condensate.OIL)
FLUE_CO2 = 0.09 * 101325.0


def answered(entries, system="si"):
    answer = run(ID, entries, system)
    assert "errors" not in answer, answer
    return answer


def results(entries, system="si"):
    return {r["name"]: r["value"] for r in answered(entries, system)["results"]}


def checks(entries, system="si"):
    return {c["id"]: c for c in answered(entries, system)["checks"]}


def refusal(entries):
    (error,) = run(ID, entries)["errors"]
    return error


@pytest.mark.native
@pytest.mark.parametrize(
    ("name", "fuel"), [("methane", condensate.METHANE), ("propane", condensate.PROPANE)]
)
def test_fuels_agree_with_a_library_of_chemical_data(name, fuel):
    chemicals = pytest.importorskip("chemicals")
    combustion = pytest.importorskip("chemicals.combustion")
    cas = chemicals.CAS_from_any(name)
    found = combustion.combustion_data(
        {"C": fuel.carbon, "H": fuel.hydrogen}, Hf=chemicals.Hfg(cas), MW=chemicals.MW(cas)
    )
    assert fuel.lower == pytest.approx(-found.LHV, rel=1e-4)
    assert fuel.higher == pytest.approx(-found.HHV, rel=1e-4)
    assert fuel.carbon == found.stoichiometry["CO2"]
    assert fuel.hydrogen / 2 == found.stoichiometry["H2O"]
    assert fuel.carbon + fuel.hydrogen / 4 == -found.stoichiometry["O2"]
    assert pytest.approx(chemicals.MW("7732-18-5") / 1000, rel=1e-5) == condensate.WATER_MOLAR_MASS


@pytest.mark.native
def test_media_agree_with_a_library_of_chemical_data():
    chemicals = pytest.importorskip("chemicals")
    for name, cas, acids in (("limestone", "471-34-1", 2), ("magnesia", "1309-48-4", 2)):
        found = chemicals.MW(cas) / acids / 1000
        assert neutraliser.MEDIA[name].per_acid == pytest.approx(found, rel=1e-5)
    dolomite = (40.078 + 24.305 + 2 * 60.0089) / 4 / 1000
    assert neutraliser.MEDIA["dolomite"].per_acid == pytest.approx(dolomite, rel=1e-5)


@pytest.fixture(scope="module")
def phreeqc():
    phreeqpython = pytest.importorskip("phreeqpython")
    return phreeqpython.PhreeqPython(database="phreeqc.dat")


@pytest.mark.native
@pytest.mark.parametrize("celsius", [5, 10, 25, 40, 60])
@pytest.mark.parametrize("millimoles", [0.05, 0.3, 1.0, 5.0])
@pytest.mark.parametrize("log_pressure", [-1.3, -1.046, -0.8])
def test_limestone_agrees_with_phreeqc(phreeqc, celsius, millimoles, log_pressure):
    gas = 10**log_pressure * 101325.0
    temperature = celsius + 273.15
    for law, closed in (
        (neutraliser.equilibrium_closed, True),
        (neutraliser.equilibrium_held, False),
    ):
        solution = phreeqc.add_solution_simple({"HNO3": millimoles}, celsius)
        if closed:
            solution.equalize(["CO2(g)"], [log_pressure])
            solution.equalize(["Calcite"], [0])
        else:
            solution.equalize(["Calcite", "CO2(g)"], [0, log_pressure])
        found = law(millimoles, gas, temperature)
        assert found.ph == pytest.approx(solution.pH, abs=0.01)
        assert found.dissolved == pytest.approx(solution.total("Ca", units="mmol"), rel=0.01)
        solution.forget()


@pytest.mark.native
@pytest.mark.parametrize("celsius", [10, 25, 40])
def test_dolomite_is_near_phreeqc(phreeqc, celsius):
    solution = phreeqc.add_solution_simple({"HNO3": 1.0}, celsius)
    solution.equalize(["Dolomite", "CO2(g)"], [0, -1.046])
    found = neutraliser.equilibrium_held(1.0, FLUE_CO2, celsius + 273.15, dolomite=True)
    assert found.ph == pytest.approx(solution.pH, abs=0.01)
    # Ion pairs of magnesium are not those of calcium.
    both = solution.total("Ca", units="mmol") + solution.total("Mg", units="mmol")
    assert found.dissolved == pytest.approx(both, rel=0.01)


@pytest.mark.native
@pytest.mark.parametrize("celsius", [5, 25, 50])
def test_carbonic_acid_agrees_with_phreeqc(phreeqc, celsius):
    solution = phreeqc.add_solution_simple({}, celsius)
    solution.equalize(["CO2(g)"], [-1.046])
    gas, temperature = 10**-1.046 * 101325.0, celsius + 273.15
    assert neutraliser.ph_of_carbonic_acid(gas, temperature) == pytest.approx(solution.pH, abs=0.01)
    assert neutraliser.dissolved_gas(gas, temperature) == pytest.approx(
        solution.total("C", units="mmol"), rel=0.02
    )


@pytest.mark.native
def test_magnesia_overshoots_to_the_ph_that_its_help_names(phreeqc):
    """Magnesia in water is brucite, of solubility product 5.6e-12 at 25 degC (from memory)."""
    phreeqc.ip.run_string(
        "PHASES\nBrucite\n Mg(OH)2 + 2H+ = Mg+2 + 2H2O\n"
        f" log_k {28 + math.log10(5.6e-12):.3f}\nEND\n"
    )
    found = {}
    for millimoles in (0.001, 1.0):
        solution = phreeqc.add_solution_simple({"HNO3": millimoles}, 25)
        solution.equalize(["Brucite"], [0])
        found[millimoles] = solution.pH
        solution.forget()
    assert found[0.001] == pytest.approx(10.3, abs=0.1)
    assert "pH 10.3" in CALCULATOR.input("medium").help
    assert found[1.0] > ALKALINE


@pytest.mark.parametrize("dolomite", [False, True])
@pytest.mark.parametrize("celsius", [5, 25, 60])
def test_no_carbonate_stone_takes_condensate_as_far_as_an_overshoot(celsius, dolomite):
    """Even thin flue gas, 3 % of carbon dioxide, holds the water well below."""
    thin, temperature = 0.03 * 101325.0, celsius + 273.15
    for acid in (0.001, 1.0, 10.0):
        for law in (neutraliser.equilibrium_held, neutraliser.equilibrium_closed):
            assert law(acid, thin, temperature, dolomite=dolomite).ph < ALKALINE - 1.0


@pytest.mark.parametrize(
    ("medium", "mend"), [("magnesia", "limestone alone"), ("limestone", "cleaning agent")]
)
@pytest.mark.parametrize(("ph", "status"), [("10.0", "pass"), ("10.1", "fail"), ("10.3", "fail")])
def test_an_overshoot_starts_past_ph_ten_for_any_filling(medium, mend, ph, status):
    found = checks({"outlet_ph": ph, "medium": medium})
    assert found["outlet"]["status"] == status
    assert (mend in found["outlet"]["message"]) == (status == "fail")


@pytest.mark.parametrize("fuel", FUELS)
def test_burning_keeps_its_atoms(fuel):
    """Count the oxygen: what the air brings is in the dry gas, the water or the CO2."""
    air_ratio = 1.4
    oxygen = (fuel.carbon + fuel.hydrogen / 4) * air_ratio
    nitrogen = condensate.NITROGEN_PER_OXYGEN * oxygen
    left = oxygen - fuel.carbon - fuel.hydrogen / 4
    assert condensate.dry_gas(fuel.carbon, fuel.hydrogen, air_ratio) == pytest.approx(
        fuel.carbon + nitrogen + left
    )


@pytest.mark.parametrize("fuel", FUELS)
def test_the_heating_values_lie_apart_by_the_heat_of_condensing(fuel):
    water = fuel.hydrogen / 2 * condensate.WATER_MOLAR_MASS
    assert (fuel.higher - fuel.lower) / water == pytest.approx(2.442e6, rel=2e-3)


@pytest.mark.parametrize("fuel", FUELS)
def test_at_the_dew_point_nothing_has_condensed(fuel):
    dry = condensate.dry_gas(fuel.carbon, fuel.hydrogen, 1.25)
    water = fuel.hydrogen / 2
    pressure = condensate.dew_pressure(dry, water, 94e3)
    left = condensate.vapour_left(dry, pressure, 94e3)
    assert left == pytest.approx(water)
    assert condensate.condensed_share(left * 1.2, water) == 0
    assert condensate.condensed_share(0.0, water) == 1


def test_the_gases_fill_the_pressure():
    dry = condensate.dry_gas(1.0, 4.0, 1.25)
    saturation = vapour_pressure(313.15)
    gas = condensate.carbon_dioxide_pressure(1.0, dry, saturation, 101325.0)
    assert gas * dry + saturation == pytest.approx(101325.0)


def test_planning_figures_stay_below_what_burning_makes():
    for fuel in FUELS:
        most = condensate.water_of_combustion(fuel.hydrogen, fuel.lower)
        assert 0.7 * most < fuel.planning < most


def test_propane_s_figure_to_plan_with_is_that_of_natural_gas_in_the_ratio_of_their_water():
    methane, propane = (
        condensate.water_of_combustion(f.hydrogen, f.lower)
        for f in (condensate.METHANE, condensate.PROPANE)
    )
    expected = condensate.METHANE.planning * propane / methane
    assert round(expected * 3.6e6, 2) == pytest.approx(condensate.PROPANE.planning * 3.6e6)
    steps = {}
    for fuel in ("gas", "propane"):
        entries = {"amount": "planned", "fuel": fuel}
        (steps[fuel],) = (s for s in answered(entries)["steps"] if "m_p" in s["formula"])
    assert "A 251" in steps["gas"]["source"]["text"]
    assert steps["propane"]["source"]["key"] == "own-rule"


def test_flue_gas_at_boiling_is_refused():
    with pytest.raises(Refusal, match="nothing condenses"):
        condensate.vapour_left(10.9, 101325.0, 101325.0)


def test_more_acid_gas_and_cold_dissolve_more():
    base = neutraliser.equilibrium_held(1.0, FLUE_CO2, 298.15).dissolved
    assert neutraliser.equilibrium_held(2.0, FLUE_CO2, 298.15).dissolved > base
    assert neutraliser.equilibrium_held(1.0, 1.5 * FLUE_CO2, 298.15).dissolved > base
    assert neutraliser.equilibrium_held(1.0, FLUE_CO2, 283.15).dissolved > base


@pytest.mark.parametrize("dolomite", [False, True])
def test_carbon_dioxide_dissolves_more_than_the_acid_alone(dolomite):
    for acid in (0.1, 1.0, 10.0):
        closed = neutraliser.equilibrium_closed(acid, FLUE_CO2, 298.15, dolomite=dolomite)
        held = neutraliser.equilibrium_held(acid, FLUE_CO2, 298.15, dolomite=dolomite)
        assert acid / 2 < min(closed.dissolved, held.dissolved)


def test_much_acid_makes_more_gas_than_the_flue_brings():
    def both(acid):
        laws = (neutraliser.equilibrium_closed, neutraliser.equilibrium_held)
        return [law(acid, FLUE_CO2, 298.15).dissolved for law in laws]

    closed, held = both(1.0)
    assert closed < held
    closed, held = both(12.0)
    assert closed > held
    oil = {"fuel": "oil-standard", "flue": "40 degC", "acid_ph": "1.8"}
    found = results(oil)
    assert found["use_most"] == pytest.approx(found["use_likely"])
    assert found["shortest"] == pytest.approx(found["likely"])


def test_constants_outside_liquid_water_are_refused():
    with pytest.raises(Refusal, match="hold for water"):
        neutraliser.dissolved_gas(FLUE_CO2, 260.0)


def test_without_flow_there_is_no_time():
    with pytest.raises(Refusal, match="No condensate"):
        neutraliser.contact_time(1e-3, 0.0)
    with pytest.raises(Refusal, match="nothing is used up"):
        neutraliser.lasting_time(5.0, 0.95, 0.7, 0.0, 0.3)


def test_months_are_counted_over_the_turn_of_the_year():
    year = neutraliser.YEAR
    assert neutraliser.months_later(2026, 11, 0.0) == (2026, 11)
    assert neutraliser.months_later(2026, 12, year / 12 * 1.001) == (2027, 1)
    assert neutraliser.months_later(2026, 1, year * 2.001) == (2028, 1)
    assert neutraliser.months_later(2026, 1, year / 12 * 10.999) == (2026, 11)


def test_the_three_times_stand_in_order_and_the_dates_with_them():
    found = results({"acid_ph": "3.0"})
    assert found["shortest"] < found["likely"] < found["longest"]
    assert found["use_least"] < found["use_likely"] < found["use_most"]
    assert found["due"] < found["latest"]
    assert found["mass_most"] == pytest.approx(found["yearly"] * found["use_most"] / 1000)
    usable = 10 * 0.95 * 0.7
    assert found["mass_most"] * found["shortest"] == pytest.approx(usable, rel=1e-6)
    assert found["mass_least"] * found["longest"] == pytest.approx(usable, rel=1e-6)


def test_both_heating_values_tell_of_the_same_boiler():
    lower = results({"power": "61 kW", "basis": "lower"})
    higher = results({"power": f"{61 * 890.590 / 802.567} kW", "basis": "higher"})
    assert higher["yearly"] == pytest.approx(lower["yearly"], rel=1e-6)
    planned = {"amount": "planned"}
    lower = results({**planned, "power": "61 kW", "basis": "lower"})
    higher = results({**planned, "power": f"{61 * 890.590 / 802.567} kW", "basis": "higher"})
    assert higher["yearly"] == pytest.approx(lower["yearly"], rel=1e-6)


def test_a_flue_above_its_dew_point_is_refused():
    error = refusal({"flue": "60 degC"})
    assert error["field"] == "flue"
    assert refusal({"flue": "90 degC", "altitude": "5000 m"})["field"] == "flue"


def test_colder_flue_gas_and_thicker_air_leave_more():
    def per_heat(**entries):
        return results(entries)["per_heat"]

    assert per_heat(flue="35 degC") > per_heat(flue="45 degC") > per_heat(flue="52 degC")
    assert per_heat(altitude="0 m") > per_heat(altitude="2000 m")
    assert per_heat(air_ratio="1.1") > per_heat(air_ratio="1.6")


@pytest.mark.parametrize(
    ("ph", "status", "words"),
    [("6.4", "fail", "refill it now"), ("6.6", "pass", "can wait"), ("10.1", "fail", "overshoots"),
     ("", "caution", "Not measured")],
)  # fmt: skip
def test_the_measured_outlet_overrules_the_dates(ph, status, words):
    found = checks({"outlet_ph": ph})["outlet"]
    assert found["status"] == status
    assert words in found["message"]


def test_an_overshoot_is_blamed_on_magnesia_only_where_there_is_some():
    with_it = checks({"outlet_ph": "10.3", "medium": "magnesia"})["outlet"]["message"]
    assert "limestone alone" in with_it
    assert "cleaning agent" in checks({"outlet_ph": "10.3"})["outlet"]["message"]


def test_contact_turns_at_ten_minutes_and_at_an_hour():
    entries = {"amount": "measured", "measured": "3.6 L/h", "porosity": "50 %"}
    # With half of the bed water, m/2.65 litres stand in it.
    for mass, status in (("1.58 kg", "fail"), ("1.60 kg", "caution"), ("9.52 kg", "caution"),
                         ("9.56 kg", "pass")):  # fmt: skip
        assert checks({**entries, "mass": mass})["contact"]["status"] == status


def test_more_condensate_than_burning_makes_is_seen():
    entries = {"amount": "measured"}
    # 61 kW on the lower value make at most 9.86 L/h, and 10.84 with moist air.
    assert checks({**entries, "measured": "10.8 L/h"})["amount"]["status"] == "pass"
    assert checks({**entries, "measured": "10.9 L/h"})["amount"]["status"] == "fail"


@pytest.mark.parametrize(
    ("fuel", "ph", "status"),
    [("gas", "2.7", "caution"), ("gas", "2.9", "pass"), ("gas", "5.6", "caution"),
     ("oil", "1.4", "caution"), ("oil", "2.7", "pass"), ("oil", "3.6", "caution")],
)  # fmt: skip
def test_a_ph_that_condensate_does_not_have_is_doubted(fuel, ph, status):
    assert checks({"fuel": fuel, "acid_ph": ph, "flue": "40 degC"})["acid"]["status"] == status


def test_carbon_dioxide_alone_is_told_from_strong_acid():
    assert "strong acid from" in checks({"acid_ph": "4.4"})["acid"]["message"]
    assert "next to no strong acid" in checks({"acid_ph": "4.6"})["acid"]["message"]


@pytest.mark.parametrize(
    ("entries", "needed"),
    [
        ({"power": "24.9 kW"}, "no"),
        ({"power": "25 kW", "wastewater": "10 m3"}, "yes"),
        ({"power": "27 kW", "basis": "higher", "wastewater": "10 m3"}, "no"),
        ({"power": "200 kW", "wastewater": "100000 m3"}, "no"),
        ({"power": "201 kW", "wastewater": "100000 m3"}, "yes"),
        ({"power": "10 kW", "small_plant": "yes"}, "yes"),
        ({"power": "10 kW", "drain": "cement"}, "yes"),
        ({"power": "10 kW", "fuel": "oil-standard", "flue": "40 degC"}, "yes"),
        ({"power": "10 kW", "fuel": "oil", "flue": "40 degC"}, "no"),
        ({"rule": "us", "acid_ph": "4.9"}, "yes"),
        ({"rule": "us", "acid_ph": "5.1"}, "no"),
        ({"rule": "uk"}, "not by this clause"),
    ],
)
def test_who_asks_for_it(entries, needed):
    assert results(entries)["needed"] == needed


def test_mixing_is_twenty_five_times_and_decides():
    mixing = results({})["mixing"]
    assert mixing == pytest.approx(25 * results({})["yearly"] / 1000)
    assert results({"wastewater": f"{mixing * 1.001} m3"})["needed"] == "no"
    assert results({"wastewater": f"{mixing * 0.999} m3"})["needed"] == "yes"


def test_asked_for_and_not_shown_is_no_pass():
    entries = {"power": "300 kW"}
    assert checks({**entries, "outlet_ph": ""})["rule"]["status"] == "caution"
    assert checks({**entries, "outlet_ph": "5"})["rule"]["status"] == "fail"
    assert checks({**entries, "outlet_ph": "7"})["rule"]["status"] == "pass"


def test_pipes_that_condensate_eats():
    for pipe in ("metal", "cement"):
        assert checks({"drain": pipe, "outlet_ph": "7"})["drain"]["status"] == "caution"
        assert checks({"drain": pipe, "outlet_ph": ""})["drain"]["status"] == "fail"
        assert checks({"drain": pipe, "outlet_ph": "6"})["drain"]["status"] == "fail"


@pytest.mark.parametrize(
    ("place", "bore", "status"),
    [("inside", "18.9 mm", "fail"), ("inside", "19 mm", "pass"), ("outside", "29.9 mm", "fail"),
     ("outside", "30 mm", "pass")],
)  # fmt: skip
def test_bores_asked_in_the_uk(place, bore, status):
    assert checks({"rule": "uk", "place": place, "bore": bore})["bore"]["status"] == status


def test_the_chart_of_the_flue_gas_runs_through_the_result():
    answer = answered({})
    chart = next(c for c in answer["charts"] if c["id"] == "yield")
    (mark,) = chart["marks"]
    (series,) = chart["series"]
    below = max(p for p in series["points"] if p[0] <= mark["x"])
    above = min(p for p in series["points"] if p[0] >= mark["x"])
    assert above[1] <= mark["y"] <= below[1]


def test_the_chart_of_the_filling_ends_where_each_use_has_used_it_up():
    found = results({})
    chart = next(c for c in answered({})["charts"] if c["id"] == "filling")
    series = {one["label"]: one["points"] for one in chart["series"]}
    assert list(series) == ["most use", "likely use", "least use"]
    assert [one["role"] for one in chart["series"]] == ["main", "other", "other"]
    ends = {label: points[-1] for label, points in series.items()}
    assert ends["most use"] == pytest.approx([found["shortest"], 0.0], abs=1e-9)
    assert ends["likely use"] == pytest.approx([found["likely"], 0.0], abs=1e-9)
    assert ends["least use"][0] == pytest.approx(min(found["longest"], 1.5 * found["likely"]))


@pytest.mark.parametrize("law", [neutraliser.dissolved_gas, neutraliser.ph_of_carbonic_acid])
def test_the_constants_hold_from_freezing_to_boiling_both_ends_counted(law):
    for inside in (273.15, 373.15):
        assert law(FLUE_CO2, inside) > 0
    for outside in (273.14, 373.16):
        with pytest.raises(Refusal, match="hold for water"):
            law(FLUE_CO2, outside)


def test_what_never_flows_is_refused_at_the_flue_gas():
    for law, given in (
        (neutraliser.lasting_time, (5.0, 0.95, 0.7, 0.0, 0.3)),
        (neutraliser.contact_time, (1e-3, 0.0)),
    ):
        with pytest.raises(Refusal) as refused:
            law(*given)
        assert refused.value.field == "flue"
        assert refused.value.cite


def test_the_constants_of_activity_are_those_printed_for_25_degrees():
    """A 0.5085 and B 0.3281 at 25 degC: Truesdell and Jones 1974, from memory."""
    found = neutraliser._constants(298.15)
    assert found.debye == pytest.approx(0.5085, abs=5e-5)
    assert found.size == pytest.approx(0.3281, abs=5e-5)
