"""Parts: mass, money, and what a kilowatt-hour costs."""

from ...catalogue import parts as p
from ...registry import Argument
from ..chain import call
from ..model import PASS, Formula, Heading, Input, Page, Result, Table, Words
from .common import PRACTICE, Check, where, words

# Name, part, unit, quantity, kg of one, price of one, note. A number is an input that shows this invented value, words
# are a formula.
_PARTS = (
    (
        "pipe",
        "Main pipe",
        "m",
        "=pipe_to_buy",
        "=pipe_kg",
        2.2,
        "Mass from wall, bore and material.",
    ),
    ("pipe_2", "Pipe, section 2", "m", "=N(length_2)", "=pipe_kg_2", 2.2, ""),
    ("pipe_3", "Pipe, section 3", "m", "=N(length_3)", "=pipe_kg_3", 2.2, ""),
    ("fittings", "Bends, valves, anchors", "lot", 1, 12.0, 180.0, ""),
    ("intake", "Intake, screen, silt box", "lot", 1, 15.0, 120.0, ""),
    ("nozzle_set", "Nozzle, gauge, valve before it", "lot", 1, 3.0, 60.0, ""),
    ("wheel", "Wheel, shaft, bearings", "piece", 1, 4.0, 250.0, ""),
    ("housing", "Housing and its stand", "piece", 1, 18.0, 100.0, "Concrete for the stand is not counted."),
    ("alternator", "Alternator", "piece", 1, 9.0, 160.0, ""),
    ("controller", "Rectifier and controller", "piece", 1, 3.0, 220.0, ""),
    (
        "cable",
        "Cable, both wires",
        "m",
        "=cable_length",
        "=cable_metre_kg",
        3.5,
        "Mass from metal and covering.",
    ),
    (
        "battery",
        "Battery",
        "kWh",
        2.4,
        32.0,
        150.0,
        "Lead-acid 25 to 40 kg a kWh (common practice, no published source).",
    ),
    (
        "dump",
        "Dump resistors",
        "piece",
        "=resistors_to_buy",
        0.5,
        12.0,
        "Number from the sheet before.",
    ),
    ("fuse", "Fuse, switch, boxes, earth", "lot", 1, 5.0, 90.0, ""),
    ("small", "Tools and small parts", "lot", 1, 10.0, 80.0, ""),
    ("carriage", "Carriage to the road's end", "lot", 1, 0.0, 100.0, ""),
    ("work", "Work you pay or count", "h", 40.0, 0.0, 0.0, "Hours, and what one is worth to you."),
)
_LIMITS = {"count": ("-", "[0, 100000]"), "mass": ("kg", "[0, 10000]"), "price": ("currency", "[0, 999999]")}


def _formula(text, digits, **more):
    """A cell that looks after itself while something is missing, so that all rows are alike."""
    return Formula(text, digits, guard=PASS, **more)


def _cell(name, what, label, content, digits):
    if isinstance(content, str):
        return _formula(content, digits)
    unit, within = _LIMITS[what]
    meaning = {"count": "How many", "mass": "Mass of one", "price": "Price of one"}[what]
    return Input(
        f"{name}_{what}",
        f"{meaning}: {label}",
        Argument(f"{name}_{what}", unit, f"{meaning}: {label}.", within),
        example=float(content),
        digits=digits,
    )


def _row(name, label, unit, count, mass, price, note):
    return (
        label,
        _cell(name, "count", label, count, "0.0"),
        unit,
        _cell(name, "mass", label, mass, "0.00"),
        _formula('=IF(COUNT(C{row},E{row})=2,C{row}*E{row},"")', "0.0"),
        _formula('=IF(ISNUMBER(F{row}),ROUNDUP(F{row}/carry_load,0),"")', "0"),
        _cell(name, "price", label, price, "0.00"),
        _formula('=IF(COUNT(C{row},H{row})=2,C{row}*H{row},"")', "0", name=f"{name}_cost"),
        _formula('=IF(AND(ISNUMBER(I{row}),N(total_cost)>0),100*I{row}/total_cost,"")', "0.0"),
        _formula('=IF(AND(ISNUMBER(I{row}),N(yearly_kwh)>0),I{row}*recovery/100/yearly_kwh,"")', "0.000"),
        note,
    )


_SINGLE = (
    ("One coil or length of pipe", "=coil_kg"),
    ("One battery block", "=battery_block"),
    ("Alternator", "=alternator_mass"),
    ("Wheel with shaft", "=wheel_mass"),
    ("Housing", "=housing_mass"),
    ("Cable in one piece", "=cable_kg"),
)


def _each_kwh(formula):
    """What a kilowatt-hour costs by a formula; nothing without prices or energy."""
    return where("AND(ISNUMBER(total_cost),yearly_kwh>0)", formula, '""')


_OWN_PIPE = Argument("own_pipe_kg", "kg/m", "Mass of a metre of pipe.", "(0, 1000]")

PAGE = Page(
    "Parts",
    ("What there is to buy and to carry, what it costs, and what a kilowatt-hour costs. Type your own prices."),
    (
        Heading("Mass of pipe and cable"),
        Input(
            "own_pipe_kg",
            "Pipe, a metre, own value",
            _OWN_PIPE,
            digits="0.000",
            note="From its maker or your scales. Empty: from wall, bore and material on the sheet Pipe.",
        ),
        Input(
            "own_pipe_kg_2",
            "Section 2, a metre, own value",
            _OWN_PIPE.with_(name="own_pipe_kg_2"),
            digits="0.000",
            note="Empty: as the main pipe, by the square of the bore.",
        ),
        Input(
            "own_pipe_kg_3",
            "Section 3, a metre, own value",
            _OWN_PIPE.with_(name="own_pipe_kg_3"),
            digits="0.000",
            note="The same.",
        ),
        Input(
            "cable_covering",
            "Cable's covering, of its metal",
            p.COVERING.with_(name="cable_covering"),
            50.0,
            digits="0",
            note=f"Mass of insulation and sheath. {PRACTICE}",
        ),
        Result(
            "weighed_outside",
            "Main pipe weighed with an outside of",
            "mm",
            "=IFERROR(" + call("pipe_outside", size="pipe_size") + ",outside_used)",
            "As listed; of a pipe in no list as on sheet Strength.",
            digits="0.0",
        ),
        Result(
            "weighed_wall",
            "Main pipe weighed with a wall of",
            "mm",
            "=IFERROR(" + call("pipe_wall", size="pipe_size") + ",wall_used)",
            "The same.",
            digits="0.0",
        ),
        Result(
            "pipe_kg",
            "Main pipe, a metre",
            "kg/m",
            "=IF(ISNUMBER(own_pipe_kg),own_pipe_kg,"
            + call("pipe_mass", outside="weighed_outside", wall="weighed_wall", length="1", material="pipe_material")
            + ")",
            "Empty pipe.",
            digits="0.000",
        ),
        *(
            Result(
                f"pipe_kg_{i}",
                f"Section {i}, a metre",
                "kg/m",
                f"=IF(N(length_{i})>0,IF(ISNUMBER(own_pipe_kg_{i}),own_pipe_kg_{i},pipe_kg*(N(bore_{i})/bore_used)^2),0)",
                "0 where there is no such section.",
                digits="0.000",
            )
            for i in (2, 3)
        ),
        Result(
            "cable_kg",
            "Cable, all of it",
            "kg",
            "="
            + call(
                "cable_mass",
                length="cable_length",
                area="cable_area",
                material="cable_material",
                covering="cable_covering",
            ),
            digits="0.0",
        ),
        Result("cable_metre_kg", "Cable, a metre", "kg/m", where("cable_length>0", "cable_kg/cable_length")),
        Result(
            "pipe_to_buy",
            "Main pipe to buy",
            "m",
            "=IF(ISNUMBER(pipe_length),pipe_length,NA())",
            "Its length on sheet Pipe.",
            digits="0.0",
        ),
        Result(
            "resistors_to_buy",
            "Dump resistors to buy",
            "-",
            "=IF(ISNUMBER(resistors_used),resistors_used,0)",
            "Those of sheet Safety figures.",
            digits="0",
        ),
        Heading("List of parts"),
        Input(
            "currency_name",
            "Money is counted in",
            words("currency_name", "Name of the currency."),
            example="currency",
            note="Any name; one for all prices.",
        ),
        Table(
            (
                "part",
                "quantity",
                "unit",
                "of one, kg",
                "all, kg",
                "carries",
                "price of one, currency",
                "cost, currency",
                "of cost, %",
                "of a kWh, currency",
                "note",
            ),
            tuple(_row(*part) for part in _PARTS),
            names={"part_masses": "F", "part_carries": "G", "part_prices": "H", "part_costs": "I"},
            key="parts",
            wrap=("B", "L"),
            how={
                "C": "yours, or the length on its sheet",
                "E": "yours, or as worked out above",
                "F": "quantity x mass of one",
                "G": "over what one person carries, rounded up",
                "I": "quantity x price of one",
                "K": "cost x yearly payment over energy in a year, below",
            },
        ),
        Result(
            "total_mass",
            "All of it weighs",
            "kg",
            "=SUM(part_masses)",
            "A part without a mass is not in it.",
            digits="0",
            strong=True,
        ),
        Result(
            "total_cost",
            "All of it costs",
            "currency",
            '=IF(COUNT(part_prices)>0,SUM(part_costs),"no prices given")',
            "A part without a price is not in it.",
            digits="#,##0",
            strong=True,
        ),
        Result(
            "cost_per_watt",
            "Cost for each watt into the battery",
            "currency/W",
            '=IF(AND(ISNUMBER(total_cost),battery_watts>0),total_cost/battery_watts,"")',
            "Empty: no prices, or nothing reaches the battery.",
        ),
        Heading("Carrying it up", new_page=True),
        Input(
            "carry_load",
            "One person carries",
            Argument("carry_load", "kg", "Load of one person.", "[1, 60]"),
            20.0,
            digits="0",
            note=(
                "On a path and for hours. ISO 11228-1 takes 25 kg as the most for lifting (from memory, not looked "
                "up); a hill is worse."
            ),
        ),
        Input(
            "coil_length",
            "Pipe comes in lengths of",
            Argument("coil_length", "m", "Length of a coil or a bar.", "(0, 2000]"),
            50.0,
            digits="0",
            note="Coil or bar. Each joint is a place to leak.",
        ),
        Input(
            "battery_block",
            "One battery block weighs",
            Argument("battery_block", "kg", "Mass of one.", "[0, 500]"),
            28.0,
            digits="0",
            note=(
                "On its label; a lead-acid block of 12 V and 100 Ah about 28 kg (common practice, no published source)."
            ),
        ),
        Input(
            "walk_minutes",
            "Way up, on foot",
            Argument("walk_minutes", "min", "One way, loaded.", "[0, 1440]"),
            25.0,
            digits="0",
            note="One way, loaded, from where the road ends.",
        ),
        Result(
            "coil_kg",
            "One coil or length of pipe",
            "kg",
            "=pipe_kg*MIN(coil_length,pipe_length)",
            digits="0.0",
        ),
        Table(
            ("heaviest in one piece", "mass, kg", "people"),
            tuple(
                (
                    label,
                    _formula(formula, "0.0"),
                    _formula('=IF(N(C{row})>0,ROUNDUP(C{row}/carry_load,0),"")', "0"),
                )
                for label, formula in _SINGLE
            ),
            names={"single_labels": "B", "single_masses": "C"},
            key="single_loads",
            how={
                "C": "mass of a metre x length, or of one piece, from the list of parts",
                "D": "over what one person carries, rounded up",
            },
        ),
        Result("heaviest_load", "Heaviest single load", "kg", "=MAX(single_masses)", digits="0.0", strong=True),
        Result(
            "heaviest_part", "It is", "", "=INDEX(single_labels,MATCH(heaviest_load,single_masses,0))", digits="General"
        ),
        Result(
            "carries",
            "Carries in all",
            "-",
            "=SUM(part_carries)",
            "Each part carried by itself.",
            digits="0",
            strong=True,
        ),
        Result("walking_hours", "Walking up and down", "h", "=carries*2*walk_minutes/60", digits="0.0"),
        Words(
            "Acid batteries must stay upright. A coil under tension springs open: cut its bands one by one, from the "
            "side. What is too heavy for "
            "one is carried by two, with a pole.",
            caution=True,
        ),
        Heading("What a kilowatt-hour costs"),
        Input(
            "interest_rate",
            "Interest rate",
            p.INTEREST.with_(name="interest_rate"),
            5.0,
            digits="0.0",
            note=p.INTEREST.meaning + " 0: none.",
        ),
        Input("plant_years", "The plant lasts", p.YEARS.with_(name="plant_years"), 20.0, digits="0", note=PRACTICE),
        Input(
            "battery_years",
            "A battery lasts",
            p.EVERY.with_(name="battery_years"),
            7.0,
            digits="0",
            note="It is bought again at today's price.",
        ),
        Input(
            "upkeep",
            "Upkeep in a year",
            p.YEARLY_UPKEEP.with_(name="upkeep", within="[0, 999999]"),
            60.0,
            digits="0",
            note="Bearings, brushes, screens, your way up if you count it.",
        ),
        Input(
            "running_share",
            "It runs",
            Argument("running_share", "%", "Share of the year.", "(0, 100]"),
            90.0,
            digits="0",
            note="Share of the year with enough water, no ice, no repair.",
        ),
        Input(
            "other_price",
            "Another source's kilowatt-hour",
            Argument("other_price", "currency/kWh", "Price of another source.", "[0, 999999]"),
            1.0,
            digits="0.00",
            note="Fuel generator, grid line, or what you pay now, per kWh delivered.",
        ),
        Result(
            "yearly_kwh",
            "Energy in a year",
            "kWh",
            "=battery_watts*365.25*24/1000*running_share/100",
            "Into the battery; of it some is lost there.",
            digits="#,##0",
        ),
        Result(
            "recovery",
            "Yearly payment, of the capital",
            "%",
            "=" + call("capital_recovery", years="plant_years", interest="interest_rate"),
            "Pays back the capital with interest over the plant's life.",
        ),
        Result(
            "battery_again",
            "Laid aside for batteries",
            "currency",
            "="
            + call(
                "replacement_worth",
                price="N(battery_cost)",
                every="battery_years",
                years="plant_years",
                interest="interest_rate",
            ),
            "Now, with interest until they are bought.",
            digits="#,##0",
        ),
        Result(
            "capital",
            "To be paid back: parts and what is laid aside",
            "currency",
            '=IF(ISNUMBER(total_cost),total_cost+battery_again,"no prices given")',
            "Cost of all parts, and what is laid aside for batteries.",
            digits="#,##0",
        ),
        Result(
            "kwh_from_parts",
            "A kWh costs: parts",
            "currency/kWh",
            _each_kwh("total_cost*recovery/100/yearly_kwh"),
            "Yearly payment for all parts, over the energy of a year.",
            digits="0.000",
        ),
        Result(
            "kwh_from_batteries",
            "A kWh costs: batteries bought again",
            "currency/kWh",
            _each_kwh("battery_again*recovery/100/yearly_kwh"),
            "The same of what is laid aside.",
            digits="0.000",
        ),
        Result(
            "kwh_from_upkeep", "A kWh costs: upkeep", "currency/kWh", _each_kwh("upkeep/yearly_kwh"), digits="0.000"
        ),
        Result(
            "kwh_price",
            "A kilowatt-hour costs",
            "currency/kWh",
            _each_kwh(
                call(
                    "energy_cost",
                    capital="capital",
                    yearly_upkeep="upkeep",
                    yearly_energy="yearly_kwh",
                    years="plant_years",
                    interest="interest_rate",
                )
            ),
            "If all of it is used. Empty: no prices, or no energy.",
            digits="0.000",
            strong=True,
        ),
        Result(
            "yearly_gain",
            "Saved in a year",
            "currency",
            "=yearly_kwh*other_price-upkeep",
            "Against the other source, upkeep taken off.",
            digits="#,##0",
        ),
        Result(
            "yearly_interest",
            "Interest on it in the first year",
            "currency",
            '=IF(ISNUMBER(total_cost),capital*interest_rate/100,"")',
            digits="#,##0",
        ),
        Result(
            "payback",
            "Paid back after",
            "year",
            "=IF(ISNUMBER(total_cost),IF(yearly_gain>yearly_interest,"
            + call("payback_time", capital="capital", yearly_gain="yearly_gain", interest="interest_rate")
            + ',"never"),"")',
            "With interest; later batteries laid aside for at the start. Empty: no prices.",
            digits="0.0",
            strong=True,
        ),
        Words(
            "Formulas: capital recovery and levelized cost, W. Short, D. J. Packey, T. Holt, NREL/TP-462-5173, 1995 "
            "(from memory, not looked up). "
            "Prices change by more than these formulas tell: try the price you fear."
        ),
    ),
    widths=(3, 31, 11, 13, 11, 12, 9, 11, 11, 9, 9, 34),
    heads=Page.heads + ("",) * 5,
)

CHECKS = (
    Check(
        "Heaviest single load",
        "=heaviest_load",
        "kg",
        25,
        50,
        (
            "Above 25 kg (ISO 11228-1, from memory, not looked up) it takes two people, above 50 a plan: shorter "
            "coils, smaller battery blocks."
        ),
        rests_on=("battery_block", "alternator_mass", "wheel_mass", "housing_mass"),
        name="heaviest",
    ),
    Check(
        "A kilowatt-hour, of another source's price",
        '=IF(AND(ISNUMBER(kwh_price),N(other_price)>0),100*kwh_price/other_price,"no price, or no energy")',
        "%",
        100,
        300,
        f"Above 100 it costs more than the other source over its life; above 300 think of why you build it. {PRACTICE}",
        rests_on=("part_prices", "other_price"),
        name="kwh_share",
    ),
)
