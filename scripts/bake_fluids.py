#!/usr/bin/env python3
"""Write the fluid tables in calc/fluids/tables/ from iapws and CoolProp.

    python scripts/bake_fluids.py

The tables are committed, like a printed table would be. They change only when a library's
pinned version changes, so the libraries themselves never have to ship.
"""

import json
import math
from pathlib import Path

TABLES = Path(__file__).resolve().parent.parent / "calc" / "fluids" / "tables"

ZERO_CELSIUS = 273.15
ATMOSPHERE_MPA = 0.101325
WATER_LAST_CELSIUS = 200
"""High enough for the boiling point at the fullest lift of a 160 psi (11 bar) relief valve."""

GLYCOLS = {"propylene glycol": "APG", "ethylene glycol": "AEG"}
GLYCOL_TEMPERATURE_STEP = 5.0
GLYCOL_FRACTION_STEP = 0.025
SINGLE_PHASE_PRESSURE = 1e6
"""Any pressure that keeps the mixture liquid: these sets do not depend on it. [Pa]"""

POLYNOMIAL_DEGREE = 5
POLYNOMIAL_RESIDUAL = 1e-7


def water_table():
    """Return the table of water from IF97, each kelvin."""
    import iapws
    from iapws._iapws import _Viscosity
    from iapws.iapws97 import _PSat_T, _Region1

    columns = {
        name: []
        for name in (
            "density",
            "specific_heat",
            "dynamic_viscosity",
            "vapour_pressure",
            "specific_enthalpy",
            "enthalpy_of_vaporisation",
        )
    }
    for celsius in range(WATER_LAST_CELSIUS + 1):
        temperature = ZERO_CELSIUS + celsius
        saturation = float(_PSat_T(temperature))
        liquid = _Region1(temperature, max(ATMOSPHERE_MPA, saturation))
        density = 1.0 / liquid["v"]
        boiling = iapws.IAPWS97(T=temperature, x=0)
        steam = iapws.IAPWS97(T=temperature, x=1)
        row = {
            "density": (density, 8),
            "specific_heat": (liquid["cp"] * 1e3, 7),
            "dynamic_viscosity": (_Viscosity(density, temperature), 7),
            "vapour_pressure": (saturation * 1e6, 8),
            "specific_enthalpy": (boiling.h * 1e3, 8),
            "enthalpy_of_vaporisation": ((steam.h - boiling.h) * 1e3, 8),
        }
        for name, (value, digits) in row.items():
            columns[name].append(rounded(value, digits))
    return {
        "library": "iapws",
        "version": iapws.__version__,
        "what": "Water from IAPWS Industrial Formulation 1997; density, specific heat and "
        "viscosity of the liquid at one atmosphere, or at saturation where that is "
        "higher; specific enthalpy of the saturated liquid.",
        "range": f"0 to {WATER_LAST_CELSIUS} degC",
        "units": {
            "temperature": "K",
            "density": "kg/m3",
            "specific_heat": "J/(kg K)",
            "dynamic_viscosity": "Pa s",
            "vapour_pressure": "Pa absolute",
            "specific_enthalpy": "J/kg",
            "enthalpy_of_vaporisation": "J/kg",
        },
        "temperature": {"first": ZERO_CELSIUS, "step": 1.0, "count": WATER_LAST_CELSIUS + 1},
        **columns,
    }


def glycol_table(substance, key):
    """Return the table of one glycol from CoolProp's ASHRAE set, by volume fraction."""
    import CoolProp
    from CoolProp import AbstractState
    from CoolProp import CoolProp as props

    state = AbstractState("INCOMP", key)
    first, last = (state.keyed_output(k) for k in (props.iT_min, props.iT_max))
    least, most = (state.keyed_output(k) for k in (props.ifraction_min, props.ifraction_max))
    temperatures = nodes(first, last, GLYCOL_TEMPERATURE_STEP)
    fractions = nodes(least, most, GLYCOL_FRACTION_STEP)

    surfaces = {"density": [], "specific_heat": [], "dynamic_viscosity": []}
    freezing = []
    for fraction in fractions:
        state.set_volu_fractions([fraction])
        freezes = state.keyed_output(props.iT_freeze)
        freezing.append(rounded(freezes, 8))
        liquid = [t for t in temperatures if t > freezes]
        found = {name: [] for name in surfaces}
        for temperature in liquid:
            state.update(props.PT_INPUTS, SINGLE_PHASE_PRESSURE, temperature)
            found["density"].append(state.rhomass())
            found["specific_heat"].append(state.cpmass())
            found["dynamic_viscosity"].append(state.viscosity())
        for name, values in found.items():
            logarithmic = name == "dynamic_viscosity"
            row = continued(temperatures, liquid, values, logarithmic)
            surfaces[name].append([rounded(value, 8) for value in row])
    return {
        "library": "CoolProp",
        "version": CoolProp.__version__,
        "what": f"Aqueous {substance} by volume fraction, ASHRAE 2001 set INCOMP::{key}. Values "
        "under the freezing point continue the library's own polynomial: they support "
        "the interpolation next to the freezing line and are never given out.",
        "range": f"{100 * least:.0f} to {100 * most:.0f} % by volume, from the freezing point "
        f"or {first - ZERO_CELSIUS:.0f} degC, whichever is higher, to "
        f"{last - ZERO_CELSIUS:.0f} degC",
        "units": {
            "temperature": "K",
            "volume_fraction": "1",
            "density": "kg/m3",
            "specific_heat": "J/(kg K)",
            "dynamic_viscosity": "Pa s",
            "freezing_temperature": "K",
        },
        "temperature": {
            "first": first,
            "step": GLYCOL_TEMPERATURE_STEP,
            "count": len(temperatures),
        },
        "volume_fraction": {"first": least, "step": GLYCOL_FRACTION_STEP, "count": len(fractions)},
        "freezing_temperature": freezing,
        **surfaces,
    }


def nodes(first, last, step):
    """Return evenly spaced nodes that end on `last`, or complain that the step does not fit."""
    count = round((last - first) / step)
    if not math.isclose(first + count * step, last, abs_tol=1e-9):
        raise SystemExit(f"A step of {step} does not divide {first} to {last}.")
    return [first + i * step for i in range(count + 1)]


def continued(temperatures, liquid, values, logarithmic):
    """Return `values` at every temperature, with the library's polynomial where it refuses.

    At one concentration the library's equation is a polynomial in temperature (of the logarithm
    for viscosity), so a fit through its liquid values finds it again. A residual says if not.
    """
    import numpy

    if len(liquid) == len(temperatures):
        return values
    middle = (temperatures[0] + temperatures[-1]) / 2
    targets = numpy.log(values) if logarithmic else numpy.array(values)
    where = (numpy.array(liquid) - middle) / middle
    fit = numpy.polynomial.Polynomial.fit(where, targets, POLYNOMIAL_DEGREE)
    residual = float(numpy.max(numpy.abs(fit(where) / targets - 1)))
    if residual > POLYNOMIAL_RESIDUAL:
        raise SystemExit(f"The library is no polynomial in temperature: residual {residual:.1e}.")
    missing = [fit((t - middle) / middle) for t in temperatures if t not in liquid]
    ahead = [float(numpy.exp(v)) if logarithmic else float(v) for v in missing]
    return ahead + list(values)


def rounded(value, digits):
    """Return `value` to `digits` significant figures."""
    return float(f"{value:.{digits}g}")


def written(table):
    """Return the JSON of a table with each property, or each row of one, on a line."""
    lines = []
    for name, value in table.items():
        if isinstance(value, list) and isinstance(value[0], list):
            rows = ",\n  ".join(json.dumps(row, separators=(",", ":")) for row in value)
            lines.append(f'"{name}": [\n  {rows}\n]')
        else:
            dense = {"separators": (",", ":")} if isinstance(value, list) else {}
            lines.append(f'"{name}": {json.dumps(value, **dense)}')
    return "{\n" + ",\n".join(lines) + "\n}\n"


def main():
    """Write all three tables."""
    TABLES.mkdir(parents=True, exist_ok=True)
    tables = {"water": water_table()}
    for substance, key in GLYCOLS.items():
        tables[substance.replace(" ", "-")] = glycol_table(substance, key)
    for name, table in tables.items():
        path = TABLES / f"{name}.json"
        path.write_text(written(table), encoding="utf-8")
        print(f"{path.name}: {table['range']}, {path.stat().st_size} bytes")


if __name__ == "__main__":
    main()
