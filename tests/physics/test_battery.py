"""Lead-acid battery, its gas, and how full it is step after step."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import hydrofunc
from hydrofunc.physics import battery, water

energies = st.lists(st.floats(0, 20), min_size=1, max_size=40)
share = st.floats(0, 1)


@st.composite
def runs(draw):
    made = draw(energies)
    wanted = draw(st.lists(st.floats(0, 20), min_size=len(made), max_size=len(made)))
    return (
        np.array(made),
        np.array(wanted),
        draw(st.floats(0.5, 100)),
        draw(share),
        draw(share),
        draw(share),
        draw(st.floats(0.3, 1)),
        draw(st.one_of(st.just(np.inf), st.floats(0, 20))),
    )


@given(runs())
def test_no_energy_appears_or_is_lost(arguments):
    made, _, full, start = arguments[:4]
    run = battery.battery_run.flat(*arguments)
    left = run.served.sum() + run.dumped.sum() + run.lost.sum() + run.stored[-1]
    assert left == pytest.approx(made.sum() + start * full, rel=1e-9, abs=1e-9)


@given(runs())
def test_what_is_wanted_is_served_or_missed_and_nothing_is_negative(arguments):
    run = battery.battery_run.flat(*arguments)
    assert run.served + run.unserved == pytest.approx(arguments[1], rel=1e-9, abs=1e-12)
    assert min(part.min() for part in run) >= -1e-9


@given(runs())
def test_the_battery_stays_between_its_limits(arguments):
    _, _, full, start, lowest = arguments[:5]
    stored = battery.battery_run.flat(*arguments).stored
    assert stored.max() <= full * (1 + 1e-12)
    assert stored.min() >= min(start, lowest) * full - 1e-9


@given(runs(), st.floats(1.01, 3))
def test_a_larger_battery_never_misses_more(arguments, times):
    """Both full at the start, both emptied to the same share."""
    made, wanted, full, _, *rest = arguments
    small = battery.battery_run.flat(made, wanted, full, 1.0, *rest)
    large = battery.battery_run.flat(made, wanted, times * full, 1.0, *rest)
    assert large.unserved.sum() <= small.unserved.sum() + 1e-9


@given(runs())
def test_more_water_never_leaves_the_battery_emptier(arguments):
    made, *rest = arguments
    assert (
        battery.battery_run.flat(made + 1.0, *rest).stored >= battery.battery_run.flat(made, *rest).stored - 1e-9
    ).all()


def test_a_run_of_a_day_in_balance_agrees_with_the_sum_by_hand():
    """240 W all day, 4 kWh wanted, 40 % through the battery at 70 %: 1.0743 kWh are dumped each day."""
    dumped = [hydrofunc.dumped_energy([5760] * days, [4000] * days, 10000, 100, 10, 40, 70) for days in (1, 2, 10)]
    assert np.diff(dumped) == pytest.approx([1074.2857, 8 * 1074.2857], rel=1e-6)


def test_hours_of_a_day_show_what_a_daily_balance_hides():
    """Enough made in the day, but the evening is more than the battery may give."""
    made, wanted = np.full(24, 100.0), np.zeros(24)
    wanted[18:21] = 700.0
    assert hydrofunc.unserved_energy([2400], [2100], 1000, 100, 50) == 0
    assert hydrofunc.unserved_energy(made, wanted, 1000, 100, 50) == pytest.approx(3 * 600 - 500)


def test_a_year_of_days_for_many_batteries_at_once():
    """The same as one by one; the list of days is shared."""
    rng = np.random.default_rng(5)
    made, wanted = rng.uniform(0, 5000, 365), rng.uniform(0, 4000, 365)
    sizes = np.array([1000.0, 5000.0, 20000.0])
    for function in (
        hydrofunc.unserved_energy,
        hydrofunc.dumped_energy,
        hydrofunc.lowest_state,
        hydrofunc.state_of_charge,
    ):
        together = function(made, wanted, sizes, 100, 50, 40, 70)
        assert together == pytest.approx([function(made, wanted, size, 100, 50, 40, 70) for size in sizes], rel=1e-12)


def test_the_state_after_each_step_can_be_asked_for():
    made, wanted = [0, 500, 0], [200, 0, 300]
    states = [hydrofunc.state_of_charge(made, wanted, 1000, 100, 0, 0, 100, step_number=step) for step in (1, 2, 3, 0)]
    assert states == pytest.approx([80, 100, 70, 70])
    with pytest.raises(hydrofunc.InputError, match="step_number"):
        hydrofunc.state_of_charge(made, wanted, 1000, step_number=4)


def test_lists_of_different_length_are_refused():
    with pytest.raises(hydrofunc.InputError, match="as many steps"):
        hydrofunc.unserved_energy([1, 2, 3], [1, 2], 1000)


@given(st.floats(10, 1000), st.floats(5, 100), st.floats(1, 1.5), st.floats(0.01, 10))
def test_peukert_in_its_rated_form_gives_the_rating_back(capacity, hours, exponent, times):
    rated = capacity / hours
    assert hydrofunc.discharge_time(capacity, hours, rated, exponent) == pytest.approx(hours, rel=1e-12)
    taken = times * rated * hydrofunc.discharge_time(capacity, hours, times * rated, exponent)
    assert taken <= capacity * (1 + 1e-12) if times >= 1 else taken >= capacity * (1 - 1e-12)


@given(st.floats(50, 500), st.floats(1.02, 1.4), st.floats(1.1, 15))
def test_two_capacities_of_one_battery_give_its_exponent(capacity, exponent, shorter):
    current = capacity / 20 * shorter
    hours = hydrofunc.discharge_time(capacity, 20, current, exponent)
    assert hydrofunc.peukert_exponent(capacity, 20, current * hours, hours) == pytest.approx(exponent, rel=1e-6)


def test_a_data_sheet_that_cannot_be_is_refused():
    with pytest.raises(hydrofunc.InputError, match="second_hours"):
        hydrofunc.peukert_exponent(100, 20, 120, 5)


def test_a_battery_in_the_cold_holds_less_and_wants_more_volts():
    temperatures = np.linspace(-3.5, 48, 60)
    assert (np.diff(hydrofunc.cold_capacity(temperatures)) > 0).all()
    assert (np.diff(hydrofunc.charge_volts(2.4, 12, temperatures)) < 0).all()


def test_the_emptier_the_sooner_it_freezes():
    assert (np.diff(hydrofunc.freezing_point(np.linspace(0, 100, 41))) < 0).all()


def test_volts_at_rest_give_the_charge_whatever_the_number_of_cells():
    assert hydrofunc.rest_charge(np.array([6.12, 12.24, 24.48, 48.96]), np.array([3, 6, 12, 24])) == pytest.approx(
        [50] * 4
    )
    assert hydrofunc.rest_charge(11.0, 6) == 0 and hydrofunc.rest_charge(12.8, 6) == 100
    with pytest.raises(hydrofunc.InputError, match="still on charge"):
        hydrofunc.rest_charge(14.4, 6)


@given(st.floats(1, 5000), st.floats(1, 20))
def test_the_air_takes_the_hydrogen_below_a_fifth_of_its_explosive_limit(capacity, gassing):
    """Faraday: 0.42e-3 m³ for each Ah at 0 °C; 4 % is the limit. The standard's 0.05 is 0.0504 rounded."""
    cells = 12
    hydrogen = 0.41815e-3 * cells * gassing * 1e-3 * capacity
    air = hydrofunc.gas_ventilation(cells, capacity, gassing)
    assert hydrogen / air == pytest.approx(0.04 / 5, rel=0.05)


def test_a_block_of_many_cells_needs_more_distance_and_twelve_volts_are_the_rule():
    """All cells of a block gas in one spot: eight cells, twice the distance of one. Left out: blocks of six."""
    one, six, eight = (hydrofunc.gas_distance(200, 20, cells) for cells in (1, 6, 8))
    assert eight == pytest.approx(2 * one, rel=1e-12)
    assert hydrofunc.gas_distance(200, 20) == six > 1.8 * one


@given(st.floats(0, 200))
def test_boiling_temperature_undoes_the_vapour_pressure(celsius):
    assert water.boiling_temperature(water.vapour_pressure(celsius + 273.15)) == pytest.approx(
        celsius + 273.15, rel=1e-9
    )


def test_water_boils_colder_and_sooner_higher_up():
    heights = np.linspace(0, 5000, 11)
    assert hydrofunc.boiling_point(0.0) == pytest.approx(99.97, abs=0.01)
    assert (np.diff(hydrofunc.boiling_point(heights)) < 0).all()
    assert (np.diff(hydrofunc.boil_time(1, 300, 10, heights)) < 0).all()


# Cell temperature [°F] and cell size correction factor: IEEE Std 485, the standard's table, from memory, not looked up.
SIZE_FACTORS = {
    25: 1.52, 30: 1.43, 35: 1.35, 40: 1.30, 45: 1.25, 50: 1.19, 55: 1.15, 60: 1.11, 65: 1.08, 70: 1.04, 77: 1.00,
    80: 0.98, 85: 0.96, 90: 0.94, 95: 0.93, 100: 0.91, 110: 0.88, 120: 0.86,
}  # fmt: skip


def test_a_battery_is_chosen_larger_by_the_factor_of_its_temperature():
    """So it is between the ends of the table; beyond them nothing is guessed."""
    celsius = (np.array(list(SIZE_FACTORS)) - 32) / 1.8
    share = battery.cold_capacity(celsius + 273.15)[1:-1]
    assert 1 / share == pytest.approx(list(SIZE_FACTORS.values())[1:-1], rel=1e-9)
    ends = battery.cold_capacity(celsius[[0, -1]] + 273.15 + [1e-6, -1e-6])
    assert 1 / ends == pytest.approx([1.52, 0.86], rel=1e-6)
    assert np.isnan(battery.cold_capacity(celsius[[0, -1]] + 273.15 + [-1e-3, 1e-3])).all()
