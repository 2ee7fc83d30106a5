"""Every threshold of the sheet Limits, typed once more beside its reason, and calculated where its reason is a rule.

A threshold is a judgement in most cases, so a second typing cannot say that it is right. It says that nobody changed
it by a slip of the hand: whoever changes one on purpose changes it in two places and says why.
"""

import math

import pytest
from scipy import stats

import hydrofunc
from hydrofunc.physics import cable, electrical_safety, fittings
from hydrofunc.template.model import Input
from hydrofunc.template.pages import PAGES

LIMITS = {
    item.name: item
    for page in PAGES
    if page.sheet == "Limits"
    for item in page.items
    if isinstance(item, Input)
}  # fmt: skip

# Sheet Checks: name, good, stop, unit. The second of each pair has the reason of the first.
CHECKS = {
    "more is not there, or not allowed": """
        water_taken 100 130 %; month_thirst 100 200 %; static_share 67 100 %; route_rest 67 100 %;
        runaway_share 80 100 %; current_share 80 100 %; blocked_jet 80 100 %; valve_shuts 80 100 %;
        cable_load 80 100 %; fuse_load 80 100 %; charge_current 80 100 %; vent_share 80 100 %; worst_open 90 100 %;
        window_share 90 100 %; dump_share 95 100 %; resistor_share 60 100 %; energy_share 85 100 %;
        valve_pull 50 100 %; opening_pull 50 100 %; route_suction 5 100 %""",
    "most power in the jet at a third of the head lost": "head_lost 40 50 %; nozzle_size 105 125 %",
    "jet and wheel": "jet_ratio 9 7 -; speed_ratio 0.07 0.2 -; drag_share 10 30 %; cup_air 30 0 mm",
    "touch: 60 V dry, 120 V the end of extra-low voltage": "runaway_touch 60 120 V; worst_touch 100 200 %",
    "counts on another day": "other_joint 100 200 %",
    "cost and effort": "cable_drop 5 10 %; kwh_share 100 300 %; jet_starts 12 48 -; heaviest 25 50 kg",
    "two measurements of one thing": "two_heads 5 15 %; route_length 3 10 %; route_fall 5 15 %; misfit 2 4 -",
    "battery": "battery_size 99.9 50 %; frost_margin 10 3 K; energy_missed 0.001 5 %",
    "readings": "fault 50 90 %; log_fall 1 5 %; log_services 0 2 -",
}

# Name, value, unit.
AGAIN = {
    "ends of what can be": """share_most 1 -; fittings_most 1000 -; rough_most 5 %; roughest_share 0.05 -;
        route_level_span 1500 m; windage_most 10000 W/krpm³; open_slot 10000 mm; fuse_largest 1250 A;
        ohms_most 100 Ω; volts_most 500 V/krpm""",
    "what counts as nothing": """route_suction_least 0.0005 bar; surge_suction_seen 0.0005 bar; draws_close 1e-6 W;
        least_score 0.1 %; least_cost 1e-6 currency; last_gain -1e12 W; jet_least 1 m/s; watts_least 0.1 W;
        least_share 1 %""",
    "what is tried on Choices and Combinations": """expected_share 50 %; best_ratio 0.46 -; pitch_least 10 -;
        pitch_most 2000 mm; speed_most 3000 rpm; speed_beyond 1.5 -; speed_span 15 -; nozzle_span 1.4 -;
        drill_step 0.5 mm; fine_drill_step 0.1 mm; fine_drills_to 13 mm; volts_span 2 -; pitch_span 1.25 -;
        copper_share 15 %; copper_speed 1000 rpm; winding_ratio 1.5 mH; bridge_pulses 6 -; good_loss 5 %;
        tracker_ratio 2 -; cable_warm 70 °C; current_reserve 1.25 -; thickest_cable 16 mm²; nozzle_least 0.5 mm;
        most_at_12 200 W; most_at_24 800 W; most_at_48 3000 W; fits_share 100 %; drills_apart 1.05 -""",
    "what changes on What pays": """aligned_better 0.05 -; pitch_change 10 %; fittings_saved 50 %; cable_thicker 2 -;
        bank_24_from 18 V; bank_48_from 36 V""",
    "when a fault is named": "day_ordinary 2 -; day_band 2 -; fault_sure 80 %; fault_named 50 %; look_wrong 0.05 -",
    "half ranges of what is measured or guessed": """normal_95 1.96 -; level_half 1 %; altimeter_half 5 m; map_half 8 m;
        good_gauge 2.1 %; bucket_half 4 %; watch_half 0.3 s; weir_half 6 %; meter_half 10 %; unknown_flow_half 300 %;
        usual_flow_share 1.5 -; told_flow_counts 0.34 -; own_bore_half 1 %; table_bore_half 2 %; any_class_half 8 %;
        new_rough_half 200 %; any_rough_half 900 %; own_rough_half 50 %; counted_k_half 40 %; any_k_half 150 %;
        length_half 3 %; cable_half 2 m; any_cable_half 45 m; warmth_half 15 K; copper_rise 0.393 %; joints_half 5 %;
        bench_volts_half 2 %; made_volts_half 8 %; any_volts_half 50 %; bench_ohms_half 5 %; made_ohms_half 20 %;
        any_ohms_half 150 %; any_area_half 60 %; bench_henries_half 10 %; any_henries_half 150 %;
        unknown_contraction_half 0.2 -; turned_half 0.05 -; hole_half 0.09 -; made_nozzle_half 3 %;
        any_nozzle_half 30 %; made_pitch_half 2 %; any_pitch_half 20 %; careful_half 0.16 -; eyed_half 0.2 -;
        first_half 0.22 -; anyhow_half 0.27 -""",
    "what is assumed where nothing is given": """thin_cable 0.8 -; cable_inductance 0.25 mH; turned_contraction 0.97 -;
        hole_contraction 0.66 -; unknown_contraction 0.84 -; unknown_roughness 0.03 mm; unknown_flow_share 0.7 -;
        told_flow_share 0.9 -; usual_gauge_range 10 bar; poisson_unlisted 0.4 -; cup_width_factor 3.4 -;
        usual_speed 1000 rpm; bearing_share 2 %; least_bearing 0.008 N·m; iron_share 3 %; least_iron 0.02 N·m;
        usual_windage 0.15 W/krpm³; usual_pitch 100 mm; fan_power 5 -; careful_set 0.86 -; eyed_set 0.71 -;
        first_set 0.55 -; anyhow_set 0.68 -; hole_discharge 0.61 -; dump_room_air 20 °C""",
    "batteries of 12 V": """block_charging 13.6 V; charging_rise 1.1 -; block_volts 13.5 V; block_cells 6 -;
        gassing_vented 20 mA/Ah; gassing_sealed 8 mA/Ah""",
    "shown, or proposed": "torque_shown 1.5 -; cable_drop 5 %; short_creep 20 %",
    "pipe: a pressure, a length, a wall": """route_over 3 %; route_share_most 100 %; surge_share_most 100 %;
        stress_of_pe100 8 MPa; stress_of_pe80 6.3 MPa; stress_of_pe63 5 MPa; stress_of_pe40 3.2 MPa;
        wall_stop 125 %; rating_stop 130 %; started_share 0.9 -""",
    "log": """log_gauge_low 92 %; log_gauge_high 108 %; log_watts_low 88 %; log_watts_high 112 %; log_flow_low 0.92 -;
        log_flow_high 1.08 -; log_nozzle_low 0.95 -; log_nozzle_high 1.05 -; log_shaft_low 0.85 -;
        log_water_share 50 %; log_gauge_share 33 %; log_slow_fall 4 %; log_trend_least 8 -; log_unsure 1 %;
        log_change_least 0.1 %; log_total_least 2 %; log_step_least 2 %; log_month_dry 95 %;
        stop_log_watts 30 %; stop_log_gauge 20 %""",
    "last digit or zero of a meter": """
        battery_scatter 3 %; least_gauge 0.03 bar; least_speed 1 rpm; least_volts 0.05 V;
        least_amps 0.05 A; least_balance 0.01 -; meter_nozzle 1 %; least_nozzle 0.05 mm""",
    "wall and print: good, their stops are formulas": "good_wall_stress 100 %; good_printed_rating 105 %",
}
FORMULAS = {
    "good_log_watts": "=100-log_watts_low",
    "good_log_gauge": "=100-log_gauge_low",
    "stop_wall_stress": "=IF(MAX(wall_shares)>MAX(strongest_shares),wall_stop*MAX(wall_shares)/MAX(strongest_shares),"
    "wall_stop)",
    "stop_printed_rating": "=rating_stop*IF(design_stress_used=stress_of_grade,grade_room,1)",
}


def typed_again():
    """{name: (value, unit)} of both tables."""
    again = {}
    for lines in CHECKS.values():
        for name, good, stop, unit in (line.split() for line in lines.split(";")):
            again |= {f"good_{name}": (float(good), unit), f"stop_{name}": (float(stop), unit)}
    for lines in AGAIN.values():
        for name, value, unit in (line.split() for line in lines.split(";")):
            assert name not in again, f"{name} is typed twice"
            again[name] = (float(value), unit)
    return again


def value(name):
    return LIMITS[name].assumed.value


def test_no_threshold_changes_in_one_place_only():
    ours = {name: (item.assumed.value, item.argument.unit) for name, item in LIMITS.items() if name not in FORMULAS}
    again = typed_again()
    assert set(ours) == set(again)
    for name, (number, unit) in again.items():
        assert ours[name] == (pytest.approx(number, rel=1e-12, abs=1e-15), unit), name


def test_no_formula_of_a_threshold_changes_in_one_place_only():
    assert {name: value(name) for name in LIMITS if isinstance(value(name), str)} == FORMULAS
    assert {LIMITS[name].argument.unit for name in FORMULAS} == {"%"}


TURN = 1000 * 2 * math.pi / 60  # rad/s at 1000 rpm, where the drags of 300 W are judged
RULES = {
    "normal_95": (stats.norm.ppf(0.975), 0.005),
    # The mean of the lower half of a normal distribution lies 1/sqrt(2 pi) below it, and squared that is 1/(2 pi).
    "told_flow_counts": (0.5 - 1 / (2 * math.pi), 0.005),
    "copper_rise": (100 * cable.TEMPERATURE_COEFFICIENT["copper"], 1e-9),
    "rough_most": (100 * 0.05, 1e-9),  # the last curve of Moody's chart, roughness over bore
    "good_gauge": (1.6 * 4 / 3, 0.05),  # class over the share of the scale that is read, EN 837-1
    "cable_inductance": (1e3 * 0.08 / (2 * math.pi * 50), 0.01),
    "bridge_pulses": (3 * (2 * math.pi) / math.pi, 1e-9),  # volts 3 w L p / pi with w = 2 pi f, for p = L = f = 1
    "hole_discharge": (math.pi / (math.pi + 2), 0.002),  # Kirchhoff's jet from a slot with a sharp edge, 0.6110
    # Minimum strength of the pressure pipe of the grade over 1.25, on the series R10 (ISO 3, ISO 12162).
    "stress_of_pe100": (10 / 1.25, 1e-9),
    "stress_of_pe80": (8 / 1.25, 0.11),
    "stress_of_pe63": (6.3 / 1.25, 0.05),
    "stress_of_pe40": (4 / 1.25, 1e-9),
    "fuse_largest": (max(electrical_safety.FUSES), 1e-9),
    "poisson_unlisted": (hydrofunc.poisson_ratio("pvc"), 1e-9),
    "stop_runaway_touch": (electrical_safety.TOUCH_LIMIT["covered"], 1e-9),
    "good_runaway_touch": (electrical_safety.TOUCH_LIMIT["dry"], 1e-9),
    "surge_suction_seen": (5e-3 * 1000 * 9.81 / 1e5, 2e-5),  # 5 mm of water in bar
    "most_at_12": (15 * 13.5, 5),
    "most_at_24": (30 * 27, 11),
    "most_at_48": (55 * 54, 31),
    # A third of the pressure's fall is half of the watts', which go with the pressure to the power 1.5.
    "log_water_share": (1.5 * 33, 0.6),
    "log_watts_low": (100 - 1.5 * 8, 1e-9),
    "log_watts_high": (100 + 1.5 * 8, 1e-9),
}


@pytest.mark.parametrize("name", RULES)
def test_a_threshold_follows_from_its_rule(name):
    expected, within = RULES[name]
    assert value(name) == pytest.approx(expected, abs=within)


def test_reasons_with_a_number_hold():
    """What sheet Limits says in words beside a number."""
    area = (1 + value("any_nozzle_half") / 100) ** 2  # "from 0.6 to 1.7 times the area"
    assert (round(1 / area, 1), round(area, 1)) == (0.6, 1.7)
    assert round(1 / (1 + value("any_pitch_half") / 100), 2) == 0.83  # "from 0.83 to 1.2 times the pitch circle"
    assert round(1 / (1 + value("any_ohms_half") / 100), 1) == 0.4  # "from 0.4 to 2.5 times"
    assert round(300 * value("bearing_share") / 100 / TURN, 2) == 0.06  # "on 300 W: 0.06 N·m"
    assert round(300 * value("iron_share") / 100 / TURN, 2) == 0.09
    cups = 0.91  # of usual cups with everything else right: what their sentences share
    for name, to_the_shaft in (("careful_set", 0.78), ("eyed_set", 0.65), ("first_set", 0.5)):
        assert value(name) * cups == pytest.approx(to_the_shaft, abs=0.006), name
    assert 15 < value("bank_24_from") < 26 and 30 < value("bank_48_from") < 52  # between the charging voltages
    for name in ("polyethylene", "pvc"):  # "between smooth plastic and scaled or slimy pipe"
        assert fittings.ROUGHNESS[name, "new"] < value("unknown_roughness") / 1e3 < 0.3e-3
    low, high = value("hole_contraction"), value("turned_contraction")
    middle, half = value("unknown_contraction"), value("unknown_contraction_half")
    assert middle - half <= low < middle < high <= middle + half  # "it reaches to both"
    assert value("first_set") < value("anyhow_set") < value("careful_set")


def test_each_limit_lies_in_its_own_range_and_good_before_stop():
    for name, item in LIMITS.items():
        if not isinstance(value(name), str):
            low, high, *_ = item.argument.bounds
            assert low <= value(name) <= high, name
    fewer_is_worse = {"good_jet_ratio", "good_cup_air", "good_frost_margin", "good_battery_size"}
    compared = 0
    for good in (name for name in LIMITS if name.startswith("good_")):
        stop = f"stop_{good.removeprefix('good_')}"
        if stop in LIMITS and not {good, stop} & set(FORMULAS):
            assert (value(good) > value(stop)) == (good in fewer_is_worse), good
            compared += 1
    assert compared == sum(len(lines.split(";")) for lines in CHECKS.values())
