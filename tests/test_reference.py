"""The reference tables against printed tables, and the list of letters against the calculators."""

import math
import re

import pytest

from calc import bridge, reference, scalds, threads
from calc import units as u
from calc.calculators import CALCULATORS
from calc.sources import STATUSES
from view import reference as shown


def column(name, label):
    table = reference.table(name)
    index = next(n for n, c in enumerate(table.columns) if c.label.startswith(label))
    return {row[0]: row[index] for row in table.rows}


def near(table, key):
    return next(value for found, value in table.items() if abs(found - key) < 1e-6)


@pytest.mark.parametrize("name", reference.NAMES)
def test_every_table_is_whole_and_names_its_sources(name):
    table = reference.table(name)
    assert table.name == name
    assert table.rows
    assert table.cites
    for row in table.rows:
        assert len(row) == len(table.columns)
        for cell, head in zip(row, table.columns, strict=True):
            if head.kind is None:
                assert isinstance(cell, str)
                assert cell
            else:
                assert cell is None or isinstance(cell, float)
    html = shown.table(name)
    assert html.count("<tr>") == len(table.rows) + 1
    assert html.count('scope="row"') == len(table.rows)
    for cite in table.cites:
        assert f'href="sources.md#source-{cite.source.key}"' in html
        assert f'<em class="status">{cite.status}</em>' in html


def test_an_unknown_table_is_named_with_those_there_are():
    with pytest.raises(KeyError, match="threads-npt"):
        reference.table("threads-bsw")


@pytest.mark.parametrize(
    ("celsius", "density", "vapour"),
    [(10, 999.7, 0.01228), (40, 992.2, 0.07384), (80, 971.8, 0.4741), (100, 958.4, 1.0142)],
)
def test_water_agrees_with_printed_steam_tables(celsius, density, vapour):
    t = celsius + 273.15
    assert near(column("water", "Density"), t) == pytest.approx(density, abs=0.06)
    assert near(column("water", "Vapour"), t) / 1e5 == pytest.approx(vapour, rel=5e-4)


def test_water_below_the_cold_fill_has_no_growth_to_show():
    growth = column("water", "Growth")
    assert near(growth, 277.15) is None
    assert near(growth, 283.15) == 0.0
    assert near(growth, 353.15) == pytest.approx(0.0287, abs=5e-5)


def test_npt_agrees_with_the_printed_table_in_inches():
    printed = {
        "1/2 NPT": (0.320, 4.48, 0.214, 0.534, 0.5337),
        "3/4 NPT": (0.339, 4.75, 0.214, 0.553, 0.5457),
        "1 NPT": (0.400, 4.60, 0.261, 0.661, 0.6828),
        "1 1/4 NPT": (0.420, 4.83, 0.261, 0.681, 0.7068),
        "1 1/2 NPT": (0.420, 4.83, 0.261, 0.681, 0.7235),
        "2 NPT": (0.436, 5.01, 0.261, 0.697, 0.7565),
    }
    found = {row[0]: row[2:] for row in reference.table("threads-npt").rows}
    assert set(found) == set(printed)
    for size, (hand, turns, wrench, inside, effective) in printed.items():
        got = found[size]
        assert got[0] / 0.0254 == pytest.approx(hand, abs=5.1e-4)
        assert got[1] == pytest.approx(turns, abs=5.1e-3)
        assert got[2] / 0.0254 == pytest.approx(wrench, abs=5.1e-4)
        assert got[3] / 0.0254 == pytest.approx(inside, abs=5.1e-4)
        assert got[4] / 0.0254 == pytest.approx(effective, abs=5.1e-5)


def test_iso_7_agrees_with_the_printed_table_in_millimetres():
    printed = {
        "R 1/2": (1.814, 8.2, 5.0, 2.7, 13.2),
        "R 3/4": (1.814, 9.5, 5.0, 2.7, 14.5),
        "R 1": (2.309, 10.4, 6.4, 3.5, 16.8),
        "R 1 1/4": (2.309, 12.7, 6.4, 3.5, 19.1),
        "R 1 1/2": (2.309, 12.7, 6.4, 3.5, 19.1),
        "R 2": (2.309, 15.9, 7.5, 4.6, 23.4),
    }
    found = {row[0]: row for row in reference.table("threads-iso-7").rows}
    assert set(found) == set(printed)
    for size, (pitch, gauge, fitting, wrench, useful) in printed.items():
        got = found[size]
        assert got[2] * 1e3 == pytest.approx(pitch, abs=5.1e-4)
        for cell, value in zip((*got[3:6], got[7]), (gauge, fitting, wrench, useful), strict=True):
            # 6.35 and 19.05 are ties that the print rounds up.
            assert cell * 1e3 == pytest.approx(value, abs=0.0501)


def test_the_two_families_share_threads_in_an_inch_only_at_half_and_three_quarters():
    npt = {size.nominal: size.threads_per_inch for size in threads.NPT}
    iso = {size.nominal: size.threads_per_inch for size in threads.ISO_7}
    assert {name for name in npt if npt[name] == iso[name]} == {"1/2", "3/4"}


def test_turns_and_length_undo_each_other():
    for size in threads.NPT:
        p = threads.pitch(size.threads_per_inch)
        turns = threads.turns_of_length(size.hand_tight, p)
        assert threads.length_of_turns(turns, p) == pytest.approx(size.hand_tight, rel=1e-12)


def test_burn_times_are_those_printed():
    found = {(round(row.printed), row.unit, row.cite.source.key): row for row in scalds.WATER_BURNS}
    assert found[150, "degF", "cpsc-5098"].shortest == 2
    assert found[140, "degF", "cpsc-5098"].shortest == 6
    assert found[130, "degF", "cpsc-5098"].shortest == 30
    assert found[120, "degF", "cpsc-5098"].shortest == 300
    assert found[156, "degF", "burn-foundation"].shortest == 1
    assert found[133, "degF", "burn-foundation"].shortest == 15
    # Moritz and Henriques 1947, death of the whole outer skin, from memory.
    for celsius, shortest, longest in (
        (60, 5, 5), (55, 30, 30), (53, 60, 60), (51, 240, 360), (49, 540, 600), (48, 900, 1200),
        (47, 2700, 2700), (45, 10800, 10800), (44, 21600, 21600),
    ):  # fmt: skip
        row = found[celsius, "degC", "moritz-henriques-1947"]
        assert (row.shortest, row.longest) == (shortest, longest)
        assert row.temperature() == pytest.approx(celsius + 273.15)
    assert found[140, "degF", "cpsc-5098"].temperature() == pytest.approx(333.15)


def test_metal_burns_at_the_lower_end_of_each_range():
    """ISO 13732-1, bare metal, from memory: some 65 to 70 °C in 1 s, 55 to 58 in 10 s, 51 in a
    minute, 43 in eight hours."""
    found = [(row.printed, row.shortest, row.longest) for row in scalds.METAL_BURNS]
    assert found == [(65, 1, 1), (55, 10, 10), (51, 60, 60), (43, 28800, 28800)]
    assert [row.temperature() for row in scalds.METAL_BURNS] == pytest.approx(
        [338.15, 328.15, 324.15, 316.15]
    )


def test_burns_are_listed_hottest_first_and_no_source_says_that_hotter_burns_slower():
    rows = scalds.WATER_BURNS
    temperatures = [row.temperature() for row in rows]
    assert temperatures == sorted(temperatures, reverse=True)
    for key in {row.cite.source.key for row in rows}:
        times = [row.shortest for row in rows if row.cite.source.key == key]
        assert times == sorted(times)
    assert all(row.shortest <= row.longest for row in rows)


@pytest.mark.parametrize(
    ("low", "high", "text"),
    [
        (1, 1, "1 s"),
        (60, 60, "60 s"),
        (240, 360, "4 to 6 min"),
        (3600, 3600, "1 h"),
        (10800, 10800, "3 h"),
    ],
)
def test_a_burn_time_is_said_as_people_say_it(low, high, text):
    row = scalds.BurnTime(50.0, "degC", low, high, scalds.WATER_BURNS[0].cite)
    assert reference.duration(row) == text


@pytest.mark.parametrize(
    ("metres", "open_air"), [(0, 99.97), (1000, 96.7), (2000, 93.3), (3000, 89.9)]
)
def test_boiling_point_falls_with_altitude(metres, open_air):
    found = near(column("altitude", "Boils"), metres)
    assert found - 273.15 == pytest.approx(open_air, abs=0.15)


def test_a_column_of_ten_metres_presses_with_one_bar_or_a_little_less():
    assert near(column("column", "Water at 10"), 10.0) == pytest.approx(0.9804e5, rel=1e-3)
    assert near(column("column", "Water at 80"), 10.0) == pytest.approx(0.953e5, rel=1e-3)


@pytest.mark.parametrize(
    ("name", "percent", "ice"),
    [
        ("propylene-glycol", 30, -12.8),
        ("propylene-glycol", 50, -33.3),
        ("ethylene-glycol", 50, -36),
    ],
)
def test_glycol_freezes_near_the_printed_points(name, percent, ice):
    found = near(column(name, "First ice"), percent / 100)
    assert found - 273.15 == pytest.approx(ice, abs=1.5)


def test_both_units_stand_in_a_cell_and_its_head():
    head = reference.Column("Length", u.SMALL_LENGTH, "mm", "in")
    assert shown.cell_text(head, 0.0254) == "25.4\xa0(1.000)"
    assert shown.cell_text(head, None) == "–"
    html = shown.table("threads-npt")
    assert "By hand, mm (in)" in html
    assert "8.1\xa0(0.320)" in html


def test_the_status_of_each_row_is_one_that_readers_know():
    for name in ("scald-times", "metal-burns", "pipes-steel", "pipes-copper", "pipes-plastic"):
        assert set(column(name, "Status").values()) <= set(STATUSES)


def test_the_list_of_letters_holds_every_letter_of_every_calculator():
    listed = {(x.symbol, x.label): set(x.calculators) for x in reference.letters()}
    assert {c.id for c in CALCULATORS} == set().union(*listed.values())
    assert "pre-charge" in listed["rho_c", "density of the cold fluid"]
    html = shown.symbols()
    assert html.count("<tr><td><math>") == html.count("<tr>") - 1
    for label in {label for _, label in listed}:
        assert re.sub("&", "&amp;", label) in html


def test_the_list_of_letters_holds_what_only_the_further_examples_show():
    listed = {(x.symbol, x.label) for x in reference.letters()}
    seen, further = set(), set()
    for calculator in CALCULATORS:
        for system in u.SYSTEMS:
            for number, entries in enumerate(({}, *calculator.examples)):
                for step in bridge.run(calculator.id, entries, system)["steps"]:
                    letters = {(s["symbol"], s["label"]) for s in (step["result"], *step["where"])}
                    (further if number or system == "us" else seen).update(letters)
    assert further - seen, "the further examples show nothing new, so they prove nothing"
    assert seen | further == listed


def rows_of(name):
    """Return the cells of each row as they are shown, tags taken out."""
    rows = re.findall(r"<tr>(.*?)</tr>", shown.table(name), re.S)[1:]
    return [
        [re.sub(r"<[^>]+>", "", cell) for cell in re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row)]
        for row in rows
    ]


def test_rows_stand_at_round_numbers_and_are_shown_so():
    celsius = [cells[0].split()[0] for cells in rows_of("water")]
    assert {f"{t}.0" for t in range(10, 131, 10)} <= set(celsius)
    assert celsius == sorted(celsius, key=float)
    for name in ("propylene-glycol", "ethylene-glycol"):
        assert [cells[0] for cells in rows_of(name)] == ["0", *map(str, range(10, 61, 5))], name


def test_heights_stand_at_round_numbers_and_at_those_of_the_example_site():
    """Larch Street lies at 640 m; the top of its loop is 11.4 m above the vessel."""
    altitudes = [row[0] for row in reference.table("altitude").rows]
    assert altitudes == sorted(altitudes)
    assert [h for h in altitudes if h % 250] == [640.0]
    assert {*range(0, 2001, 250), 2500, 3000, 3500, 4000} == set(altitudes) - {640.0}
    heights = [row[0] for row in reference.table("column").rows]
    assert heights == sorted(heights)
    assert [h for h in heights if h % 1] == [11.4]
    assert {1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50} == set(heights) - {11.4}


@pytest.mark.native
def test_water_boils_hotter_under_pressure_as_steam_tables_say():
    """Saturation at 1.5132, 2.0132 and 2.5132 bar absolute: IAPWS-IF97, by the iapws library."""
    import iapws

    (sea,) = [row for row in reference.table("altitude").rows if row[0] == 0.0]
    for cell, gauge in zip(sea[2:], (0.0, 0.5e5, 1.0e5, 1.5e5), strict=True):
        saturated = iapws.IAPWS97(P=(101325.0 + gauge) / 1e6, x=0.0)
        assert cell == pytest.approx(saturated.T, abs=0.02)


def test_glycol_is_shown_beside_water():
    for name in ("propylene-glycol", "ethylene-glycol"):
        first, *rest = reference.table(name).rows
        assert first[0] == 0.0
        assert first[1] == pytest.approx(273.15, abs=0.01)
        assert first[2] == pytest.approx(998.2, abs=0.1)  # from memory, at 20 degC
        assert first[-1] == 1.0
        for row in rest:
            assert row[-1] == pytest.approx(row[-2] / first[-2])


def test_turns_and_shares_of_growth_have_two_decimals():
    at = [head.label for head in reference.table("threads-npt").columns].index("Turns by hand")
    assert all(re.fullmatch(r"\d\.\d\d", cells[at]) for cells in rows_of("threads-npt"))
    assert all(re.fullmatch(r"1\.\d\d|1", cells[-1]) for cells in rows_of("propylene-glycol"))


def test_the_water_table_has_its_half_steps_where_plants_run():
    celsius = [round(row[0] - 273.15, 6) for row in reference.table("water").rows]
    assert [t for t in celsius if t % 10] == [4, 5, 15, 75, 85, 95]


def test_letters_are_listed_in_the_order_of_a_dictionary():
    listed = [(x.symbol.casefold(), x.symbol, x.label.casefold()) for x in reference.letters()]
    assert listed == sorted(listed)
    # There is something to put in order: a capital beside its small letter.
    assert {"T", "t"} <= {symbol for _, symbol, _ in listed}


@pytest.mark.parametrize("name", ["pipes-steel", "pipes-copper", "pipes-plastic"])
def test_a_pipe_holds_the_round_of_its_bore(name):
    for label, bore, holds, _ in reference.table(name).rows:
        assert holds == pytest.approx(math.pi / 4 * bore**2), label


def test_a_copper_tube_of_28_by_1_is_26_wide():
    """EN 1057: 28 mm outside, a wall of 1 mm; 0.531 L in a metre, from memory."""
    rows = {row[0]: row for row in reference.table("pipes-copper").rows}
    _, bore, holds, _ = rows["Copper EN 1057, 28 x 1 mm"]
    assert bore == pytest.approx(0.026)
    assert holds * 1e3 == pytest.approx(0.531, abs=5e-4)
