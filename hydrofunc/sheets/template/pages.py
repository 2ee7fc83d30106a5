"""What stands on each sheet of the template, in the order of the job."""

from ...catalogue import nomenclature as n
from ...registry import FUNCTIONS, Argument
from .chain import call
from .model import Formula, Heading, Input, Page, Result, Space, Table, Words, inputs_of, place

WORDS = "text"


def _words(name, meaning):
    return Argument(name, WORDS, meaning)


def _choices_of(function, argument):
    return next(a for a in FUNCTIONS[function].arguments if a.name == argument)


def _from(argument, label, note="", **more):
    """An input that feeds an argument of the same name in our functions."""
    if "default" not in more and not more.get("optional") and not argument.required:
        more["default"] = argument.default
    return Input(argument.name, label, argument, note=note or argument.meaning, **more)


# -- Start -----------------------------------------------------------------------------------------

START = Page(
    "Start",
    "Very small hydro: from what you measured on site to the watts that reach the battery.",
    (
        Heading("How to use this workbook"),
        Words("1  Go through the sheets from left to right. Fill the cells marked ▸ on a sand ground; each says its unit and "
              "what it may hold. A list opens where there is a choice."),
        Words("2  Everything marked = is worked out from them by live formulas. Type nothing there. Every such cell has a name "
              "(Formulas > Names) that you may use in formulas of your own."),
        Words("3  Look at Results and Checks. A check says good, look or stop in words as well as in colour, and why."),
        Words("4  Change one thing at a time on Scenarios and see what it is worth in watts at the battery."),
        Words("5  Print Test day and take it along: it says what each instrument should read."),
        Heading("The marks"),
        Table(
            ("mark", "", "", "", "meaning"),
            (
                ("▸  input", "", "", "", "Yours to fill: brown on sand, line below."),
                ("=  result", "", "", "", "Worked out: dark teal, no ground."),
                ("■  result that matters", "", "", "", "Worked out and in bold: one of the few numbers to remember."),
                ("!  caution", "", "", "", "Read it before the work it speaks of. It does not replace a qualified person."),
            ),
            key="legend",
        ),
        Heading("Where the numbers come from"),
        Words("The functions whose names begin with HYDRO_ come from hydrofunc; the last sheet lists each with its unit, range and "
              "source. Without hydrofunc in your spreadsheet program the stored results still show, but do not follow a "
              "changed input: save the book and run   hydrofunc recalc BOOK.xlsx   , which needs no spreadsheet program."),
        Words("The values the cells hold at first are an invented example. No such site exists."),
        Heading("Before you build"),
        Words("Water under pressure: a head of 60 m pushes with 6 bar, and closing a valve fast can double it. Never point a jet at "
              "a person; fix the pipe at every bend; open and close valves slowly.", caution=True),
        Words("Rotation: guard the wheel and the coupling. Without electrical load the wheel runs up to about twice its working "
              "speed, and the voltage with it: it can exceed what is safe to touch and what a controller survives.", caution=True),
        Words("Battery: charging gives off hydrogen, which explodes; ventilate, no flame or spark. A battery can deliver hundreds of "
              "amperes: fuse it at its terminal. Acid burns: wear eye protection.", caution=True),
        Words("Heat: dump loads get hot enough to burn. They must never be switched off or covered while the wheel turns.", caution=True),
        Words("Law and licence: taking water, working on drinking water, electrical work, pressure equipment and work in confined or "
              "underground places are regulated nearly everywhere. Local codes and licensed people come before anything here.", caution=True),
    ),
    heads=("", "", "", "", "", ""),
)

# -- Site ------------------------------------------------------------------------------------------

SITE = Page(
    "Site",
    "What the survey found: how high the water stands above the nozzle, and how much there is of it.",
    (
        Heading("The place"),
        Input("site_name", "Name of the site", _words("site_name", "Name of the site."), example="Invented: Larch Spring",
              note="Used for file names when many sites are filled at once."),
        Input("survey_date", "Date of the survey", _words("survey_date", "Date of the survey."), optional=True, example="invented",
              note="As you write dates."),
        Input("surveyed_by", "Surveyed by", _words("surveyed_by", "Who took the measurements."), optional=True, example="invented"),
        Input("latitude", "Latitude", Argument("latitude", "°", "Latitude, south negative.", "[-90, 90]"), 45.0, digits="0.0",
              note="Gravity depends on it a little; to the nearest degree will do."),
        Input("altitude", "Altitude of the nozzle", Argument("altitude", "m", "Height above sea level.", "[-400, 5500]"), 500.0,
              note="Gravity and air pressure depend on it."),
        _from(n.TEMPERATURE.with_(name="water_temperature"), "Water temperature", "Cold water is thicker: it loses more head.",
              digits="0.0"),
        Heading("Head: give one of the two (the gauge counts if both are given)"),
        Input("static_pressure", "Static pressure on the gauge", Argument(
            "static_pressure", "bar", "Gauge pressure with the valve shut and the pipe full.", "(0, 150]"), optional=True,
            example=6.2, digits="0.00", note="Valve shut, pipe full, no air: wait until bubbles stop at the intake."),
        Input("gauge_height", "Gauge above the nozzle", Argument(
            "gauge_height", "m", "How far the gauge sits above the nozzle; below is negative.", "[-50, 200]"), 0.0, digits="0.0"),
        Input("level_difference", "Height by level or altimeter", Argument(
            "level_difference", "m", "Water level at the intake above the nozzle.", "(0, 1500]"), optional=True,
            digits="0.0", note="Water level at the intake above the nozzle. Altimeters err by metres: prefer the gauge."),
        Heading("Flow of the source: give one of the three (the first given counts)"),
        Input("bucket_volume", "Bucket holds", Argument("bucket_volume", "L", "Volume of the bucket.", "(0, 2000]"), 20.0),
        Input("bucket_seconds", "Bucket fills in", Argument("bucket_seconds", "s", "Mean time to fill it.", "(0, 3600]"),
              optional=True, example=17.0, digits="0.0", note="Mean of at least three fillings, in the driest season you build for."),
        Input("weir_head", "Water over a V-notch", Argument("weir_head", "mm", "Head over the notch.", "[50, 500]"), optional=True,
              note="Measured upstream, away from the drop of the surface. Range as in ISO 1438 practice."),
        Input("notch_angle", "Angle of the notch", Argument("notch_angle", "°", "Angle of the V-notch.", "[20, 100]"), 90.0),
        Input("known_flow", "Flow known otherwise", Argument("known_flow", "L/s", "Flow of the source.", "[0, 1000]"), optional=True,
              digits="0.00"),
        Input("left_in_stream", "Left in the stream", Argument("left_in_stream", "%", "Share that must stay.", "[0, 100]"), 10.0,
              note="What lives downstream needs water; a permit may say how much."),
        Heading("What follows"),
        Result("gravity", "Gravity", "m/s²", "=" + call("gravity", latitude="latitude", altitude="altitude"), digits="0.0000"),
        Result("water_density", "Density of the water", "kg/m³", "=" + call("density"), digits="0.0"),
        Result("gross_head", "Gross head", "m",
               "=IF(ISNUMBER(static_pressure)," + call("static_head", static_pressure="static_pressure",
               gauge_height="gauge_height") + ",IF(ISNUMBER(level_difference),level_difference,NA()))",
               "Water level at the intake above the nozzle. #N/A: neither pressure nor height is given.", strong=True),
        Result("source_flow", "Flow of the source", "L/s",
               "=IF(ISNUMBER(bucket_seconds)," + call("bucket_flow", volume="bucket_volume", seconds="bucket_seconds")
               + ",IF(ISNUMBER(weir_head)," + call("vnotch_flow", weir_head="weir_head", notch_angle="notch_angle")
               + ",IF(ISNUMBER(known_flow),known_flow,NA())))", "#N/A: no flow is given.", digits="0.000"),
        Result("available_flow", "Flow you may use", "L/s", "=source_flow*(1-left_in_stream/100)", digits="0.000", strong=True),
        Result("water_power", "Power in the water", "W", "=" + call("hydraulic_power", flow="available_flow", head="gross_head"),
               "If nothing were lost. Less than half of it usually reaches a small battery (common practice, no published source).",
               digits="0"),
        Words("A static pressure of more than a few bar can burst a hose or throw a fitting. Stand aside when you open a valve; use pipe "
              "and fittings rated for at least the pressure on the gauge plus the surge.", caution=True),
    ),
)

# -- Pipe ------------------------------------------------------------------------------------------

_FITTINGS = (
    ("elbows_90", "Elbows 90°", "90 elbow", 2),
    ("elbows_45", "Elbows 45°", "45 elbow", 0),
    ("long_bends", "Long bends", "long bend", 4),
    ("gate_valves", "Gate valves", "gate valve", 0),
    ("ball_valves", "Ball valves, full bore", "ball valve", 1),
    ("globe_valves", "Globe valves", "globe valve", 0),
)
_ENTRANCES = ("sharp entrance", "rounded entrance", "projecting entrance")


def _count(name, label):
    return Argument(name, "-", f"Number of: {label}.", "[0, 500]")


PIPE = Page(
    "Pipe",
    "What the pipe takes away as soon as water flows.",
    (
        Heading("Main pipe"),
        Input("pipe_length", "Length along the pipe", n.LENGTH.with_(name="pipe_length", within="(0, 20000]"), example=420.0,
              digits="0", note="Along the ground, not on the map."),
        Input("pipe_standard", "Pipe standard", _choices_of("pipe_bore", "pipe_standard"), "pe100 iso 4427"),
        Input("pipe_size", "Size", _choices_of("pipe_bore", "size"), "40",
              note="Plastic pipe: outside diameter in mm. Steel: inches, such as 1 1/4."),
        Input("pipe_class", "Class", _choices_of("pipe_bore", "pipe_class"), "sdr 11",
              note="Wall class of that standard, as printed on the pipe."),
        Input("pipe_bore", "Own bore", n.BORE.with_(name="pipe_bore"), optional=True,
              note="Measured inside diameter. If given it counts; if empty, the table below does."),
        Input("pipe_material", "Material inside", _choices_of("roughness", "material"), "polyethylene"),
        Input("pipe_condition", "Its condition", _choices_of("roughness", "condition"), "new"),
        Input("pipe_roughness", "Own roughness", n.ROUGHNESS.with_(name="pipe_roughness"), optional=True,
              note="If given it counts; if empty, the table value does."),
        Input("pipe_rating", "Pressure rating of the weakest part", Argument(
            "pipe_rating", "bar", "Nominal pressure of pipe and fittings.", "(0, 200]"), 16.0,
            note="PN printed on pipe, valve and couplings: the lowest of them."),
        Result("bore_used", "Bore used", "mm",
               "=IF(ISNUMBER(pipe_bore),pipe_bore,"
               + call("pipe_bore", pipe_standard="pipe_standard", size="pipe_size", pipe_class="pipe_class") + ")",
               "#NUM! or #VALUE!: that size or class is not in that standard's table.", digits="0.0"),
        Result("roughness_used", "Roughness used", "mm",
               "=IF(ISNUMBER(pipe_roughness),pipe_roughness,"
               + call("roughness", material="pipe_material", condition="pipe_condition") + ")", digits="0.000"),
        Heading("Second and third section in series, if any (downhill order)"),
        *(
            Input(argument.name, label, argument.with_(default=argument.default), optional=True, note=argument.meaning)
            for argument, label in (
                (n.LENGTH_2, "Length of section 2"), (n.BORE_2, "Bore of section 2"), (n.ROUGHNESS_2, "Roughness of section 2"),
                (n.LENGTH_3, "Length of section 3"), (n.BORE_3, "Bore of section 3"), (n.ROUGHNESS_3, "Roughness of section 3"),
            )
        ),
        Heading("Fittings in the main pipe"),
        Input("entrance", "Entrance at the intake", Argument(
            "entrance", WORDS, "Shape of the pipe end in the intake.", choices=_ENTRANCES), "sharp entrance"),
        Table(
            ("fitting", "how many", "", "K of one", "K together"),
            tuple(
                (label, Input(name, label, _count(name, label), count, digits="0"), "",
                 Formula("=" + call("fitting_loss", fitting=f'"{fitting}"', bore="bore_used"), "0.000"),
                 Formula("=C{row}*E{row}", "0.000"))
                for name, label, fitting, count in _FITTINGS
            ),
            names={"fittings_together": "F"},
            key="fittings",
        ),
        Input("other_k", "Other losses, as K", Argument("other_k", "-", "Sum of further loss coefficients.", "[0, 1000]"), 0.0,
              digits="0.00", note="Screens, unions with a step, a filter: from its maker."),
        Result("fittings_k", "Sum of K", "-",
               "=" + call("fitting_loss", fitting="entrance", bore="bore_used") + "+SUM(fittings_together)+other_k",
               "Loss = K x velocity² / 2g.", digits="0.00"),
        Heading("While water flows (with the nozzle on the next sheet)"),
        Result("velocity", "Velocity in the pipe", "m/s", "=" + call("pipe_velocity")),
        Result("reynolds", "Reynolds number", "-", "=" + call("reynolds_number"), "Laminar below 2000, turbulent above 4000.", digits="#,##0"),
        Result("darcy_factor", "Darcy friction factor", "-",
               "=" + call("friction_factor", reynolds_number="reynolds", relative_roughness="roughness_used/bore_used"),
               "Colebrook-White. Some books print a quarter of it (Fanning).", digits="0.0000"),
        Result("lost_head", "Head lost in pipe and fittings", "m", "=" + call("penstock_head"), strong=True),
        Result("fittings_head", "of which fittings", "m", "=" + call("minor_head")),
        Result("lost_share", "Share of the gross head lost", "%", "=100*lost_head/gross_head",
               "About a third at the nozzle of most power; less is thrifty with water, more is a loss.", digits="0.0"),
        Result("pipe_limit", "Most power this pipe can pass", "W", "=" + call("pipe_power_limit"),
               "At its lower end, with the best flow and no other loss.", digits="0"),
    ),
)

# -- Nozzle ----------------------------------------------------------------------------------------

_SIZES = (4, 5, 6, 7, 8, 9, 10, 12, 14, 16, 18, 20)
_CURVE_ROWS = 21
_AT_SIZE = {"nozzle": "B{row}"}

NOZZLE = Page(
    "Nozzle",
    "Which nozzle takes most power from this pipe, and what the jet then does.",
    (
        Heading("The nozzle fitted"),
        Input("nozzle", "Nozzle opening", n.NOZZLE, example=7.0, digits="0.0", note="Measured diameter of the hole the water leaves by."),
        _from(n.JETS, "Number of jets", digits="0"),
        _from(n.VELOCITY_COEFFICIENT, "Velocity coefficient", digits="0.000",
              note="A smooth, sharp-lipped nozzle 0.95 to 0.99; a rough or stepped one less."),
        _from(n.CONTRACTION, "Contraction", digits="0.00",
              note="1 for a nozzle that ends parallel; about 0.62 for a hole drilled in a plate or cap."),
        Heading("Sizes at hand"),
        Table(
            ("sizes you can buy or drill", "mm"),
            tuple(
                (f"size {i}", Input(f"nozzle_size_{i}", f"Nozzle size {i} at hand", n.NOZZLE.with_(name=f"nozzle_size_{i}"), float(size),
                                    optional=True, digits="0.0"))
                for i, size in enumerate(_SIZES, start=1)
            ),
            names={"nozzle_sizes": "C"},
        ),
        Heading("What follows"),
        Result("flow", "Flow", "L/s", "=" + call("operating_flow"),
               "Gross head, pipe, fittings and nozzle solved together; never more than you may use.", digits="0.000", strong=True),
        Result("outlet_bore", "Bore before the nozzle", "mm", "=IF(N(length_3)>0,bore_3,IF(N(length_2)>0,bore_2,bore_used))",
               "No nozzle can be larger.", digits="0.0"),
        Result("net_head", "Net head before the nozzle", "m", "=" + call("nozzle_head")),
        Result("running_pressure", "Gauge before the nozzle, running", "bar",
               "=" + call("running_pressure", bore="outlet_bore")),
        Result("jet_velocity", "Jet velocity", "m/s", "=" + call("jet_velocity")),
        Result("jet_diameter", "Jet diameter", "mm", "=" + call("jet_diameter")),
        Result("jet_power", "Power in the jet", "W", "=" + call("jet_power"), digits="0", strong=True),
        Result("jet_force", "Push of the jet on a stopped wall", "N", "=" + call("jet_force"), digits="0.0"),
        Result("best_nozzle", "Best nozzle for this pipe", "mm", "=" + call("best_nozzle"),
               "Most jet power with the flow you may use; both smaller and larger give less.", digits="0.00", strong=True),
        Result("best_flow", "Flow it takes", "L/s", "=" + call("best_nozzle_flow"), digits="0.000"),
        Result("best_jet_power", "Jet power it gives", "W", "=" + call("best_nozzle_power"), digits="0"),
        Result("best_at_hand", "Best of the sizes at hand", "mm", "=" + call("best_listed_nozzle", sizes="nozzle_sizes"), digits="0.0"),
        Words("A jet of more than a few bar cuts skin and injects water under it. Close the valve before you touch the nozzle, and fit it so "
              "that it cannot come off.", caution=True),
        Heading("Watts and water against nozzle size", new_page=True),
        Space("nozzle_curve", 18),
        Table(
            ("nozzle, mm", "flow, L/s", "jet, m/s", "jet power, W", "battery, W"),
            tuple(
                (
                    Formula(f"=MIN(outlet_bore,best_nozzle*{0.4 + 0.06 * i:.2f})", "0.00"),
                    Formula("=" + call("operating_flow", nozzle="B{row}"), "0.000"),
                    Formula("=" + call("jet_velocity", net_head=call("nozzle_head", flow="C{row}", nozzle="B{row}")), "0.0"),
                    Formula("=" + call("jet_power", flow="C{row}", jet_velocity="D{row}"), "0"),
                    Formula("=" + call("operating_power", flow="C{row}", jet_velocity="D{row}"), "0.0"),
                )
                for i in range(_CURVE_ROWS)
            ),
            names={"curve_nozzle": "B", "curve_watts": "F"},
            key="nozzle_curve",
        ),
        Result("top_nozzle", "Most battery watts at", "mm", "=INDEX(curve_nozzle,MATCH(MAX(curve_watts),curve_watts,0))",
               "Of the sizes in the table above; marked in the chart.", digits="0.0"),
        Result("top_watts", "Battery watts there", "W", "=MAX(curve_watts)", digits="0"),
    ),
    pages=0,
)

# -- Wheel -----------------------------------------------------------------------------------------

WHEEL = Page(
    "Wheel",
    "How fast the wheel wants to run, and what it can turn.",
    (
        Heading("The wheel"),
        Input("pitch_diameter", "Pitch circle diameter", n.PITCH_DIAMETER, example=120.0, digits="0",
              note="Twice the distance from shaft centre to jet centre."),
        _from(n.DEFLECTION, "Water turned by the cups through", digits="0"),
        _from(n.CUP_FRICTION, "Velocity kept along the cup", digits="0.00"),
        _from(n.ALIGNMENT.with_(default=0.85), "Alignment of the jet", digits="0.00",
              note="1: jet on the splitter, at the right height, no spray. Set by hand 0.8 to 0.9 (common practice, no published source)."),
        _from(n.BEARING_DRAG.with_(default=0.05), "Drag of bearings and seals", digits="0.000",
              note="Hang a weight on a string from the rim: weight x radius when it just turns."),
        _from(n.WINDAGE.with_(default=1.0), "Churning of air and spray", digits="0.00"),
        Heading("What follows"),
        Result("jet_ratio", "Pitch circle over jet", "-", "=" + call("jet_ratio"), "10 to 14 is usual.", digits="0.0"),
        Result("cup_count", "Cups needed", "-", "=" + call("cup_count"), "So that no water slips between two cups.", digits="0"),
        Result("cup_width", "Width of a cup, about", "mm", "=" + call("cup_width", width_factor="3.4"), "Sources give 3 to 5 jet diameters.", digits="0"),
        Result("best_speed", "Speed of most power", "rpm", "=" + call("runner_speed", speed_ratio="0.46"),
               "Cups at 0.46 of the jet velocity.", digits="0"),
        Result("speed_ratio", "Speed ratio it settles at", "-", "=" + call("speed_ratio"), "Cup speed over jet velocity, with your load.", digits="0.000"),
        Result("runaway_speed", "Speed without load", "rpm", "=" + call("runaway_speed"),
               "What happens when a fuse blows or a wire comes off.", digits="0", strong=True),
        Result("wheel_torque", "Torque at the shaft", "N·m", "=" + call("wheel_torque"), digits="0.000"),
        Result("shaft_power", "Power at the shaft", "W", "=" + call("wheel_power"), digits="0"),
        Result("specific_speed", "Specific speed of one jet", "-", "=" + call("specific_speed", flow="flow/jets"),
               "nq = n √Q / H^0.75 in rpm, m³/s, m. A single jet works best below about 8 (common practice, no published source).",
               digits="0.0"),
        Words("A wheel without load runs up within seconds. Guard it, keep hands out, and hold cups and magnets to a wheel that was "
              "tested for its runaway speed, not for its working speed.", caution=True),
    ),
)

# -- Alternator, cable, battery --------------------------------------------------------------------

_SPEED_ROWS = 21

ELECTRICAL = Page(
    "Alternator and battery",
    "At which speed the wheel settles against the battery, and what arrives there.",
    (
        Heading("Alternator, as measured on the bench (turned by a drill, nothing connected)"),
        Input("test_connection", "Windings joined, when measured", n.CONNECTION.with_(name="test_connection"), "star",
              note="Star: three ends tied together. Delta: a ring."),
        Input("test_volts", "A.c. volts between two terminals", Argument("test_volts", "V", "Line-to-line volts rms.", "(0, 2000]"),
              example=15.0, digits="0.0", note="A true-rms meter; the same between all three pairs, or a phase is open."),
        Input("test_speed", "at a speed of", Argument("test_speed", "rpm", "Speed during the test.", "(0, 20000]"), example=1000.0, digits="0"),
        Input("terminal_resistance", "Resistance between two terminals", Argument(
            "terminal_resistance", "Ω", "Resistance between two terminals.", "[0, 1000]"), example=0.5, digits="0.000",
            note="Less the resistance of the meter's leads."),
        Input("terminal_inductance", "Inductance between two terminals", Argument(
            "terminal_inductance", "mH", "Inductance between two terminals.", "[0, 1000]"), 0.0, example=0.8, digits="0.00",
            note="If you cannot measure it leave 0: the speed comes out somewhat low."),
        Input("pole_pairs", "Pole pairs", n.POLE_PAIRS, example=7.0, digits="0", note="Half the number of magnet poles."),
        _from(n.IRON_DRAG.with_(default=0.05), "Drag of the iron", digits="0.000", note="Felt as cogging and drag with nothing connected."),
        Heading("Connection, rectifier, cable"),
        Input("connection", "Windings joined, in use", n.CONNECTION, "star"),
        _from(n.DIODE_DROP, "Drop of one diode", digits="0.00", note="Silicon about 0.8 V under load, Schottky about 0.5 V. Two conduct at a time."),
        Input("cable_length", "Cable, one way", Argument("cable_length", "m", "Length one way.", "[0, 5000]"), example=30.0, digits="0"),
        Input("cable_area", "Conductor", Argument("cable_area", "mm²", "Cross-section of one conductor.", "(0, 500]"), example=6.0, digits="0.0"),
        Input("cable_material", "of", _choices_of("cable_resistance", "material"), "copper"),
        Input("cable_temperature", "at a conductor temperature of", Argument(
            "cable_temperature", "°C", "Temperature of the conductor.", "[-40, 90]"), 20.0, digits="0"),
        Heading("What takes the power"),
        Input("load", "Load", n.LOAD, "battery", note=n.LOAD.meaning),
        Input("battery_volts", "Battery volts while charging", n.BATTERY_VOLTS.with_(within="(0, 1000]"), optional=True, example=26.5,
              digits="0.0", note="A 12 V battery takes charge at 13 to 14.4 V, a 24 V one at 26 to 28.8 V."),
        Input("load_resistance", "Resistor load", n.LOAD_RESISTANCE, optional=True, digits="0.00", note="Only if the load is a resistor."),
        _from(n.CONTROLLER_EFFICIENCY, "Efficiency of the controller", digits="0.00", note="Only for a maximum-power controller."),
        Input("voltage_limit", "Controller or parts stand at most", Argument(
            "voltage_limit", "V", "Highest d.c. voltage that controller, rectifier and wiring are rated for.", "(0, 2000]"), 150.0, digits="0",
            note="From the label of the weakest part."),
        Input("current_limit", "Windings and bridge carry at most", Argument(
            "current_limit", "A", "Direct current they are rated for.", "(0, 2000]"), 20.0, digits="0.0"),
        Heading("What follows"),
        Result("phase_volts", "One phase, per 1000 rpm", "V/krpm",
               "=" + call("emf_constant", line_volts="test_volts", speed="test_speed", connection="test_connection"), digits="0.00"),
        Result("phase_resistance", "Resistance of one phase", "Ω",
               "=" + call("phase_resistance", terminal_resistance="terminal_resistance", connection="test_connection"), digits="0.000"),
        Result("phase_inductance", "Inductance of one phase", "mH",
               "=" + call("phase_inductance", terminal_inductance="terminal_inductance", connection="test_connection"), digits="0.000"),
        Result("cable_resistance", "Cable, out and back", "Ω",
               "=" + call("cable_resistance", length="cable_length", area="cable_area", material="cable_material",
                          conductor_temperature="cable_temperature"), digits="0.0000"),
        Result("cut_in_speed", "Charging begins at", "rpm", '=IF(load="battery",' + call("cut_in_speed") + ",0)",
               "0 where the load is no battery.", digits="0"),
        Result("speed", "The wheel settles at", "rpm", "=" + call("operating_speed"),
               "Where torque of wheel and alternator meet; 0 if it does not start.", digits="0", strong=True),
        Result("current", "Direct current", "A", "=" + call("operating_current"), "Through the cable.", strong=True),
        Result("rectifier_volts", "Volts at the rectifier", "V", "=" + call("rectified_volts"), digits="0.0"),
        Result("load_volts", "Volts at the end of the cable", "V", "=" + call("operating_volts"), digits="0.0"),
        Result("battery_watts", "Watts into the battery", "W", "=" + call("operating_power"),
               "Into the battery or resistor, after the controller if there is one.", digits="0.0", strong=True),
        Result("electrical_torque", "Torque the alternator takes", "N·m", "=" + call("alternator_torque") + "+iron_drag", digits="0.000"),
        Result("overlap", "Overlap of the diodes", "°", "=" + call("overlap_angle"),
               "Above 35° the watts read high, 4 % at 50°; the formulas do not hold beyond 60°.", digits="0.0"),
        Result("runaway_volts", "Open d.c. volts at runaway", "V", "=" + call("open_circuit_volts", speed="runaway_speed"),
               "If the load falls off: fuse, loose wire, full battery with the controller open.", digits="0", strong=True),
        Words("Above 60 V d.c. (120 V where dry and not touchable) extra protection is required; see IEC 60364-4-41 and local codes. The open "
              "voltage at runaway is the one that counts. Fuse the battery at its terminal and never run the wheel with the load off.", caution=True),
        Heading("Torque of wheel and alternator against speed", new_page=True),
        Space("torque_curve", 18),
        Table(
            ("speed, rpm", "wheel, N·m", "", "alternator, N·m"),
            tuple(
                (
                    Formula(f"=runaway_speed*{i / (_SPEED_ROWS - 1):.2f}", "0"),
                    Formula("=" + call("wheel_torque", speed="B{row}"), "0.000"),
                    "",
                    Formula(
                        '=IF(load="controller",NA(),'
                        + call("alternator_torque", current=(
                            'IF(load="battery",'
                            + call("charging_current", speed="B{row}")
                            + ","
                            + call("charging_current", speed="B{row}", battery_volts="0",
                                   cable_resistance="cable_resistance+N(load_resistance)")
                            + ")"
                        )) + "+iron_drag)", "0.000"),
                )
                for i in range(_SPEED_ROWS)
            ),
            key="torque_curve",
        ),
        Words("With a maximum-power controller the alternator's torque follows the wheel's: there is no curve of its own (#N/A)."),
    ),
    pages=0,
)

# -- Results ---------------------------------------------------------------------------------------

RESULTS_SHEET = "Results"


def _power(head):
    return call("hydraulic_power", head=head)


# A wheel without drag or load runs at a speed ratio of 1, which rounding may overstep.
_CUPS = "IF(speed_ratio>0," + call("cup_efficiency", speed_ratio="MIN(1,speed_ratio)") + ",0)"
LEDGER = (
    ("gross", "Water falling from intake to nozzle", "=" + _power("gross_head"), "Density x gravity x flow x gross head."),
    ("unfilled", "Head not used: pipe not full", "=" + _power("MAX(0,gross_head-lost_head-net_head)"),
     "More than zero where the nozzle would take more than the source gives."),
    ("friction", "Pipe friction", "=" + _power("MAX(0,lost_head-fittings_head)"), "Longer or thinner pipe, or more flow: more."),
    ("fittings", "Entrance, bends, valves", "=" + _power("fittings_head"), ""),
    ("nozzle", "Nozzle", "=" + _power("net_head") + "-jet_power", "Roughness inside the nozzle."),
    ("cups", "Water leaving the cups", "=jet_power*(1-" + _CUPS + ")",
     "Least where the cups run at 0.46 of the jet velocity."),
    ("alignment", "Jet not well aligned", "=jet_power*" + _CUPS + "*(1-alignment)", "Spray, jet off the splitter."),
    ("windage", "Churning air and spray", "=" + call("windage_power"), ""),
    ("bearings", "Bearings and seals", "=bearing_drag*speed*PI()/30", ""),
    ("iron", "Iron of the alternator", "=iron_drag*speed*PI()/30", ""),
    ("windings", "Windings", "=" + call("copper_loss"), "2 R I² of the star-equivalent winding: heat in the copper."),
    ("diodes", "Diodes", "=" + call("diode_loss"), "Two drops at all times: weighs most at 12 V."),
    ("cable", "Cable", "=" + call("cable_loss"), ""),
    ("controller", "Controller", '=IF(load="controller",load_volts*current*(1-controller_efficiency),0)', ""),
    ("battery", "Into the battery", "=battery_watts", "What you came for."),
)


def _ledger_rows():
    for key, label, formula, why in LEDGER:
        yield (label, Formula(formula, "0.0", name=f"ledger_{key}"), "W", Formula("=100*C{row}/ledger_gross", "0.0"), why)


RESULTS_PAGE = Page(
    RESULTS_SHEET,
    "The numbers that matter, and where every watt goes.",
    (
        Heading("In short"),
        Space("ledger", 0, "E"),
        Result("plant_watts", "Watts into the battery", "W", "=battery_watts", digits="0.0", strong=True),
        Result("plant_energy", "Energy if it runs all day", "Wh", "=battery_watts*24", digits="#,##0", strong=True),
        Result("plant_flow", "Water used", "L/s", "=flow", digits="0.000", strong=True),
        Result("plant_lost_share", "Gross head lost in the pipe", "%", "=lost_share", digits="0.0"),
        Result("plant_best_nozzle", "Best nozzle for jet power", "mm", "=best_nozzle", digits="0.0", strong=True),
        Result("plant_best_at_hand", "Best of the sizes at hand", "mm", "=best_at_hand", digits="0.0"),
        Result("plant_jet_power", "Power in the jet", "W", "=jet_power", digits="0"),
        Result("plant_speed", "The wheel settles at", "rpm", "=speed", digits="0", strong=True),
        Result("plant_speed_ratio", "Speed ratio there (best: 0.46)", "-", "=speed_ratio", digits="0.000"),
        Result("plant_amps", "Direct current", "A", "=current"),
        Result("plant_volts", "Volts at the end of the cable", "V", "=load_volts", digits="0.0"),
        Result("plant_efficiency", "Water used to battery", "%", "=100*battery_watts/ledger_gross", digits="0.0"),
        Result("plant_runaway_volts", "Danger: open d.c. volts at runaway", "V", "=runaway_volts", digits="0", strong=True),
        Result("checks_stop", "Checks that say stop", "-", '=COUNTIF(judgements,"stop")', digits="0", strong=True),
        Result("checks_look", "Checks that say look", "-", '=COUNTIF(judgements,"look")', digits="0"),
        Heading("Power ledger: every watt from the water to the battery"),
        Table(("line", "power", "unit", "% of the water's power", "why"), tuple(_ledger_rows()), key="ledger",
              names={"ledger_lines": "C"}),
        Result("ledger_sum", "Losses and battery together", "W", "=SUM(ledger_lines)-ledger_gross", "Must equal the first line.", digits="0.0"),
    ),
)

# -- Checks ----------------------------------------------------------------------------------------

_PRACTICE = "Common practice, no published source."


def _check(label, value, unit, good, stop, why, digits="0.0", low_is_bad=False):
    beyond = "<" if low_is_bad else ">"
    judgement = f'=IF(ISNUMBER(C{{row}}),IF(C{{row}}{beyond}F{{row}},"stop",IF(C{{row}}{beyond}E{{row}},"look","good")),"stop")'
    return (label, Formula(value, digits), unit, good, stop, Formula(judgement), why)


CHECKS = (
    _check("Nozzle's thirst, of the flow you may use",
           "=100*" + call("operating_flow", available_flow="1000") + "/available_flow", "%", 100, 130,
           "Above 100 the pipe runs partly empty, draws air and the head falls: fit a smaller nozzle."),
    _check("Nozzle size, of the best one", "=100*nozzle/best_nozzle", "%", 105, 125,
           "A nozzle too large wastes head in the pipe: more water, fewer watts. Best: White, Fluid Mechanics, problem P11.95."),
    _check("Gross head lost in pipe and fittings", "=lost_share", "%", 40, 50,
           "A third is lost at most jet power (White, Fluid Mechanics, P11.95; a little more as friction depends on flow)."),
    _check("Static pressure, of the weakest rating",
           "=100*" + call("static_pressure", head="gross_head") + "/pipe_rating", "%", 67, 100,
           "Surge comes on top: keep a third in hand (common practice, no published source). Local pressure codes rule."),
    _check("Gauge and level survey differ by",
           "=IF(AND(ISNUMBER(static_pressure),ISNUMBER(level_difference)),100*ABS(gross_head/level_difference-1),0)", "%", 5, 15,
           f"If both were measured they should agree; 0 where only one is given. Air in the pipe lowers the gauge. {_PRACTICE}"),
    _check("Pitch circle over jet", "=jet_ratio", "-", 9, 7,
           f"Fewer jet diameters and water misses the cups. 9 to 18, usually 10 to 14. {_PRACTICE}", low_is_bad=True),
    _check("Speed ratio off the best by", "=ABS(speed_ratio-0.46)", "-", 0.07, 0.2,
           "Change battery voltage, star or delta, or pitch circle to bring it nearer 0.46 (efficiency 4k(1-k) of the best, Euler).",
           digits="0.000"),
    _check("Watts into the battery", "=battery_watts", "W", 1, 0.000001,
           "Nothing arrives: the wheel does not start, or never reaches the voltage of the battery.", low_is_bad=True),
    _check("Overlap of the diodes", "=overlap", "°", 35, 60,
           "The averaged bridge (Bimbhra, Power Electronics, Ex. 6.28) is within 1 % to 35°, reads up to 4 % high at 50° and 10 % at 60° "
           "(against a simulation in time, in our tests), and does not hold beyond."),
    _check("Open volts at runaway, of what the parts stand", "=100*runaway_volts/voltage_limit", "%", 80, 100,
           "If the load falls off, controller and diodes see this. Common practice, no published source, for the margin of 20 %."),
    _check("Open volts at runaway, against touch", "=runaway_volts", "V", 60, 120,
           "60 V ripple-free d.c. touchable, dry (IEC 60598-1:2008, 8.2.3); 120 V d.c. is the limit of extra-low voltage (IEC 61558-1:2005, "
           "3.7.16). Wet places: lower. Licensed practice rules."),
    _check("Current, of what windings and bridge carry", "=100*current/current_limit", "%", 80, 100,
           f"They overheat slowly and fail at night. {_PRACTICE}"),
    _check("Volts lost in the cable", "=IF(load_volts>0,100*current*cable_resistance/load_volts,0)", "%", 5, 10,
           f"Thicker or shorter cable, or a higher battery voltage. {_PRACTICE}"),
    _check("Ledger does not close by", "=ABS(ledger_sum/ledger_gross-1)", "-", 0.000000001, 0.000000001,
           "Every watt must be somewhere: if this says stop, tell the makers.", digits="0.0E+00"),
    _check("Step by step and in one call differ by",
           "=ABS(" + call("power_ledger", ledger_line='"battery"') + "-battery_watts)/MAX(1,battery_watts)", "-", 0.000000001, 0.000000001,
           "The whole chain in one function must give what the sheets give; if this says stop, a formula was changed.", digits="0.0E+00"),
)

CHECKS_PAGE = Page(
    "Checks",
    "Every judgement with its number and its limit. Good: go on. Look: think again. Stop: do not build it so.",
    (
        Table(
            ("check", "value", "unit", "good to", "stop beyond", "judgement", "why, and source"),
            CHECKS,
            names={"judgements": "G"},
            judgement="G",
            wrap=("B", "H"),
        ),
        Words("A good here does not make an installation safe: it says that these numbers are in the usual range. Local codes and licensed "
              "practice decide on water rights, pressure, electrical work, battery rooms and confined or underground places.", caution=True),
    ),
    widths=(3, 38, 11, 7, 10, 12, 11, 74),
    heads=("",) * 8,
)

# -- Test day --------------------------------------------------------------------------------------


def _reading(name, label, argument, expected, unit, band, digits, why):
    judgement = ('=IF(ISNUMBER(G{row}),IF(G{row}<E{row},"lower",IF(G{row}>F{row},"higher","as expected")),"")')
    return (
        label,
        Formula(expected, digits),
        unit,
        Formula(f"=C{{row}}*{1 - band / 100:g}", digits),
        Formula(f"=C{{row}}*{1 + band / 100:g}", digits),
        Input(f"reading_{name}", f"Reading: {label}", argument.with_(name=f"reading_{name}"), optional=True, digits=digits),
        Formula(judgement),
        why,
    )


_VOLTS = Argument("volts", "V", "Reading of the voltmeter.", "[0, 2000]")
_AMPS = Argument("amps", "A", "Reading of the ammeter.", "[0, 2000]")
_GAUGE = Argument("gauge", "bar", "Reading of the gauge.", "[0, 200]")

TEST_DAY = Page(
    "Test day",
    "In the order one does it: what each instrument should read, and the band in which it is still well. Print it.",
    (
        Words("Before: guard on the wheel, battery fused and ventilated, load connected FIRST, then open the valve slowly. Eye protection. "
              "Never disconnect the load while the wheel turns.", caution=True),
        Table(
            ("step", "expect", "unit", "from", "to", "reading", "it is", "if it is not as expected"),
            (
                _reading("static", "1  Gauge, valve shut, no bubbles", _GAUGE,
                         "=" + call("static_pressure", head="MAX(0,gross_head-gauge_height)"), "bar", 3, "0.00",
                         "Lower: air in the pipe, or the intake is not full. Wait, vent high points, try a second gauge."),
                _reading("running", "2  Gauge before the nozzle, running", _GAUGE, "=running_pressure", "bar", 8, "0.00",
                         "Lower, with less flow: pipe rough or blocked. Lower, with more flow: nozzle worn or too large. Higher: nozzle blocked."),
                _reading("seconds", "3  Bucket below the wheel fills in", Argument("seconds", "s", "Stopwatch.", "(0, 3600]"),
                         "=bucket_volume/flow", "s", 8, "0.0", "Longer: less flow than planned. Mean of three."),
                _reading("speed", "4  Speed under load", n.SPEED, "=speed", "rpm", 6, "0",
                         "Higher: a phase or diode open, or the battery takes no more. Lower: jet off the cups, drag, or water under the wheel."),
                _reading("rectifier", "5  D.c. volts at the rectifier", _VOLTS, "=rectifier_volts", "V", 4, "0.0",
                         "Higher, with less current: thin cable or a bad joint."),
                _reading("volts", "6  D.c. volts at the battery", _VOLTS, "=load_volts", "V", 4, "0.0",
                         "Set by the battery: higher when full, lower when empty. Put the true value on the sheet before."),
                _reading("amps", "7  D.c. amperes", _AMPS, "=current", "A", 12, "0.00",
                         "The sum of everything. With volts and speed right and amperes low: alignment of the jet first."),
            ),
            wrap=("B", "I"),
            key="test_day",
        ),
        Result("reading_watts", "Watts from your readings", "W",
               '=IF(AND(ISNUMBER(reading_volts),ISNUMBER(reading_amps)),reading_volts*reading_amps,"")', digits="0.0"),
        Result("reading_flow", "Flow from your readings", "L/s",
               '=IF(ISNUMBER(reading_seconds),bucket_volume/reading_seconds,"")', digits="0.000"),
        Words("Bands are those of cheap meters and hand-set jets: common practice, no published source."),
    ),
    widths=(3, 36, 11, 7, 10, 10, 12, 14, 64),
    heads=("",) * 9,
)

# -- Scenarios -------------------------------------------------------------------------------------

_BASE = (
    ("nozzle, mm", "nozzle", "0.0"), ("jets", "jets", "0"), ("bore, mm", "bore_used", "0.0"), ("K", "fittings_k", "0.0"),
    ("alignment", "alignment", "0.00"), ("pitch, mm", "pitch_diameter", "0"), ("joined", "connection", "General"),
    ("load", "load", "General"), ("load at, V", 'IF(ISNUMBER(battery_volts),battery_volts,"")', "0.0"), ("cable, mm²", "cable_area", "0.0"),
)
_CHANGES = (
    ("As on the sheets", {}),
    ("Best nozzle for this pipe", {0: "best_nozzle"}),
    ("Best nozzle of those at hand", {0: "best_at_hand"}),
    ("Two jets, same water", {0: "nozzle*SQRT(jets/(jets+1))", 1: "MIN(6,jets+1)"}),
    ("Bore a quarter larger", {2: "bore_used*1.25"}),
    ("Half the fitting losses", {3: "fittings_k/2"}),
    ("Jet aligned better", {4: "MIN(1,alignment+0.05)"}),
    ("Pitch circle a tenth smaller", {5: "pitch_diameter*0.9"}),
    ("Pitch circle a tenth larger", {5: "pitch_diameter*1.1"}),
    ("Star and delta changed over", {6: 'IF(connection="star","delta","star")'}),
    ("Maximum-power controller", {7: '"controller"'}),
    ("Battery of double voltage", {8: 'IF(ISNUMBER(battery_volts),2*battery_volts,"")'}),
    ("Cable twice as thick", {9: "cable_area*2"}),
    ("Your own: type over any cell", {}),
)
_ROW = {
    "nozzle": "C{row}", "jets": "D{row}", "bore": "E{row}", "fittings": "F{row}", "alignment": "G{row}",
    "pitch_diameter": "H{row}", "connection": "I{row}", "load": "J{row}", "battery_volts": "N(K{row})",
    "cable_resistance": call("cable_resistance", length="cable_length", area="L{row}", material="cable_material",
                             conductor_temperature="cable_temperature"),
}


def _scenario(label, changes):
    cells = [Formula("=" + changes.get(i, expression), digits) for i, (_, expression, digits) in enumerate(_BASE)]
    water = {name: _ROW[name] for name in ("nozzle", "jets", "bore", "fittings")}
    return (
        label,
        *cells,
        Formula("=" + call("operating_flow", **water), "0.000"),
        Formula("=" + call("power_ledger", ledger_line='"battery"', **_ROW), "0.0"),
        Formula("=N{row}-N{first}", "+0.0;-0.0;0.0"),
    )


SCENARIOS = Page(
    "Scenarios",
    "One change at a time: what it is worth in watts at the battery. Type over any cell of a row to try your own.",
    (
        Table(
            ("change", *(head for head, _, _ in _BASE), "flow, L/s", "battery, W", "gain, W"),
            tuple(_scenario(label, changes) for label, changes in _CHANGES),
            names={"scenario_watts": "N", "scenario_labels": "B"},
            wrap=("B",),
            key="scenarios",
        ),
        Result("best_change", "The change that gives most", "", "=INDEX(scenario_labels,MATCH(MAX(scenario_watts),scenario_watts,0))", digits="General"),
        Words("For hundreds or a million combinations: hydrofunc sweep BOOK.xlsx --vary nozzle=4:12:0.5 --vary pipe_bore=20,25,32 --out results.csv"),
        Words("A larger bore costs more and weighs more; a controller must stand the open volts at runaway; a second jet needs room round the "
              "wheel. The sheet counts watts only."),
    ),
    widths=(3, 31, 10, 7, 9, 7, 10, 10, 8, 11, 10, 10, 10, 11, 10),
    heads=("",) * 15,
)

# -- Functions -------------------------------------------------------------------------------------


def _function_rows():
    for function in FUNCTIONS.values():
        arguments = ", ".join(
            (f"{a.name}" if a.required else f"[{a.name}]") + (f" {a.unit}" if a.unit not in (WORDS, "-") else "")
            for a in function.arguments
        )
        yield (function.sheet_name, function.group, function.help, arguments, function.unit, function.source)


FUNCTION_LIST = Page(
    "Functions",
    "Every worksheet function, what it takes and where it comes from. Arguments in [ ] may be left out.",
    (
        Table(("function", "part of the job", "what it gives", "arguments and units", "result", "source"), tuple(_function_rows()),
              wrap=("B", "C", "D", "E", "G"), key="functions"),
    ),
    widths=(3, 33, 16, 44, 48, 9, 44),
    heads=("",) * 7,
    pages=0,
)

PAGES = (START, SITE, PIPE, NOZZLE, WHEEL, ELECTRICAL, RESULTS_PAGE, CHECKS_PAGE, TEST_DAY, SCENARIOS, FUNCTION_LIST)
PLACED = {page.sheet: place(page) for page in PAGES}
INPUTS = tuple(item for page in PAGES for item in inputs_of(PLACED[page.sheet]))
RESULTS = tuple(item for _, item in PLACED[RESULTS_SHEET] if isinstance(item, Result))
# Of each group a site must give at least one: the first given counts.
ONE_OF = (("static_pressure", "level_difference"), ("bucket_seconds", "weir_head", "known_flow"))
