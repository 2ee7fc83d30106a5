"""Tried: how the proposals of sheet Choices are sought. Workings, no page for typing.

Nozzle, pitch circle and winding belong together, so they are sought together: some sixteen speeds, each with the pitch
circle and the winding that fit it; then finer steps of nozzle, winding and pitch circle, one after the other, and in
the end the nozzles at hand. Battery volts, cable, fuse and dump load have no best value (more is always better): they
follow from rules with limits.

The sheet reads the rows of the plant's block above the choices (`plant_above`), and what is typed for a choice itself
(names that begin with `typed_`, "" where nothing is typed). It never reads what counts of a choice: that would be a
circle.

Winding. One machine can be wound for any volts: with the same copper, resistance R and inductance L of a phase grow
with the square of the volts k that it gives per 1000 rpm: R = copper_ratio k², L = winding_used R. So
z = current x k follows from the power alone, and k from what remains after the copper loss:

    u z = W + x z²        u: d.c. volts for 1 V/krpm, W: power at the shaft less iron, x: drop of the inductance
    I = (W - r z²) / (V + cable + diodes),  k = z / I        r: copper loss of 1 A in a winding of 1 V/krpm
"""

from ..chain import call, of_plant
from ..model import PASS, WRAP, Formula, Heading, Page, Result, Table
from .choices import where_best
from .nozzle import AT_HAND

SPEEDS, NOZZLES, VOLTS, PITCHES = 16, 15, 31, 9
CABLES = 9  # sizes on sale, sheet Safety figures
BANKS = (12, 24, 48)
ABOVE = "plant_above"

# The columns that stand for a plant: name in the functions, head, digits, what holds in all rows of a table.
_PLANT = (
    ("nozzle", "nozzle, mm", "0.00", "nozzle_used"),
    ("pitch_diameter", "pitch circle, mm", "0.0", ""),
    ("phase_volts", "one phase, V/krpm", "0.00", ""),
    ("phase_resistance", "one phase, Ω", "0.000", ""),
    ("phase_inductance", "one phase, mH", "0.000", ""),
    ("cable_resistance", "cable, Ω", "0.0000", "cable_used"),
    ("battery_volts", "battery, V", "0.0", "bank_used"),
    ("load_resistance", "resistor, Ω", "0.00", "resistor_used"),
    ("windage", "windage, W/krpm³", "0.000", ""),
    ("connection", "joined", "General", "connection_used"),
)
_NAMES = tuple(name for name, *_ in _PLANT)
_HEADS = tuple(head for _, head, *_ in _PLANT)
_COLUMNS = tuple("CDEFGHIJKL")
_HOW = {  # of the columns that say the same in all tables
    "F": "copper_ratio x square of the volts",
    "G": "winding_used x ohms",
    "K": "yours, or a usual one of that pitch circle",
}


def _typed(name, otherwise):
    """What is typed for a choice, or something else where nothing is."""
    return f"IF(ISNUMBER(typed_{name}),typed_{name},{otherwise})"


def _within(least, pitch):
    """A pitch circle that can be built; what is typed is both floor and ceiling."""
    return f"MIN(pitch_ceiling,MAX(pitch_floor,{least},{pitch}))"


def _row(label, columns=_COLUMNS, **formulas):
    """A plant, by its columns. What is not said is the same in all rows."""
    pitch, volts, ohms = columns[1:4]
    formulas = {
        "windage": _windage(f"{pitch}{{row}}"),
        "phase_resistance": f"IF(ISNUMBER(fixed_ohms),fixed_ohms,copper_ratio*{volts}{{row}}^2)",
        "phase_inductance": f"IF(ISNUMBER(fixed_henries),fixed_henries,winding_used*{ohms}{{row}})",
    } | formulas
    texts = ((formulas.get(name, usual), digits, name == "connection") for name, _, digits, usual in _PLANT)
    return (label, *(Formula(f"={text}", digits, words=words, guard=_guard(text)) for text, digits, words in texts))


def _guard(text):
    """A formula that only shows a cell is "" where that cell is."""
    return PASS if text.isidentifier() else WRAP


def _ask(quantity, first="C", last="L"):
    """A quantity of the plant of a row; the first row of the table holds the names."""
    names, values = f"{first}${{first}}:{last}${{first}}", f"{first}{{row}}:{last}{{row}}"
    return of_plant(quantity, names, values, block=ABOVE)


def _watts(first="C", last="L"):
    return Formula(f"={_ask('battery_watts', first, last)}", "0.0")


def _windage(pitch):
    return f"MIN(windage_most,windage_base*({pitch}/usual_pitch)^windage_power)"


def _stepped(name):
    """A value stepped in equal ratios, by the row of its table."""
    return f"{name}_start*{name}_step^(ROWS(B${{first}}:B{{row}})-2)"


def _pitch_of(jet, speed):
    return call("pitch_diameter", jet_velocity=jet, speed=speed, speed_ratio="best_ratio")


def _jet(nozzle):
    return f"MAX(jet_least,{of_plant('jet_velocity', 'nozzle', nozzle, block=ABOVE)})"


def _least_pitch(nozzle):
    return "pitch_least*" + call("jet_diameter", nozzle=nozzle)


def _line(name, label, unit, formula, note="", digits="0.00"):
    return Result(name, label, unit, f"={formula}", note, digits)


# -- speeds --------------------------------------------------------------------------------------------------


def _speed(i):
    return (
        f"speed {i}",
        Formula("=highest_speed*speed_beyond/speed_step^(ROWS(B${first}:B{row})-2)", "0"),
        Formula("=" + _within("row_pitch_least", "R{row}"), "0.0"),
        Formula("=row_nozzle", "0.00"),
        Formula("=" + _windage("D{row}"), "0.000"),
        Formula(f"={_ask('wheel_power', 'C', 'F')}", "0.0"),
        Formula("=MAX(least_watts,G{row}-iron_drag*C{row}*2*PI()/60)", "0.0"),
        Formula("=" + call("open_circuit_volts", speed="C{row}", phase_volts="1", connection='"star"'), "0.000"),
        Formula("=drop_each*" + call("electrical_frequency", speed="C{row}", pole_pairs="pole_pairs"), "0.0000"),
        Formula("=H{row}/I{row}", "0.0"),
        Formula("=(H{row}+J{row}*K{row}^2)/I{row}", "0.0"),
        Formula("=MAX(least_watts,H{row}-copper_loss_each*L{row}^2)", "0.0"),
        Formula("=M{row}/row_circuit_volts", "0.00"),
        Formula("=MIN(volts_bound,joined_ratio*L{row}/N{row})", "0.00"),
        Formula("=IF(ISNUMBER(known_phase_volts),known_phase_volts,O{row})", "0.00"),
        Formula("=MIN(ohms_most,cable_drop/100*target_volts/N{row})", "0.0000"),
        Formula("=" + _pitch_of("row_jet", "C{row}"), "0.0"),
    )


def _of_speed(column):
    return f"INDEX({column},ROWS(B${{first}}:B{{row}}))"


def _speed_tried(i):
    label, *row = _row(
        f"speed {i}",
        tuple("DEFGHIJKLM"),
        nozzle="row_nozzle",
        pitch_diameter=_of_speed("speed_pitches"),
        phase_volts=_of_speed("speed_volts"),
        cable_resistance=_of_speed("speed_cables"),
        connection='"delta"',
    )
    best = Formula('=IF(joinings="star",N{row},IF(joinings="delta",O{row},MAX(N{row},O{row})))', "0.0")
    return (label, Formula('="star"', words=True), *row, _watts("C", "L"), _watts("D", "M"), best)


# -- finer steps ---------------------------------------------------------------------------------------------


def _nozzle(i):
    nozzle = f"MIN(widest_nozzle,{_stepped('nozzle')})"
    pitch = _within("N{row}", "O{row}")
    return (
        *_row(f"nozzle {i}", nozzle=nozzle, pitch_diameter=pitch, phase_volts="first_volts"),
        _watts(),
        Formula("=" + _least_pitch("C{row}"), "0.0"),
        Formula("=" + _pitch_of("MAX(jet_least,P{row})", "row_speed"), "0.0"),
        Formula("=" + of_plant("jet_velocity", "nozzle", "C{row}", block=ABOVE), "0.00"),
    )


def _winding(i):
    pitch = _within("pitch_least_used", "O{row}")
    return (
        *_row(f"winding {i}", pitch_diameter=pitch, phase_volts=_stepped("volts")),
        _watts(),
        Formula('=IF(M{row}>=(1-good_loss/100)*MAX(volts_watts),E{row},"")', "0.00"),
        Formula("=nozzle_pitch*E{row}/row_volts", "0.0"),
    )


def _pitch(i):
    pitch = "MIN(pitch_most,MAX(pitch_least_used,N{row}))"
    row = _row(f"pitch circle {i}", pitch_diameter=pitch, phase_volts="volts_used")
    return (*row, _watts(), Formula(f"={_stepped('pitch')}", "0.0"))


def _at_hand(i):
    nozzle = 'IF(ISNUMBER(N{row}),IF(N{row}<=widest_nozzle,N{row},""),"")'
    row = _row(f"size {i}", nozzle=nozzle, pitch_diameter="pitch_used", phase_volts="volts_used")
    return (
        *row,
        Formula(f'=IF(O{{row}},{_ask("battery_watts")},"")', "0.0", guard=PASS),
        Formula(f"=nozzle_size_{i}", "0.0", guard=PASS),
        Formula("=ISNUMBER(C{row})", guard=PASS),
    )


def _drill(i):
    steps = "MAX(1,drill_start+ROWS(B${first}:B{row}))"
    return (f"drill {i}", Formula(f"=drill_step_used*{steps}", "0.0", name=f"drill_size_{i}"))


def _final(name, label, nozzle, **formulas):
    """A row whose watts, current and speed have names that begin with `name`."""
    quantities = (("battery_watts", "watts", "0.0"), ("current", "current", "0.00"), ("speed", "speed", "0"))
    return (
        *_row(label, nozzle=nozzle, pitch_diameter="pitch_used", phase_volts="volts_used", **formulas),
        *(Formula(f"={_ask(quantity)}", digits, name=f"{name}_{end}") for quantity, end, digits in quantities),
    )


# -- rules ---------------------------------------------------------------------------------------------------


def _ohms(area, temperature):
    return call(
        "cable_resistance",
        length="cable_length",
        area=area,
        material="cable_material",
        conductor_temperature=temperature,
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
    size = call("fuse_size", current=current, ampacity="2*fuse_largest", fuse_margin="fuse_margin")
    return f'IFERROR({size},"")'


def _fuse_lines(name, label):
    """The fuse for a current, and what that fuse needs of the cable."""
    return (
        _line(f"{name}_fuse", label, "A", _fuse(f"{name}_current"), "Empty: more than the largest of the series.", "0"),
        _line(
            f"{name}_fuse_needs",
            f"{label}: it needs a cable for",
            "A",
            f'IFERROR(HYDRO_FUSE_AMPACITY({name}_fuse),"")',
            "More than its rating: a fuse blows only well above it.",
            "0.0",
        ),
    )


def _bank(volts):
    return (
        f"{volts} V",
        volts,
        Formula("=IF(I{row}>0,I{row},block_charging*C{row}/12)", "0.0"),
        Formula("=current_reserve*expected_watts/D{row}", "0.0"),
        Formula("=ohms_of_1*E{row}/(cable_drop/100*D{row})", "0.0"),
        Formula(f"=most_at_{volts}", "0"),
        Formula('=IF(AND(expected_watts<=G{row},F{row}<=thickest_cable),D{row},"")', "0.0"),
        Formula(f"=N(charging_{volts})", "0.0"),
    )


def _cable(i):
    return (
        f"cable {i}",
        Formula(f"=N(cable_size_{i})", "0.0"),
        Formula('=IF(C{row}>0,ohms_of_1/C{row},"")', "0.0000"),
        Formula('=IF(C{row}>0,100*cable_current*D{row}/bank_used,"")', "0.0"),
        Formula(f"={_carries('C{row}')}", "0.0"),
        Formula('=IF(AND(C{row}>0,E{row}<=cable_drop,cable_fuse_needs<=F{row}),C{row},"")', "0.0"),
    )


_DC_OF_ONE = call("open_circuit_volts", speed="copper_speed_used", phase_volts="1", connection='"{}"')
_BENCH = (
    _line(
        "bench_volts",
        "Volts of one phase per 1,000 rpm, from the bench",
        "V/krpm",
        "IF(AND(ISNUMBER(test_volts),ISNUMBER(test_speed)),"
        + call("emf_constant", line_volts="test_volts", speed="test_speed", connection="test_connection")
        + ',"")',
        "Empty: not measured.",
    ),
    _line(
        "known_phase_volts",
        "Volts of one phase per 1,000 rpm, as known",
        "V/krpm",
        _typed("phase_volts", "bench_volts"),
        "Typed, or from the bench. Empty: not known.",
    ),
    _line(
        "bench_ohms",
        "Resistance of one phase, from the bench",
        "Ω",
        "IF(ISNUMBER(terminal_resistance),"
        + call("phase_resistance", terminal_resistance="terminal_resistance", connection="test_connection")
        + ',"")',
        "Empty: not measured.",
        "0.000",
    ),
    _line(
        "known_phase_resistance",
        "Resistance of one phase, as known",
        "Ω",
        _typed("phase_resistance", "bench_ohms"),
        "Typed, or from the bench. Empty: not known.",
        "0.000",
    ),
    _line(
        "bench_henries",
        "Inductance of one phase, from the bench",
        "mH",
        "IF(ISNUMBER(terminal_inductance),"
        + call("phase_inductance", terminal_inductance="terminal_inductance", connection="test_connection")
        + ',"")',
        "Empty: not measured.",
        "0.000",
    ),
    _line(
        "known_phase_inductance",
        "Inductance of one phase, as known",
        "mH",
        _typed("phase_inductance", "bench_henries"),
        "Typed, or from the bench. Empty: not known.",
        "0.000",
    ),
    _line(
        "winding_known",
        "Volts and ohms of a winding are known",
        "",
        "AND(ISNUMBER(known_phase_volts),N(known_phase_resistance)>0)",
        digits="General",
    ),
    _line(
        "fixed_ohms",
        "Resistance that no other volts can change",
        "Ω",
        'IF(winding_known,"",known_phase_resistance)',
        "Known without the volts of its winding. Empty: ohms go with the square of the volts.",
        "0.000",
    ),
    _line(
        "fixed_henries",
        "Inductance that no other volts can change",
        "mH",
        'IF(winding_known,"",known_phase_inductance)',
        "As the line before.",
        "0.000",
    ),
    _line(
        "joinings",
        "Ways to join the windings that are tried",
        "",
        'IF(OR(typed_connection="star",typed_connection="delta"),typed_connection,'
        'IF(ISNUMBER(known_phase_volts),"both","star"))',
        "Yours; of a known winding both; else star, as the winding follows.",
        "General",
    ),
)
_WATER = (
    _line(
        "row_nozzle",
        "Nozzle to begin with",
        "mm",
        _typed("nozzle", f"MIN(widest_nozzle,MAX(nozzle_least,{of_plant('best_nozzle', block=ABOVE)}))"),
        "Yours, or the one of most jet power with the water there is.",
    ),
    _line(
        "row_flow", "Flow of that nozzle", "L/s", of_plant("flow", "nozzle", "row_nozzle", block=ABOVE), digits="0.000"
    ),
    _line("row_jet", "Velocity of its jet", "m/s", _jet("row_nozzle")),
    _line(
        "row_jet_power",
        "Power in its jet",
        "W",
        f"MAX(watts_least,{of_plant('jet_power', 'nozzle', 'row_nozzle', block=ABOVE)})",
        digits="0.0",
    ),
    _line("expected_watts", "Expected to arrive at the battery", "W", "expected_share/100*row_jet_power", digits="0.0"),
    _line("least_watts", "A speed counts as able to give", "W", "least_share/100*row_jet_power"),
    _line("row_pitch_least", "Pitch circle for that jet, at least", "mm", _least_pitch("row_nozzle"), digits="0.0"),
    _line(
        "highest_speed",
        "Highest speed at which the cups have their best speed",
        "rpm",
        "MIN(speed_most,"
        + call("runner_speed", jet_velocity="row_jet", pitch_diameter="row_pitch_least", speed_ratio="best_ratio")
        + ")",
        digits="0",
    ),
    _line(
        "pitch_floor",
        "Pitch circle, not below",
        "mm",
        "N(typed_pitch_diameter)",
        "Yours, which is then the only one tried.",
        "0.0",
    ),
    _line(
        "pitch_ceiling",
        "Pitch circle, not above",
        "mm",
        _typed("pitch_diameter", "pitch_most"),
        "Yours, which is then the only one tried.",
        "0.0",
    ),
    _line("speed_step", "Ratio of a speed to the next", "-", "speed_span^(1/(ROWS(speed_gives)-2))", digits="0.0000"),
    _line(
        "windage_base",
        "Windage: yours, or that of a wheel of the usual size",
        "W/krpm³",
        _typed("windage", "usual_windage"),
    ),
    _line(
        "windage_power",
        "It goes with the pitch circle to the power of",
        "-",
        "IF(ISNUMBER(typed_windage),0,fan_power)",
        "0: yours is what it is.",
        digits="0",
    ),
    _line("nozzle_start", "Smallest nozzle tried", "mm", "row_nozzle/nozzle_span"),
    _line(
        "nozzle_step", "Ratio of a nozzle to the next", "-", "nozzle_span^(2/(ROWS(nozzle_watts)-2))", digits="0.0000"
    ),
    _line("volts_step", "Ratio of a winding to the next", "-", "volts_span^(2/(ROWS(volts_watts)-2))", digits="0.0000"),
    _line(
        "pitch_step",
        "Ratio of a pitch circle to the next",
        "-",
        "pitch_span^(2/(ROWS(pitch_watts)-2))",
        digits="0.0000",
    ),
)
_BANK = (
    _line("ohms_of_1", "Cable of 1 mm², out and back, warm", "Ω", _ohms("1", "cable_warm"), digits="0.0000"),
    Table(
        (
            "battery",
            "nominal, V",
            "charging, V",
            "current, A",
            "cable for it, mm²",
            "power at most, W",
            "fits, V",
            "yours, V",
        ),
        tuple(_bank(volts) for volts in BANKS),
        names={"banks_charging": "D", "banks_good": "H"},
        key="banks",
        how={
            "D": "yours; else as many blocks of 12 V as it has",
            "E": "expected to arrive, with the reserve, over the volts",
            "F": "ohms of 1 mm² x current, over the volts that may be lost",
            "G": "sheet Limits",
            "H": "charging volts where power and cable stay within the limits",
            "I": "sheet Safety figures",
        },
    ),
    _line(
        "named_bank",
        "A battery of that name charges at",
        "V",
        "block_charging*N(battery_nominal)/12",
        "0: nobody gave its name.",
        "0.0",
    ),
    _line(
        "rule_bank",
        "The lowest that fits; else the highest",
        "V",
        "IF(COUNT(banks_good)>0,MIN(banks_good),MAX(banks_charging))",
        digits="0.0",
    ),
    _line(
        "bank_used",
        "Battery volts while charging",
        "V",
        _typed("battery_volts", "proposed_battery_volts"),
        digits="0.0",
    ),
    _line("resistor_used", "Resistor load", "Ω", _typed("load_resistance", "proposed_load_resistance")),
    _line(
        "resistor_volts",
        "Volts of the resistor with what is expected",
        "V",
        "SQRT(expected_watts*resistor_used)",
        digits="0.0",
    ),
    _line(
        "target_volts",
        "Volts that the winding works against",
        "V",
        'IF(load="battery",bank_used,IF(load="controller",tracker_ratio*bank_used,resistor_volts))',
        "The battery's; before a controller more; on a resistor what it then has.",
        "0.0",
    ),
    _line(
        "row_circuit_volts",
        "Those with cable and diodes",
        "V",
        "target_volts*(1+cable_drop/100)+2*diode_drop",
        "Two diodes conduct at a time.",
        "0.0",
    ),
)
_COPPER = (
    _line(
        "copper_speed_used",
        "Speed at which the copper is judged",
        "rpm",
        "MIN(copper_speed,highest_speed)",
        digits="0",
    ),
    _line(
        "copper_current",
        "Current there of a winding of 1 V/krpm",
        "A",
        f"expected_watts/{_DC_OF_ONE.format('star')}",
    ),
    _line(
        "copper_ohms",
        "Resistance of such a winding, at most",
        "Ω",
        "copper_share/100*expected_watts/("
        + call("copper_loss", current="1", phase_resistance="1", connection='"star"')
        + "*copper_current^2)",
        digits="0.00000",
    ),
    _line(
        "copper_ratio",
        "Resistance of one phase, wound for 1 V/krpm",
        "Ω",
        "IF(winding_known,known_phase_resistance/known_phase_volts^2,copper_ohms)",
        "Of the known winding, or of one that will do; ohms go with the square of the volts.",
        "0.00000",
    ),
    _line(
        "drop_each",
        "Drop of inductance at 1 Hz of a winding of 1 V/krpm",
        "Ω",
        "bridge_pulses*winding_used/1000*copper_ratio",
        digits="0.000000",
    ),
    _line(
        "winding_used",
        "Inductance of one phase for each ohm",
        "mH",
        "IF(AND(winding_known,ISNUMBER(known_phase_inductance)),"
        "known_phase_inductance/known_phase_resistance,winding_ratio)",
        "Of the known winding, or a usual one.",
        "0.000",
    ),
    _line(
        "copper_loss_each",
        "Copper loss of 1 A in a winding of 1 V/krpm",
        "W",
        call("copper_loss", current="1", phase_resistance="copper_ratio", connection='"star"'),
        digits="0.00000",
    ),
    _line("volts_bound", "Winding that is tried, at most", "V/krpm", "MIN(volts_most,SQRT(ohms_most/copper_ratio))"),
    _line(
        "delta_ratio",
        "Volts in star over those in delta, of the same winding",
        "-",
        f"{_DC_OF_ONE.format('star')}/{_DC_OF_ONE.format('delta')}",
        digits="0.000",
    ),
    _line(
        "joined_ratio",
        "Winding as joined for the tries, over one in star",
        "-",
        'IF(joinings="delta",delta_ratio,1)',
        "The same copper, joined in delta, needs more volts.",
        "0.000",
    ),
)
_CABLE = (
    _line(
        "cable_current",
        "Current that the cable is chosen for",
        "A",
        "current_reserve*MAX(INDEX(speed_currents,best_row),MAX(speed_gives)/target_volts)",
        "That of the best speed, worked out both ways, with the reserve.",
    ),
    *_fuse_lines("cable", "Fuse for the current that the cable is chosen for"),
    Table(
        ("cable", "area, mm²", "out and back, Ω", "lost, %", "carries, A", "fits, mm²"),
        tuple(_cable(i) for i in range(1, CABLES + 1)),
        names={"areas_listed": "C", "areas_good": "G"},
        key="areas",
        how={
            "C": "sizes on sale (sheet Safety figures)",
            "D": "ohms of 1 mm² over the area",
            "E": "current times resistance, of the battery's volts",
            "F": "HYDRO_CABLE_AMPACITY; 0 where its table has no such size",
            "G": "area where loss and fuse stay within the limits",
        },
    ),
    _line("area_used", "Area of one conductor", "mm²", _typed("cable_area", "proposed_cable_area"), digits="0.0"),
    _line(
        "cable_used",
        "Resistance of the cable, out and back",
        "Ω",
        _typed("cable_resistance", _ohms("area_used", "cable_temperature")),
        digits="0.0000",
    ),
    _line(
        "ampacity_used",
        "The cable carries",
        "A",
        _carries("area_used"),
        "0: the standard's table has no such size.",
        "0.0",
    ),
)
_SPEED_TABLES = (
    Table(
        (
            "tried",
            "speed, rpm",
            "pitch circle, mm",
            "nozzle, mm",
            "windage, W/krpm³",
            "shaft, W",
            "less iron, W",
            "d.c. at 1 V/krpm, V",
            "drop of inductance, Ω",
            "at 1 V/krpm, first guess, A",
            "at 1 V/krpm, A",
            "less copper, W",
            "current, A",
            "winding that fits, V/krpm",
            "winding tried, V/krpm",
            "cable of that loss, Ω",
            "pitch of that speed, mm",
        ),
        (
            ("name", "speed", "pitch_diameter", "nozzle", "windage", *("",) * 12),
            *(_speed(i) for i in range(1, SPEEDS + 1)),
        ),
        names={
            "speeds_tried": "C",
            "speed_pitches": "D",
            "speed_currents": "N",
            "speed_windings": "O",
            "speed_volts": "P",
            "speed_cables": "Q",
        },
        key="speeds",
        how={
            "C": "from the highest downwards in equal ratios",
            "D": "yours, or that of the speed within the limits",
            "E": "the nozzle to begin with",
            "J": "drop_each x HYDRO_ELECTRICAL_FREQUENCY",
            "K": "watts less iron over d.c. volts",
            "L": "with what the drop of inductance adds to the volts",
            "P": "the known winding, or the one that fits",
        },
    ),
    Table(
        ("tried", "joined", *_HEADS, "star, W", "delta, W", "counts, W"),
        (("name", "connection", *_NAMES, "", "", ""), *(_speed_tried(i) for i in range(1, SPEEDS + 1))),
        names={"star_watts": "N", "delta_watts": "O", "speed_gives": "P"},
        key="speeds_tried",
        how={
            "D": "the nozzle to begin with",
            "E": "table before",
            "F": "table before",
            "G": "ohms that go with those volts",
            "H": "millihenries that go with those ohms",
            "I": "table before",
            "L": "yours, or a usual one of that pitch circle",
            "P": "the better of the ways that are tried",
        },
    ),
    _line("delta_gain", "Most watts in delta over most in star", "W", "MAX(delta_watts)-MAX(star_watts)", digits="0.0"),
    _line("best_row", "Place of the best speed", "-", "MATCH(MAX(speed_gives),speed_gives,0)", digits="0"),
    _line("row_speed", "Best speed", "rpm", "INDEX(speeds_tried,best_row)", digits="0"),
    _line("row_pitch", "Pitch circle of the best speed", "mm", "INDEX(speed_pitches,best_row)", digits="0.0"),
    _line(
        "connection_used",
        "Windings joined in",
        "",
        'IF(joinings="both",proposed_connection,joinings)',
        "Yours, or as proposed.",
        "General",
    ),
    _line(
        "used_ratio",
        "Winding as joined, over one in star",
        "-",
        'IF(connection_used="delta",delta_ratio,1)',
        digits="0.000",
    ),
    _line(
        "row_volts",
        "Winding that fits the best speed, as joined",
        "V/krpm",
        "INDEX(speed_windings,best_row)*used_ratio/joined_ratio",
    ),
)
_NOZZLES = (
    _line(
        "first_volts",
        "Winding for the tries below",
        "V/krpm",
        "IF(ISNUMBER(known_phase_volts),known_phase_volts,row_volts)",
    ),
    Table(
        ("tried", *_HEADS, "battery, W", "pitch at least, mm", "pitch of that speed, mm", "jet, m/s"),
        (("name", *_NAMES, "", "", "", ""), *(_nozzle(i) for i in range(1, NOZZLES + 1))),
        names={"nozzles_tried": "C", "nozzle_pitches": "D", "nozzle_watts": "M"},
        key="nozzles_tried",
        how=_HOW
        | {
            "C": "round the nozzle to begin with, in equal ratios",
            "D": "yours, or that of the speed within the limits",
            "N": "jet diameter x the least ratio",
        },
    ),
    _line("nozzle_used", "Nozzle for the tries below", "mm", _typed("nozzle", "proposed_nozzle")),
    _line(
        "nozzle_pitch",
        "Pitch circle of that nozzle",
        "mm",
        f"IF(ISNUMBER(typed_nozzle),row_pitch,{where_best('nozzle_pitches', 'nozzle_watts')})",
        digits="0.0",
    ),
    _line(
        "pitch_least_used", "Pitch circle for that nozzle, at least", "mm", _least_pitch("nozzle_used"), digits="0.0"
    ),
)
_WINDINGS = (
    _line("volts_start", "Fewest volts tried", "V/krpm", "row_volts/volts_span"),
    Table(
        ("tried", *_HEADS, "battery, W", "stays good, V/krpm", "pitch of its speed, mm"),
        (("name", *_NAMES, "", "", ""), *(_winding(i) for i in range(1, VOLTS + 1))),
        names={"volts_tried": "E", "volts_watts": "M", "volts_good": "N"},
        key="volts",
        how=_HOW
        | {
            "D": "yours, or that of its speed within the limits",
            "E": "round that of the best speed, in equal ratios",
            "N": "volts whose watts come close enough to the best",
            "O": "a winding of more volts runs slower by as much",
        },
    ),
    _line(
        "volts_used",
        "Winding for the tries below",
        "V/krpm",
        "IF(ISNUMBER(known_phase_volts),known_phase_volts,proposed_phase_volts)",
    ),
    _line(
        "volts_pitch",
        "Pitch circle of its speed",
        "mm",
        "IF(ISNUMBER(known_phase_volts),nozzle_pitch,nozzle_pitch*volts_used/row_volts)",
        digits="0.0",
    ),
)
_PITCHES = (
    _line(
        "pitch_start",
        "Smallest pitch circle tried",
        "mm",
        "MIN(pitch_most,MAX(pitch_least_used,volts_pitch))/pitch_span",
        "The one of the winding's speed, within the limits, over the span.",
        "0.0",
    ),
    Table(
        ("tried", *_HEADS, "battery, W", "step, mm"),
        (("name", *_NAMES, "", ""), *(_pitch(i) for i in range(1, PITCHES + 1))),
        names={"pitches_tried": "D", "pitch_watts": "M"},
        key="pitches",
        how=_HOW | {"D": "the step within the limits", "N": "round that of the winding, in equal ratios"},
    ),
    _line(
        "pitch_used",
        "Pitch circle for the tries below",
        "mm",
        _typed("pitch_diameter", "proposed_pitch"),
        digits="0.0",
    ),
)
_HAND = (
    _line(
        "drill_step_used",
        "Step of drills of that size",
        "mm",
        "IF(proposed_nozzle<fine_drills_to,fine_drill_step,drill_step)",
        digits="0.0",
    ),
    _line(
        "drill_start",
        "Steps to the drill before the first of the list",
        "-",
        "ROUND(proposed_nozzle/drill_step_used,0)-ROWS(drills_round)/2",
        digits="0",
    ),
    Table(
        ("drills", "round the nozzle made to measure, mm"),
        tuple(_drill(i) for i in range(1, AT_HAND + 1)),
        names={"drills_round": "C"},
        key="drills",
        how={"C": "whole steps, from five below it to six above"},
    ),
    Table(
        ("sizes at hand", *_HEADS, "battery, W", "size, mm", "fits"),
        (("name", *_NAMES, "", "", ""), *(_at_hand(i) for i in range(1, AT_HAND + 1))),
        names={"hand_openings": "C", "hand_gives": "M"},
        key="at_hand",
        how=_HOW | {"C": "the size, if no wider than the pipe", "N": "sheet Nozzle"},
    ),
)
_FINALS = (
    _line("final_nozzle", "Nozzle that counts", "mm", _typed("nozzle", "recommended_nozzle")),
    Table(
        ("the plant", *_HEADS, "battery, W", "current, A", "speed, rpm"),
        (
            ("name", *_NAMES, "", "", ""),
            _final("final", "as proposed", "final_nozzle"),
            _final("measure", "nozzle made to measure", "nozzle_used"),
            _final("recommended", "nozzle to drill", "recommended_nozzle"),
            _final("charged", "battery at its highest", "final_nozzle", battery_volts="dump_volts_used"),
        ),
        key="final",
        how={"C": "the line above, or as its label says", "D:E": "the lines above", **_HOW, "H:J": "the lines above"},
    ),
    _line("best_watts", "Most watts of all", "W", "MAX(measure_watts,recommended_watts)", digits="0.0"),
    *_fuse_lines("final", "Fuse for the current of the plant"),
)

PAGE = Page(
    "Tried",
    "Workings: how the proposals of sheet Choices are sought. Nothing to type here.",
    (
        Heading("Winding that is known"),
        *_BENCH,
        Heading("Water"),
        *_WATER,
        Heading("Battery volts, by rules"),
        *_BANK,
        Heading("Copper of an alternator that will do"),
        *_COPPER,
        Heading("Speeds, each with the pitch circle and the winding that fit it", new_page=True),
        *_SPEED_TABLES,
        Heading("Cable, by rules", new_page=True),
        *_CABLE,
        Heading("Nozzles, at the best speed", new_page=True),
        *_NOZZLES,
        Heading("Windings of as much copper, each with the pitch circle that fits it", new_page=True),
        *_WINDINGS,
        Heading("Pitch circles", new_page=True),
        *_PITCHES,
        Heading("Nozzles at hand"),
        *_HAND,
        Heading("The plant as proposed", new_page=True),
        *_FINALS,
    ),
    workings=True,
    widths=(3, 24, *(8.6,) * 16),
    heads=("",) * 18,
)
