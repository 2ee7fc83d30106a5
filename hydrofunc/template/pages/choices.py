"""Choices: what is proposed where nothing is chosen yet, so that the plant can be worked out all the same.

Nozzle, pitch circle and winding belong together, so they are sought together: some sixteen speeds, each with the pitch
circle and the winding that fit it; then finer steps of nozzle, winding and pitch circle, one after the other, and in
the end the nozzles at hand. Battery volts, cable, fuse and dump load have no best value (more is always better): they
follow from rules with limits.

The sheet reads the rows of the plant's block above the choices (`plant_above`), and what is typed for a choice itself
(names that end in `_yours`, "" where nothing is typed). It never reads what counts of a choice: that would be a circle.

Winding. One machine can be wound for any volts: with the same copper, resistance R and inductance L of a phase grow
with the square of the volts k that it gives per 1000 rpm: R = copper_ratio k², L = winding_time R. So
z = current x k follows from the power alone, and k from what remains after the copper loss:

    u z = W + x z²        u: d.c. volts for 1 V/krpm, W: power at the shaft less iron, x: drop of the inductance
    I = (W - r z²) / (V + cable + diodes),  k = z / I        r: copper loss of 1 A in a winding of 1 V/krpm
"""

from ...catalogue import nomenclature as n
from ..chain import call
from ..model import Formula, Heading, Page, Result, Table, Words
from .common import PRACTICE, limit

OWN_JUDGEMENT = "Own judgement, no published source."
SPEEDS, NOZZLES, VOLTS, PITCHES, AT_HAND = 16, 15, 31, 9, 12
AREAS = ("1.5", "2.5", "4", "6", "10", "16", "25", "35", "50", "70", "95", "120")  # mm², IEC 60228
BANKS = ("12", "24", "48")

LIMITS = (
    limit(
        "expected_share",
        "What arrives at the battery, of the power in the jet, before anything is chosen",
        50,
        "%",
        f"Wheel, alternator, rectifier and cable together. Only rules use it. {OWN_JUDGEMENT}",
        "(0, 100]",
    ),
    limit(
        "best_ratio",
        "Cup speed over jet velocity, for the pitch circle",
        0.46,
        "-",
        f"The losses of real cups move the best from 0.5 to about 0.46. {PRACTICE}",
        "[0.3, 0.6]",
    ),
    limit(
        "pitch_least",
        "Pitch circle over jet, at least",
        10,
        "-",
        f"10 to 14 is usual; with less, water misses the cups (sheet Checks). {PRACTICE}",
        "[5, 50]",
    ),
    limit(
        "pitch_most",
        "Pitch circle, at most",
        2000,
        "mm",
        f"No one builds a larger wheel alone. {OWN_JUDGEMENT}",
        "(0, 5000]",
    ),
    limit(
        "speed_most",
        "Speed of the wheel, at most",
        3000,
        "rpm",
        f"At runaway it is twice that: cups, magnets and bearings made by hand. {OWN_JUDGEMENT}",
        "(0, 20000]",
    ),
    limit(
        "speed_beyond",
        "Speeds are tried up to, of the highest at which the cups have their best speed",
        1.5,
        "-",
        f"Where the copper is poor a wheel that runs a little too fast gives more. {OWN_JUDGEMENT}",
        "[1, 2]",
    ),
    limit("speed_span", "Highest speed tried over the lowest", 15, "-", OWN_JUDGEMENT, "[2, 100]"),
    limit("nozzle_span", "Nozzles are tried up to, of the one of most jet power", 1.4, "-", OWN_JUDGEMENT, "(1, 2]"),
    limit("drill_step", "Drills come in steps of", 0.5, "mm", PRACTICE, "(0, 5]"),
    limit("fine_drill_step", "but small ones in steps of", 0.1, "mm", PRACTICE, "(0, 5]"),
    limit("fine_drills_to", "up to", 13, "mm", f"As drills are sold one by one. {PRACTICE}", "[0, 50]"),
    limit("volts_span", "Windings are tried up to, of the one that fits the speed", 2, "-", OWN_JUDGEMENT, "(1, 5]"),
    limit("pitch_span", "Pitch circles are tried up to, of the one of that speed", 1.25, "-", OWN_JUDGEMENT, "(1, 2]"),
    limit(
        "copper_share",
        "Heat in the windings of an alternator that will do, of what is expected to arrive",
        15,
        "%",
        f"At the speed of the next line: more resistance is too much. On the careful side. {OWN_JUDGEMENT}",
        "(0, 50]",
    ),
    limit(
        "copper_speed",
        "at a speed of (or at the highest that the wheel can have, if that is less)",
        1000,
        "rpm",
        f"Alternators of a few hundred watts for direct drive are made for 500 to 1500 rpm. {OWN_JUDGEMENT}",
        "(0, 20000]",
    ),
    limit(
        "winding_ratio",
        "Inductance over resistance of a winding",
        1.5,
        "mH/Ω",
        f"Windings in iron 1 to 2, without iron less. {OWN_JUDGEMENT}",
        "[0, 20]",
    ),
    limit(
        "bridge_pulses",
        "Volts that inductance takes, for each ampere, henry and hertz",
        6,
        "-",
        "A six-diode bridge: 3 w L p / pi = 6 f L (P. S. Bimbhra, Power Electronics, Ex. 6.28 p. 352).",
        "[1, 24]",
    ),
    limit("ohms_most", "Winding or cable that is tried, at most", 100, "Ω", OWN_JUDGEMENT, "(0, 1000]"),
    limit("volts_most", "Winding that is tried, at most", 500, "V/krpm", OWN_JUDGEMENT, "(0, 2000]"),
    limit(
        "least_share",
        "A speed counts as able to give at least, of the jet's power",
        1,
        "%",
        "So that every speed has a winding; what it truly gives is in its watts.",
        "(0, 10]",
    ),
    limit(
        "good_loss",
        "Winding stays good while it loses at most, of the best watts",
        5,
        "%",
        OWN_JUDGEMENT,
        "(0, 50]",
    ),
    limit(
        "tracker_ratio",
        "Volts before a maximum-power controller over those of its battery",
        2,
        "-",
        f"It steps down, and it must not run out of volts. {OWN_JUDGEMENT}",
        "[1, 10]",
    ),
    limit("drop_most", "Volts lost in the cable, of the battery's", 5, "%", PRACTICE, "(0, 50]"),
    limit("cable_warm", "The cable is chosen at", 70, "°C", "The hottest PVC may get (IEC 60364-5-52).", "[0, 90]"),
    limit(
        "current_reserve",
        "The cable is chosen for a current of, of the one expected",
        1.25,
        "-",
        f"The finer steps can find some more. {OWN_JUDGEMENT}",
        "[1, 3]",
    ),
    limit(
        "fuse_largest",
        "Largest fuse of the series",
        1250,
        "A",
        "IEC 60269-1, from memory, not looked up.",
        "(0, 2000]",
    ),
    limit("thickest_cable", "Cable that one person lays, at most", 16, "mm²", OWN_JUDGEMENT, "(0, 120]"),
    limit("most_at_12", "Power into a 12 V battery, at most", 200, "W", f"15 A. {PRACTICE}", "(0, 100000]"),
    limit("most_at_24", "Power into a 24 V battery, at most", 800, "W", f"30 A. {PRACTICE}", "(0, 100000]"),
    limit(
        "most_at_48",
        "Power into a 48 V battery, at most",
        3000,
        "W",
        f"55 A. Above it 48 V is proposed all the same: there is no step above. {PRACTICE}",
        "(0, 100000]",
    ),
)

# The columns that stand for a plant, by the names in the functions.
_PLANT = (
    ("nozzle", "nozzle, mm", "0.00"),
    ("pitch_diameter", "pitch circle, mm", "0.0"),
    ("phase_volts", "one phase, V/krpm", "0.00"),
    ("phase_resistance", "one phase, Ω", "0.000"),
    ("phase_inductance", "one phase, mH", "0.000"),
    ("cable_resistance", "cable, Ω", "0.0000"),
    ("battery_volts", "battery, V", "0.0"),
    ("connection", "joined", "General"),
)
_HEADS = tuple(head for _, head, _ in _PLANT)


def _typed(name, otherwise):
    """What is typed for a choice, or something else where nothing is."""
    return f"IF(ISNUMBER({name}_yours),{name}_yours,{otherwise})"


def _names(before=0):
    """The first row of a table: the names that the functions know the columns by."""
    return ("name", *("",) * before, *(name for name, _, _ in _PLANT))


def _tried(label, letters, before=(), **formulas):
    """A row: a plant by its columns, and the watts into the battery. What is not said is the same in all rows."""
    usual = {
        "nozzle": "nozzle_used",
        "pitch_diameter": "row_pitch",
        "phase_volts": "row_volts",
        "phase_resistance": f"copper_ratio*{letters[2]}{{row}}^2",
        "phase_inductance": f"winding_used*{letters[3]}{{row}}",
        "cable_resistance": "cable_used",
        "battery_volts": "bank_used",
        "connection": "connection_used",
    }
    cells = (
        Formula(f"={(usual | formulas)[name]}", digits, words=name == "connection") for name, _, digits in _PLANT
    )
    return (label, *before, *cells, Formula(f"={_plant('battery_watts', letters[0], letters[-1])}", "0.0"))


def _plant(quantity, first, last):
    return f'HYDRO_PLANT(plant_above,"{quantity}",{first}${{first}}:{last}${{first}},{first}{{row}}:{last}{{row}})'


def _stepped(centre, name):
    """A value stepped from centre / span to centre x span, by the row of its table, whose first row holds the names."""
    return f"{centre}/{name}_span*{name}_step^(ROWS(B${{first}}:B{{row}})-2)"


_PLAIN = tuple("CDEFGHIJ")
_FREE_PITCH = call("pitch_diameter", jet_velocity="{jet}", speed="{speed}", speed_ratio="best_ratio")


def _speed(i):
    working = (
        Formula("=highest_speed*speed_beyond/speed_step^(ROWS(B${first}:B{row})-2)", "0"),
        Formula("=" + _FREE_PITCH.format(jet="row_jet", speed="C{row}"), "0.0"),
        Formula(
            "="
            + call("wheel_power", speed="C{row}", flow="row_flow", jet_velocity="row_jet", pitch_diameter="P{row}"),
            "0.0",
        ),
        Formula("=MAX(least_watts,E{row}-iron_drag*C{row}*2*PI()/60)", "0.0"),
        Formula("=" + call("open_circuit_volts", speed="C{row}", phase_volts="1", connection='"star"'), "0.000"),
        Formula(
            "=bridge_pulses*"
            + call("electrical_frequency", speed="C{row}", pole_pairs="pole_pairs")
            + "*winding_used/1000*copper_ratio",
            "0.0000",
        ),
        Formula("=F{row}/G{row}", "0.0"),
        Formula("=(F{row}+H{row}*I{row}^2)/G{row}", "0.0"),
        Formula("=MAX(least_watts,F{row}-copper_loss_each*J{row}^2)", "0.0"),
        Formula("=K{row}/row_circuit_volts", "0.00"),
        Formula("=MIN(volts_bound,joined_ratio*J{row}/L{row})", "0.00"),
        Formula('="star"', words=True),
    )
    row = _tried(
        f"speed {i}",
        tuple("OPQRSTUV"),
        working,
        nozzle="row_nozzle",
        pitch_diameter=_typed("pitch_diameter", "MIN(pitch_most,MAX(row_pitch_least,D{row}))"),
        phase_volts="IF(ISNUMBER(known_phase_volts),known_phase_volts,M{row})",
        cable_resistance="MIN(ohms_most,drop_most/100*target_volts/L{row})",
        connection='"delta"',
    )
    star = Formula(f"={_plant('battery_watts', 'N', 'U')}", "0.0")
    best = Formula('=IF(joinings="star",W{row},IF(joinings="delta",X{row},MAX(W{row},X{row})))', "0.0")
    return (*row[:-1], star, row[-1], best)


def _nozzle(i):
    jet = 'HYDRO_PLANT(plant_above,"jet_velocity","nozzle",C{row})'
    least = "pitch_least*" + call("jet_diameter", nozzle="C{row}")
    row = _tried(
        f"nozzle {i}",
        _PLAIN,
        nozzle=f"MIN(outlet_bore,{_stepped('row_nozzle', 'nozzle')})",
        pitch_diameter=_typed("pitch_diameter", "MIN(pitch_most,MAX(L{row},M{row}))"),
    )
    free = _FREE_PITCH.format(jet="N{row}", speed="row_speed")
    return (*row, Formula(f"={least}", "0.0"), Formula(f"={free}", "0.0"), Formula(f"={jet}", "0.00"))


def _volts(i):
    fitting = _typed("pitch_diameter", "MIN(pitch_most,MAX(pitch_least_used,M{row}))")
    row = _tried(f"winding {i}", _PLAIN, pitch_diameter=fitting, phase_volts=_stepped("row_volts", "volts"))
    good = Formula('=IF(K{row}>=(1-good_loss/100)*MAX(volts_watts),E{row},"")', "0.00")
    return (*row, good, Formula("=nozzle_pitch*E{row}/row_volts", "0.0"))


def _pitch_row(i):
    return _tried(
        f"pitch circle {i}",
        _PLAIN,
        pitch_diameter=f"MIN(pitch_most,MAX(pitch_least_used,{_stepped('volts_pitch', 'pitch')}))",
        phase_volts="volts_used",
    )


def _at_hand(i):
    size = f"nozzle_size_{i}"
    row = _tried(
        f"size {i}",
        _PLAIN,
        nozzle=f'IF(ISNUMBER({size}),IF({size}<=outlet_bore,{size},""),"")',
        pitch_diameter="pitch_used",
        phase_volts="volts_used",
    )
    watts = row[-1].text[1:]
    return (*row[:-1], Formula(f'=IF(ISNUMBER(C{{row}}),{watts},"")', "0.0"))


_FINAL = {
    "nozzle": "final_nozzle",
    "pitch_diameter": "pitch_used",
    "phase_volts": "volts_used",
}


def _final(label, name, **formulas):
    row = _tried(label, _PLAIN, **(_FINAL | formulas))
    watts = Formula(row[-1].text, "0.0", name=f"{name}_watts")
    amperes = Formula(f"={_plant('current', 'C', 'J')}", "0.00", name=f"{name}_current")
    speed = Formula(f"={_plant('speed', 'C', 'J')}", "0", name=f"{name}_speed")
    return (*row[:-1], watts, amperes, speed)


def _bank(volts):
    charging, most = f"charging_{volts}", f"most_at_{volts}"
    needed = call(
        "cable_resistance",
        length="cable_length",
        area="1",
        material="cable_material",
        conductor_temperature="cable_warm",
    )
    return (
        f"{volts} V",
        Formula(f"={charging}", "0.0"),
        Formula("=current_reserve*expected_watts/C{row}", "0.0"),
        Formula(f"={needed}*D{{row}}/(drop_most/100*C{{row}})", "0.0"),
        Formula(f"={most}", "0"),
        Formula('=IF(AND(expected_watts<=F{row},E{row}<=thickest_cable),C{row},"")', "0.0"),
    )


def _carries(area):
    ampacity = call(
        "cable_ampacity",
        area=area,
        material="cable_material",
        installation="cable_laid",
        ambient_temperature="cable_around",
    )
    return f"IFERROR({ampacity},0)"


def _fuse(current):
    """The smallest that carries the current, whatever the cable carries; "" where the series ends."""
    size = call("fuse_size", current=current, ampacity="fuse_largest", fuse_margin="fuse_margin")
    return f'IFERROR({size},"")'


def _area(area):
    resistance = call(
        "cable_resistance",
        length="cable_length",
        area="C{row}",
        material="cable_material",
        conductor_temperature="cable_warm",
    )
    return (
        f"{area} mm²",
        Formula(f"={area}", "0.0"),
        Formula(f"={resistance}", "0.0000"),
        Formula("=100*cable_current*D{row}/bank_used", "0.0"),
        Formula(f"={_carries('C{row}')}", "0.0"),
        Formula('=IF(AND(E{row}<=drop_most,cable_fuse<=F{row}),C{row},"")', "0.0"),
    )


def _read(name, label, unit, formula, note="", digits="0.00", **more):
    return Result(name, label, unit, f"={formula}", note, digits, **more)


def _where_best(column, watts):
    return f"INDEX({column},MATCH(MAX({watts}),{watts},0))"


_PROPOSED = (
    Heading("What is proposed"),
    _read(
        "proposed_nozzle",
        "Nozzle, made to measure",
        "mm",
        _where_best("nozzles_tried", "nozzle_watts"),
        "Most watts into the battery of all sizes.",
        strong=True,
    ),
    _read(
        "recommended_nozzle",
        "Nozzle to drill: of the sizes at hand",
        "mm",
        f"IF(COUNT(hand_gives)=0,proposed_nozzle,{_where_best('hand_openings', 'hand_gives')})",
        "Most watts into the battery; with none at hand the one made to measure.",
        "0.0",
        strong=True,
    ),
    _read(
        "recommended_loss",
        "It loses, of the best possible",
        "%",
        "IF(best_watts>0,100*(1-recommended_watts/best_watts),0)",
        "Against the nozzle made to measure.",
        "0.0",
    ),
    _read(
        "proposed_pitch",
        "Pitch circle",
        "mm",
        _where_best("pitches_tried", "pitch_watts"),
        "Most watts into the battery.",
        "0",
        strong=True,
    ),
    _read(
        "proposed_speed", "Speed the wheel then settles at", "rpm", "final_speed", "With the nozzle to drill.", "0"
    ),
    _read(
        "proposed_phase_volts",
        "Alternator: volts of one phase per 1000 rpm",
        "V/krpm",
        _where_best("volts_tried", "volts_watts"),
        "Most watts into the battery, joined as below.",
        strong=True,
    ),
    _read(
        "proposed_volts_low", "It stays good from", "V/krpm", "MIN(volts_good)", "Wound with the same copper.", strong=True
    ),
    _read("proposed_volts_high", "up to", "V/krpm", "MAX(volts_good)", "Wound with the same copper.", strong=True),
    _read(
        "proposed_phase_resistance",
        "Resistance of one phase, at most",
        "Ω",
        "copper_ratio*volts_used^2",
        "The plant counts with it. Wound for other volts: it goes with their square.",
        "0.000",
        strong=True,
    ),
    _read(
        "proposed_phase_inductance",
        "Inductance of one phase, about",
        "mH",
        "winding_used*proposed_phase_resistance",
        digits="0.000",
    ),
    _read(
        "proposed_connection",
        "Windings joined in",
        "",
        'IF(AND(joinings<>"star",MAX(delta_watts)>MAX(star_watts)),"delta","star")',
        "A known winding: whichever gives more. Else star; in delta the same copper needs 1.73 times the volts.",
        "General",
    ),
    _read(
        "proposed_battery_volts",
        "Battery volts while charging",
        "V",
        "IF(COUNT(banks_good)>0,MIN(banks_good),MAX(banks_charging))",
        "The lowest whose current and cable stay within the limits.",
        "0.0",
        strong=True,
    ),
    _read(
        "proposed_cable_area",
        "Cable, one conductor",
        "mm²",
        "IF(COUNT(areas_good)>0,MIN(areas_good),MAX(areas_listed))",
        "The thinnest standard size that keeps volts and fuse within the limits; the thickest if none does.",
        "0.0",
        strong=True,
    ),
    _read(
        "proposed_fuse",
        "Fuse at the battery",
        "A",
        'IF(final_fuse<=ampacity_used,final_fuse,"")',
        "Empty: no fuse both carries the current and protects this cable. Thicker cable.",
        "0",
        strong=True,
    ),
    _read(
        "proposed_dump_watts",
        "Dump load takes, at least",
        "W",
        "dump_margin*MAX(final_watts,charged_watts)",
        "All that can come, with the margin (sheet Safety figures).",
        "0",
        strong=True,
    ),
    _read(
        "proposed_dump_ohms",
        "Its resistance, at most",
        "Ω",
        f"IF(proposed_dump_watts>0,{call('dump_resistance', power='proposed_dump_watts', volts='dump_volts_used')},\"\")",
        "At the highest charging voltage.",
    ),
    _read(
        "choices_say",
        "In words",
        "",
        'IF(best_watts>0,"good","Drags take all there is: no choice gives watts.")',
        digits="General",
    ),
)

_WORKINGS = (
    Heading("Winding that is known", new_page=True),
    _read(
        "known_phase_volts",
        "One phase, from the bench",
        "V/krpm",
        "IF(AND(ISNUMBER(test_volts_yours),ISNUMBER(test_speed_yours)),"
        + call(
            "emf_constant",
            line_volts="test_volts_yours",
            speed="test_speed_yours",
            connection="test_connection",
        )
        + ',"")',
        "Empty: not measured.",
    ),
    _read(
        "known_phase_resistance",
        "Resistance of one phase, from the bench",
        "Ω",
        "IF(ISNUMBER(terminal_resistance_yours),"
        + call("phase_resistance", terminal_resistance="terminal_resistance_yours", connection="test_connection")
        + ',"")',
        "Empty: not measured.",
        "0.000",
    ),
    _read(
        "known_phase_inductance",
        "Inductance of one phase, from the bench",
        "mH",
        "IF(ISNUMBER(terminal_inductance_yours),"
        + call("phase_inductance", terminal_inductance="terminal_inductance_yours", connection="test_connection")
        + ',"")',
        "Empty: not measured.",
        "0.000",
    ),
    _read(
        "joinings",
        "Ways to join the windings that are tried",
        "",
        'IF(OR(connection_yours="star",connection_yours="delta"),connection_yours,'
        'IF(ISNUMBER(known_phase_volts),"both","star"))',
        "Yours; of a known winding both; else star, as the winding follows.",
        "General",
    ),
    Heading("To begin with"),
    _read(
        "row_nozzle",
        "Nozzle",
        "mm",
        _typed("nozzle", 'MIN(outlet_bore,HYDRO_PLANT(plant_above,"best_nozzle"))'),
        "Yours, or the one of most jet power with the water there is.",
    ),
    _read("row_flow", "Flow", "L/s", 'HYDRO_PLANT(plant_above,"flow","nozzle",row_nozzle)', digits="0.000"),
    _read("row_jet", "Jet velocity", "m/s", 'HYDRO_PLANT(plant_above,"jet_velocity","nozzle",row_nozzle)'),
    _read(
        "row_jet_power", "Power in the jet", "W", 'HYDRO_PLANT(plant_above,"jet_power","nozzle",row_nozzle)', digits="0"
    ),
    _read("expected_watts", "Expected to arrive", "W", "expected_share/100*row_jet_power", digits="0"),
    _read("least_watts", "Counts as able to give", "W", "least_share/100*row_jet_power"),
    _read(
        "row_pitch_least",
        "Pitch circle, at least",
        "mm",
        "pitch_least*" + call("jet_diameter", nozzle="row_nozzle"),
        digits="0",
    ),
    _read(
        "highest_speed",
        "Highest speed at which the cups have their best speed",
        "rpm",
        "MIN(speed_most,"
        + call("runner_speed", jet_velocity="row_jet", pitch_diameter="row_pitch_least", speed_ratio="best_ratio")
        + ")",
        digits="0",
    ),
    _read("speed_step", "Step from speed to speed", "-", "speed_span^(1/(ROWS(speed_watts)-2))", digits="0.0000"),
    _read("nozzle_step", "Step from nozzle to nozzle", "-", "nozzle_span^(2/(ROWS(nozzle_watts)-2))", digits="0.0000"),
    _read("volts_step", "Step from winding to winding", "-", "volts_span^(2/(ROWS(volts_watts)-2))", digits="0.0000"),
    _read("pitch_step", "Step from pitch to pitch", "-", "pitch_span^(2/(ROWS(pitch_watts)-2))", digits="0.0000"),
    Heading("Battery volts"),
    Table(
        ("battery", "charging, V", "current, A", "cable for it, mm²", "power at most, W", "fits, V"),
        tuple(_bank(volts) for volts in BANKS),
        names={"banks_charging": "C", "banks_good": "G"},
        key="banks",
        how={
            "C": "sheet Safety figures",
            "D": "expected to arrive, with the reserve, over the volts",
            "E": "HYDRO_CABLE_RESISTANCE of 1 mm², times current, over the volts that may be lost",
            "F": "sheet Limits",
            "G": "charging volts where power and cable stay within the limits",
        },
    ),
    _read("bank_used", "Battery used", "V", _typed("battery_volts", "proposed_battery_volts"), digits="0.0"),
    _read(
        "target_volts",
        "Volts the winding works against",
        "V",
        'IF(load="battery",bank_used,IF(load="controller",tracker_ratio*bank_used,resistor_volts))',
        "The battery's; before a controller more; on a resistor what it then has.",
        digits="0.0",
    ),
    _read(
        "resistor_volts",
        "Volts of a resistor load",
        "V",
        "IF(N(load_resistance)>0,SQRT(expected_watts*load_resistance),bank_used)",
        digits="0.0",
    ),
    _read(
        "row_circuit_volts",
        "with cable and diodes",
        "V",
        "target_volts*(1+drop_most/100)+2*diode_drop",
        "Two diodes conduct at a time.",
        digits="0.0",
    ),
    Heading("Copper of an alternator that will do"),
    _read("copper_speed_used", "Speed at which it is judged", "rpm", "MIN(copper_speed,highest_speed)", digits="0"),
    _read(
        "copper_current",
        "Current of a winding of 1 V/krpm there",
        "A",
        "expected_watts/"
        + call("open_circuit_volts", speed="copper_speed_used", phase_volts="1", connection='"star"'),
    ),
    _read(
        "copper_ohms",
        "Resistance of such a winding, at most",
        "Ω",
        "copper_share/100*expected_watts/("
        + call("copper_loss", current="1", phase_resistance="1", connection='"star"')
        + "*copper_current^2)",
        digits="0.00000",
    ),
    _read(
        "copper_ratio",
        "Resistance of one phase over the square of its volts per 1000 rpm",
        "Ω/(V/krpm)²",
        "IF(AND(ISNUMBER(known_phase_volts),ISNUMBER(known_phase_resistance)),"
        "known_phase_resistance/known_phase_volts^2,copper_ohms)",
        "Of the known winding, or of one that will do.",
        digits="0.00000",
    ),
    _read(
        "winding_used",
        "Inductance over resistance of a winding",
        "mH/Ω",
        "IF(AND(ISNUMBER(known_phase_inductance),N(known_phase_resistance)>0),"
        "known_phase_inductance/known_phase_resistance,winding_ratio)",
    ),
    _read(
        "copper_loss_each",
        "Copper loss of 1 A in a winding of 1 V/krpm",
        "W",
        call("copper_loss", current="1", phase_resistance="copper_ratio", connection='"star"'),
        digits="0.00000",
    ),
    _read("volts_bound", "Winding, at most", "V/krpm", "MIN(volts_most,SQRT(ohms_most/copper_ratio))"),
    _read(
        "joined_ratio",
        "Volts of a winding as joined, over those in star",
        "-",
        f'IF(joinings="delta",{call("open_circuit_volts", speed="copper_speed_used", phase_volts="1", connection=chr(34) + "star" + chr(34))}'
        f'/{call("open_circuit_volts", speed="copper_speed_used", phase_volts="1", connection=chr(34) + "delta" + chr(34))},1)',
        "The same copper, joined in delta, needs 1.73 times the volts.",
        digits="0.000",
    ),
    Heading("Speeds", new_page=True),
    Table(
        (
            "tried",
            "speed, rpm",
            "pitch of that speed, mm",
            "shaft, W",
            "shaft less iron, W",
            "d.c. for 1 V/krpm, V",
            "inductance takes, V/A",
            "A x V/krpm, first",
            "A x V/krpm",
            "less copper, W",
            "current, A",
            "winding that fits, V/krpm",
            "joined",
            *_HEADS,
            "star, W",
            "delta, W",
            "counts, W",
        ),
        (
            ("name", *("",) * 11, "connection", *(name for name, _, _ in _PLANT), "", "", ""),
            *(_speed(i) for i in range(1, SPEEDS + 1)),
        ),
        names={
            "speeds_tried": "C",
            "speed_currents": "L",
            "speed_pitches": "P",
            "speed_volts": "Q",
            "star_watts": "W",
            "delta_watts": "X",
            "speed_watts": "Y",
        },
        key="speeds",
    ),
    _read("row_speed", "Best speed", "rpm", _where_best("speeds_tried", "speed_watts"), digits="0"),
    _read("row_pitch", "Its pitch circle", "mm", _where_best("speed_pitches", "speed_watts"), digits="0.0"),
    _read("row_volts", "Its winding", "V/krpm", _where_best("speed_volts", "speed_watts")),
    _read(
        "connection_used",
        "Windings joined",
        "",
        'IF(joinings="both",proposed_connection,joinings)',
        digits="General",
    ),
    Heading("Cable"),
    _read(
        "cable_current",
        "Current it is chosen for",
        "A",
        f"current_reserve*MAX({_where_best('speed_currents', 'speed_watts')},MAX(speed_watts)/target_volts)",
        "That of the best speed, worked out both ways, with the reserve.",
    ),
    _read(
        "cable_fuse",
        "Fuse for that current",
        "A",
        _fuse("cable_current"),
        "Empty: more than the largest of the series.",
        "0",
    ),
    Table(
        ("conductor", "area, mm²", "out and back, Ω", "lost, %", "carries, A", "fits, mm²"),
        tuple(_area(area) for area in AREAS),
        names={"areas_listed": "C", "areas_good": "G"},
        key="areas",
        how={
            "C": "standard sizes, IEC 60228",
            "E": "current times resistance, of the battery's volts",
            "G": "area where loss and fuse stay within the limits",
        },
    ),
    _read(
        "area_used", "Area used", "mm²", _typed("cable_area", "proposed_cable_area"), digits="0.0"
    ),
    _read(
        "cable_used",
        "Its resistance, out and back",
        "Ω",
        call(
            "cable_resistance",
            length="cable_length",
            area="area_used",
            material="cable_material",
            conductor_temperature="cable_temperature",
        ),
        digits="0.0000",
    ),
    _read(
        "ampacity_used",
        "It carries",
        "A",
        _carries("area_used"),
        "0: the standard's table has no such size.",
        "0.0",
    ),
    Heading("Nozzle", new_page=True),
    Table(
        ("tried", *_HEADS, "battery, W", "pitch at least, mm", "pitch of that speed, mm", "jet, m/s"),
        ((*_names(), *("",) * 4), *(_nozzle(i) for i in range(1, NOZZLES + 1))),
        names={"nozzles_tried": "C", "nozzle_pitches": "D", "nozzle_watts": "K"},
        key="nozzles_tried",
    ),
    _read("nozzle_used", "Nozzle used below", "mm", _typed("nozzle", "proposed_nozzle")),
    _read(
        "nozzle_pitch",
        "Its pitch circle",
        "mm",
        f"IF(ISNUMBER(nozzle_yours),row_pitch,{_where_best('nozzle_pitches', 'nozzle_watts')})",
        digits="0.0",
    ),
    _read(
        "pitch_least_used",
        "Pitch circle, at least",
        "mm",
        "pitch_least*" + call("jet_diameter", nozzle="nozzle_used"),
        digits="0",
    ),
    Heading("Winding", new_page=True),
    Table(
        ("tried", *_HEADS, "battery, W", "stays good, V/krpm", "pitch of its speed, mm"),
        ((*_names(), "", "", ""), *(_volts(i) for i in range(1, VOLTS + 1))),
        names={"volts_tried": "E", "volts_watts": "K", "volts_good": "L"},
        key="volts",
    ),
    _read(
        "volts_used",
        "Winding used below",
        "V/krpm",
        "IF(ISNUMBER(known_phase_volts),known_phase_volts,proposed_phase_volts)",
    ),
    _read(
        "volts_pitch",
        "Pitch circle of its speed",
        "mm",
        "MIN(pitch_most,MAX(pitch_least_used,nozzle_pitch*volts_used/row_volts))",
        "The wheel of a winding of more volts runs slower by as much.",
        "0.0",
    ),
    Heading("Pitch circle", new_page=True),
    Table(
        ("tried", *_HEADS, "battery, W"),
        ((*_names(), ""), *(_pitch_row(i) for i in range(1, PITCHES + 1))),
        names={"pitches_tried": "D", "pitch_watts": "K"},
        key="pitches",
    ),
    _read("pitch_used", "Pitch circle used below", "mm", _typed("pitch_diameter", "proposed_pitch"), digits="0.0"),
    Heading("Nozzles at hand"),
    _read(
        "drill_step_used",
        "Drills come in steps of",
        "mm",
        "IF(proposed_nozzle<fine_drills_to,fine_drill_step,drill_step)",
        digits="0.0",
    ),
    Table(
        ("drills round the nozzle made to measure", "drill, mm"),
        tuple(
            (
                f"drill {i}",
                Formula(
                    "=drill_step_used*MAX(1,ROUND(proposed_nozzle/drill_step_used,0)+ROWS(B${first}:B{row})-6)",
                    "0.0",
                    name=f"drill_size_{i}",
                ),
            )
            for i in range(1, AT_HAND + 1)
        ),
        key="drills",
        how={"C": "whole steps, from five below to six above"},
    ),
    Table(
        ("sizes at hand", *_HEADS, "battery, W"),
        ((*_names(), ""), *(_at_hand(i) for i in range(1, AT_HAND + 1))),
        names={"hand_openings": "C", "hand_gives": "K"},
        key="at_hand",
    ),
    _read("final_nozzle", "Nozzle used below", "mm", _typed("nozzle", "recommended_nozzle"), digits="0.0"),
    Heading("The plant as proposed"),
    Table(
        ("the plant", *_HEADS, "battery, W", "current, A", "speed, rpm"),
        (
            (*_names(), "", "", ""),
            _final("as proposed", "final"),
            _final("with the nozzle made to measure", "measure", nozzle="nozzle_used"),
            _final("with the nozzle to drill", "recommended", nozzle="recommended_nozzle"),
            _final("battery full", "charged", battery_volts="dump_volts_used"),
        ),
        key="final",
    ),
    _read("best_watts", "Most watts of all", "W", "MAX(measure_watts,recommended_watts)", digits="0.0"),
    _read(
        "final_fuse",
        "Fuse for the current of the plant",
        "A",
        _fuse("final_current"),
        "Empty: more than the largest of the series.",
        "0",
    ),
)

PAGE = Page(
    "Choices",
    "What is proposed where you have not chosen yet: nozzle, wheel, alternator, battery, cable, fuse, dump load.",
    (*_PROPOSED, *_WORKINGS),
    pages=0,
)
CHECKS = ()
