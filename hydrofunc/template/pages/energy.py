"""Energy: loads, battery, ventilation, a month day by day."""

from ...catalogue import energy as declared
from ...registry import Argument
from ..chain import call
from ..expression import cell, cells, greatest, is_number, no_value, rounded, when
from ..model import Formula, Heading, Input, Page, Result, Space, Table, Words
from .common import PRACTICE, Check, fed_by, limit, where, words
from .route import NTH

LIMITS = (
    limit(
        "block_volts",
        "A battery of 12 V charges at about",
        13.5,
        "V",
        f"So many times in the volts while charging, so many blocks of 12 V stand in series. {PRACTICE}",
        "(0, 20]",
    ),
    limit(
        "block_cells",
        "Cells in a block of 12 V",
        6.0,
        "-",
        "Lead-acid cells of 2 V, six in a block: that is what 12 V means.",
        "[1, 24]",
    ),
    limit(
        "gassing_vented",
        "Gassing current, vented cells",
        20.0,
        "mA/Ah",
        "IEC 62485-2, boost charge (from memory, not looked up).",
        "(0, 100]",
    ),
    limit(
        "gassing_sealed",
        "Gassing current, sealed cells",
        8.0,
        "mA/Ah",
        "IEC 62485-2, boost charge (from memory, not looked up).",
        "(0, 100]",
    ),
)

# Invented loads: name, watts, hours a day, days a week.
_LOADS = (
    ("lamps", 30.0, 5.0, 7.0),
    ("refrigerator", 40.0, 10.0, 7.0),
    ("radio and telephone", 15.0, 6.0, 7.0),
    ("laptop", 45.0, 4.0, 5.0),
    ("water pump", 250.0, 0.5, 7.0),
    ("washing machine", 350.0, 1.5, 2.0),
    ("workshop tools", 500.0, 1.0, 2.0),
    (None, None, None, None),
    (None, None, None, None),
    (None, None, None, None),
)
_MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
_DAYS = 31
_BATTERY = "battery_held>0"


def _or_nothing(digits):
    """A number format that shows nothing of a 0: what there is of a battery or of loads that nobody gave."""
    return f"{digits};-{digits};"


def _load(number, name, watts, hours, days):
    def figure(what, label, unit, within, example, digits):
        argument = Argument(f"{what}_{number}", unit, f"{label}, row {number}.", within)
        return Input(argument.name, f"{label}, row {number}", argument, example=example, digits=digits)

    return (
        Input(
            f"load_name_{number}",
            f"Load {number}",
            words(f"load_name_{number}", "What it is."),
            example=name,
        ),
        figure("load_watts", "Watts of the load", "W", "[0, 100000]", watts, "0"),
        figure("load_hours", "Hours on such a day", "h", "[0, 24]", hours, "0.0"),
        figure("load_days", "Days a week; empty is every day", "-", "[0, 7]", days, "0"),
        Formula("=N(C{row})*N(D{row})", _or_nothing("0")),
        Formula("=F{row}*IF(ISNUMBER(E{row}),E{row},7)/7", _or_nothing("0")),
        Formula("=IF(F{row}=0,0,IF(ISNUMBER(E{row}),ROUNDUP(E{row},0),7))", _or_nothing("0")),
    )


def _month(name):
    return (
        name,
        Formula(f"=INDEX(month_energy,{NTH})", "0.0"),
        Formula(f"=daily_wanted*INDEX(month_days,{NTH})/1000", "0.0"),
        Formula("=MIN(D{row}-I{row},charge_efficiency/100*(C{row}-I{row}))", "0.0"),
        Formula("=I{row}+E{row}", "0.0"),
        Formula("=C{row}-I{row}-E{row}/(charge_efficiency/100)", "0.0"),
        Formula("=D{row}-F{row}", "0.0"),
        Formula("=MIN(C{row},(1-through_battery/100)*D{row})", "0.0"),
    )


# A day of the run. Room is what is missing to a full battery, in Wh that come out of it again; it begins full.
_DAY = (
    Formula(f"={NTH}", "0"),
    Formula("=IF(AND(B{row}>=wheel_stops_on,B{row}<runs_again_on),0,daily_made)", "0"),
    Formula('=SUMIF(load_days,">="&(7-MOD(B{row}-1,7)),load_energy)/delivered', "0"),
    Formula(f"=IF({_BATTERY},100*(1-J{{row}}/battery_energy),0)", "0.0"),
    Formula("=MIN(C{row},(1-through_battery/100)*D{row})", "0"),
    Formula("=IF(B{row}=1,0,J{row-1})", "0"),
    Formula("=MIN(C{row}-F{row},day_charge,100*G{row}/charge_efficiency)", "0"),
    Formula("=MIN(D{row}-F{row},MAX(0,reserve-G{row}+H{row}*charge_efficiency/100))", "0"),
    Formula("=G{row}-H{row}*charge_efficiency/100+I{row}", "0"),
)


_NO_BATTERY = cell("load") == "resistor"
_VOLTS, _OWN_CAPACITY = cells("battery_volts battery_capacity")
_BLOCKS = when(
    (_NO_BATTERY, 0),
    (is_number(_VOLTS), greatest(1, rounded(_VOLTS / cell("block_volts"), 0))),
    otherwise=no_value(),
)
_CAPACITY = when((_NO_BATTERY, 0), (is_number(_OWN_CAPACITY), _OWN_CAPACITY), otherwise=cell("battery_needed"))
_WANTED = (
    Heading("Loads"),
    Table(
        (
            "what",
            "power, W",
            "use, h a day",
            "days a week",
            "on such a day, Wh",
            "mean, Wh a day",
            "counted, days a week",
        ),
        tuple(_load(number, *load) for number, load in enumerate(_LOADS, start=1)),
        names={"load_watts": "C", "load_energy": "F", "load_mean_energy": "G", "load_days": "H"},
        key="loads",
        how={
            "F": "power x use",
            "G": "on such a day x days / 7; no days given: every day",
            "H": "whole days, for the run below",
        },
    ),
    Words(
        "Read watts and hours with an energy meter rather than from labels: a refrigerator runs a third"
        " of the day, a pump starts with three to seven times its watts (common practice, no published"
        " source). Loads of two days a week are taken on the last two days of each week in the run below."
    ),
    fed_by(
        declared.DELIVERY,
        "Inverter and wiring pass on",
        "Of the energy that leaves the battery side. An idle inverter eats too: list it as a load.",
        digits="0",
    ),
    fed_by(
        declared.THROUGH_BATTERY.with_(default=40.0),
        "Share of the loads met from the battery",
        digits="0",
        note=(
            "What is wanted when the plant alone cannot give it, such as cooking peaks. Common practice,"
            " no published source."
        ),
    ),
    Result("delivered", "Inverter and wiring pass on, as a share", "-", "=delivery_efficiency/100"),
    Result(
        "daily_load",
        "Energy the loads take, mean",
        "Wh",
        "=SUM(load_mean_energy)",
        "A day.",
        digits=_or_nothing("#,##0"),
        strong=True,
    ),
    Result(
        "daily_wanted",
        "Energy wanted at the battery",
        "Wh",
        "=daily_load/delivered",
        "A day.",
        digits=_or_nothing("#,##0"),
    ),
    Result(
        "daily_need",
        "Energy the plant must make for it",
        "Wh",
        "=daily_wanted*(1-through_battery/100+through_battery/charge_efficiency)",
        "A day; what goes through the battery loses some.",
        digits=_or_nothing("#,##0"),
    ),
    Result(
        "daily_made",
        "Energy made in the poorest month",
        "Wh",
        "=24*driest_watts",
        "A day; from Supply.",
        digits="#,##0",
        strong=True,
    ),
)
_BATTERY_BANK = (
    Heading("Battery (lead-acid)", new_page=True),
    Input(
        "battery_capacity",
        "Battery you have or plan",
        declared.BATTERY_CAPACITY,
        example=300.0,
        digits="0",
        note="Rated ampere hours of the whole bank. Empty: the size worked out below.",
    ),
    fed_by(
        declared.RATED_HOURS.with_(default=20.0),
        "Battery is rated at a discharge of",
        "20 hours is usual: C20.",
        digits="0",
    ),
    Input(
        "battery_kind",
        "Kind of battery",
        Argument("battery_kind", "text", "Vented cells take water; sealed ones do not.", choices=("vented", "sealed")),
        "vented",
        note="Vented cells take water; sealed ones (gel, mat) do not.",
    ),
    fed_by(
        declared.AUTONOMY.with_(default=2.0),
        "Days to last without the wheel",
        "Frozen intake, broken belt, repair.",
        digits="0.0",
    ),
    fed_by(
        declared.DEPTH,
        "Battery may be emptied by",
        digits="0",
        note="Half, for a long life: the deeper, the fewer cycles.",
    ),
    fed_by(
        declared.CHARGE_EFFICIENCY,
        "Battery's energy out over energy in",
        digits="0",
        note="70 % is typical of lead-acid, as photovoltaic textbooks have it; 85 % of the ampere hours.",
    ),
    fed_by(
        declared.BATTERY_TEMPERATURE.with_(within="[-3.8, 48.8]", default=15.0),
        "Battery's usual temperature",
        digits="0",
        note="The table of capacity goes from -3 to 48 °C.",
    ),
    Input(
        "coldest_battery",
        "Battery's coldest night",
        declared.BATTERY_TEMPERATURE.with_(name="coldest_battery"),
        0.0,
        digits="0",
        note="At the battery, not outdoors; what it may freeze at stands below.",
    ),
    fed_by(
        declared.CELL_VOLTS.with_(default=2.40),
        "Charge voltage of a cell at 25 °C",
        digits="0.00",
        note=(
            "Full charge 2.40 to 2.45 V, vented cells only; float 2.23 V vented, 2.27 V sealed (from"
            " memory): the maker's sheet rules."
        ),
    ),
    fed_by(declared.COMPENSATION, "Less for each degree warmer", digits="0.0"),
    Input(
        "charge_rate",
        "Charge current allowed",
        Argument("charge_rate", "%", "Amperes for 100 Ah of rated capacity.", "(0, 100]"),
        20.0,
        digits="0",
        note=(
            "Amperes for 100 Ah: 10 to 20, which is C/10 to C/5. Common practice, no published source:"
            " the maker's sheet rules."
        ),
    ),
    fed_by(declared.PEUKERT, "Peukert's exponent", digits="0.00"),
    Input(
        "rest_volts",
        "Volts at rest, if measured",
        declared.REST_VOLTS,
        digits="0.00",
        note=declared.REST_VOLTS.meaning,
    ),
    Result(
        "battery_blocks",
        "Blocks of 12 V in series",
        "-",
        f"={_BLOCKS}",
        "From the battery volts while charging. 0 with a resistor load: no battery.",
        digits="0",
    ),
    Result(
        "battery_cells",
        "Cells in series",
        "-",
        "=block_cells*battery_blocks",
        "6 for 12 V, 12 for 24 V.",
        digits="0",
    ),
    Result("nominal_volts", "Nominal volts", "V", "=2*battery_cells", digits="0"),
    Result(
        "capacity_share",
        "Capacity at its temperature",
        "%",
        "=" + call("cold_capacity"),
        "Of the rated one at 25 °C (IEEE Std 485, from memory, not looked up).",
        digits="0",
    ),
    Result(
        "battery_needed",
        "Battery needed",
        "Ah",
        "=IF(battery_cells*daily_load>0,"
        + call("battery_size", daily_energy="daily_load", battery_volts="nominal_volts", cold_capacity="capacity_share")
        + ",0)",
        "For the loads and days above; 0 without loads.",
        digits=_or_nothing("0"),
        strong=True,
    ),
    Result(
        "battery_held",
        "Battery counted with",
        "Ah",
        f"={_CAPACITY}",
        "Yours if given; else the one needed.",
        digits=_or_nothing("0"),
    ),
    Result(
        "charge_amps_allowed",
        "Charge current the battery may get",
        "A",
        "=battery_held*charge_rate/100",
        digits=_or_nothing("0.0"),
    ),
    Result(
        "battery_energy",
        "Energy in the full battery",
        "Wh",
        "=battery_held*nominal_volts*capacity_share/100",
        digits=_or_nothing("#,##0"),
    ),
    Result(
        "charge_amps",
        "Most charge current",
        "A",
        where(_BATTERY, "full_watts/battery_volts"),
        "All the water there, no loads on.",
        digits=_or_nothing("0.0"),
    ),
    Result(
        "charge_share",
        "Most charge current, of the rated capacity",
        "%",
        where(_BATTERY, "100*charge_amps/battery_held"),
        "10 % is C/10.",
        digits=_or_nothing("0.0"),
    ),
    Result(
        "charge_watts",
        "Watts that charge it, no loads on",
        "W",
        where(_BATTERY, "MIN(battery_watts,charge_amps_allowed*battery_volts)"),
        "All the plant gives now, or what the charge current allows where that is less.",
        digits=_or_nothing("0"),
    ),
    Result(
        "charge_energy",
        "Energy to charge the flat battery",
        "Wh",
        "=battery_energy/(charge_efficiency/100)",
        "What is in it when full, and what charging loses.",
        digits=_or_nothing("#,##0"),
    ),
    Result(
        "daily_left",
        "Energy the loads leave for it, mean",
        "Wh",
        "=24*battery_watts-daily_need",
        "A day; below 0 they take more than is made now.",
        digits="#,##0",
    ),
    Result(
        "days_to_charge",
        "Days to charge the flat battery, no loads on",
        "day",
        where("charge_watts>0", "charge_energy/(24*charge_watts)", '""'),
        "From nothing in it to full, day and night, with what charging loses. Times 24: hours. Empty: no battery, or "
        "nothing arrives. The last tenth goes slower than this (common practice, no published source).",
        digits="0.0",
        strong=True,
    ),
    Result(
        "charging_lacks",
        "Why no charging time can be told",
        "",
        '=IF(load="resistor","no battery",IF(battery_held>0,"nothing arrives","give its capacity on sheet Energy"))',
        digits="General",
    ),
    Result(
        "charging_says",
        "Charging time, in words",
        "",
        '=IF(ISNUMBER(days_to_charge),ROUND(days_to_charge,1)&" days",charging_lacks)',
        digits="General",
    ),
    Result(
        "days_to_charge_used",
        "Days to charge it with the loads on as listed",
        "day",
        where(_BATTERY, 'IF(daily_left>0,MAX(days_to_charge,charge_energy/daily_left),"never")', '""'),
        "Never faster than the charge current allows. Never at all: the loads take all that is made.",
        digits="0.0",
    ),
    Result(
        "charge_volts",
        "Charge voltage at its temperature",
        "V",
        where("battery_cells>0", call("charge_volts", cells="battery_cells")),
        "Set the controller to this.",
        strong=True,
    ),
    Result(
        "rest_state",
        "State of charge by the volts at rest",
        "%",
        where(
            "N(rest_volts)*battery_cells>0",
            call("rest_charge", rest_volts="rest_volts", cells="battery_cells"),
            '""',
        ),
        "Empty where nothing was measured.",
        digits="0",
    ),
    Result(
        "mean_amps",
        "Mean current of the loads",
        "A",
        "=IF(nominal_volts>0,daily_wanted/24/nominal_volts,0)",
        digits=_or_nothing("0.00"),
    ),
    Result(
        "full_hours",
        "Mean current from full to empty, when warm",
        "h",
        where(
            "battery_held*mean_amps>0",
            "MIN(battery_held/mean_amps,"
            + call("discharge_time", battery_capacity="battery_held", current="mean_amps")
            + ")",
        ),
        "Peukert's law in its rated form, but never more than the rated capacity.",
        digits=_or_nothing("0"),
    ),
    Result(
        "holds_out",
        "Full battery carries the mean load for",
        "h",
        "=full_hours*depth_of_discharge/100*capacity_share/100",
        "Down to the depth allowed, at the battery's temperature.",
        digits=_or_nothing("0"),
    ),
    Result(
        "freezes_at",
        "A battery emptied so far freezes at",
        "°C",
        "=" + call("freezing_point", charge_state="100-depth_of_discharge"),
        "An empty one at about -8 °C (from memory, not looked up).",
        digits="0",
    ),
    Words(
        "A battery emptied and left in the cold freezes and bursts. A frozen one must not be charged."
        " Acid burns eyes and skin: goggles, gloves, water at hand. A spanner across the terminals welds"
        " and explodes: fuse at the terminal, terminals covered, rings off, two people. Licensed practice"
        " and local codes come before these numbers.",
        caution=True,
    ),
)
_HYDROGEN = (
    Heading("Hydrogen", new_page=True),
    Input(
        "vent_opening",
        "Opening you have, each of the two",
        Argument("vent_opening", "cm²", "Free area of the inlet low down, and of the outlet high up.", "(0, 100000]"),
        example=150.0,
        digits="0",
        note="Free area, grille taken off: one low down, one at the highest point, on opposite walls.",
    ),
    Result(
        "gassing",
        "Gassing current, full charge",
        "mA/Ah",
        '=IF(battery_kind="vented",gassing_vented,gassing_sealed)',
        "IEC 62485-2, boost charge; from sheet Limits.",
        digits="0",
    ),
    Result(
        "gas_air",
        "Air needed",
        "m³/h",
        where(_BATTERY, call("gas_ventilation", cells="battery_cells", battery_capacity="battery_held")),
        digits=_or_nothing("0.00"),
    ),
    Result(
        "vent_needed",
        "Each opening needs",
        "cm²",
        "=" + call("gas_opening", ventilation="gas_air"),
        "Without a fan.",
        digits=_or_nothing("0"),
        strong=True,
    ),
    Result(
        "spark_distance",
        "No spark or hot part nearer than",
        "mm",
        where(_BATTERY, call("gas_distance", battery_capacity="battery_held", cells_per_block="block_cells"), '""'),
        "For blocks of 12 V; single cells of 2 V need 0.55 of it. IEC 62485-2, annex, from memory, not looked up.",
        digits="0",
    ),
    Words(
        "A charging battery gives off hydrogen, which explodes from 4 % in air, and gathers under lids"
        " and ceilings. No flame, no switch, no relay, no fuse holder and no dump load near it. IEC"
        " 62485-2 and local codes decide, not this sheet.",
        caution=True,
    ),
)
_HOT_WATER = (
    Heading("Heat"),
    Input(
        "kettle_watts",
        "Kettle or heater",
        declared.HEATER_POWER.with_(name="kettle_watts"),
        300.0,
        digits="0",
        note="As printed on it.",
    ),
    Input(
        "kettle_litres",
        "Water to boil",
        Argument("kettle_litres", "L", "Cold water.", "(0, 500]"),
        1.0,
        digits="0.0",
        note="Cold water: taken as cold as the pipe's (sheet Site).",
    ),
    fed_by(declared.HEAT_EFFICIENCY, "Heat that stays in the water", digits="0"),
    Result("boils_at", "Water boils here at", "°C", "=" + call("boiling_point"), digits="0.0"),
    Result(
        "boil_minutes",
        "Kettle boils after",
        "min",
        "=" + call("boil_time", volume="kettle_litres", heater_power="kettle_watts"),
        digits="0",
    ),
    Result(
        "boil_by_plant",
        "Kettle boils with the plant's own watts after",
        "min",
        where("driest_watts>0", call("boil_time", volume="kettle_litres", heater_power="driest_watts"), '""'),
        "In the poorest month. Empty where nothing arrives.",
        digits="0",
    ),
)
_MONTH_BY_MONTH = (
    Heading("Month by month", new_page=True),
    Space("energy_months", 17),
    Table(
        (
            "month",
            "made, kWh",
            "wanted, kWh",
            "from the battery, kWh",
            "used, kWh",
            "dumped, kWh",
            "missing, kWh",
            "of it directly, kWh",
        ),
        tuple(map(_month, _MONTHS)),
        names={"year_made": "C", "year_wanted": "D", "year_used": "F", "year_dumped": "G", "year_missing": "H"},
        how={
            "C": "sheet Supply",
            "D": "energy wanted at the battery x days of the month",
            "E": (
                "what the wheel does not give while it is wanted, as far as the rest of what it makes allows, "
                "less what charging loses"
            ),
            "F": "directly and from the battery",
            "G": "made, less used directly and less what went into the battery",
            "I": "wanted less the share met from the battery, as far as that much is made",
        },
        key="energy_months",
    ),
    Result(
        "dump_most",
        "Dump load must take",
        "W",
        "=full_watts",
        "All of it, on a day with full battery and nothing on.",
        digits="0",
        strong=True,
    ),
    Result(
        "dump_mean",
        "Dump load takes on average",
        "W",
        "=1000*SUM(year_dumped)/(24*SUM(month_days))",
        "Warmth for a room or a boiler.",
        digits="0",
    ),
    Words(
        "A dump load glows or boils: bolt it to something that cannot burn, and leave air round it. With"
        " the dump load off, a wheel that still turns overcharges the battery or runs away: nothing that"
        " opens by itself may stand before it, unless it stops the water as well.",
        caution=True,
    ),
)
_DAY_BY_DAY = (
    Heading("The poorest month, day by day", new_page=True),
    Input(
        "wheel_stops_on",
        "The wheel stops on day",
        Argument("wheel_stops_on", "-", "Day of the month.", "[1, 31]"),
        10.0,
        digits="0",
        note="To try what the battery is for.",
    ),
    Input(
        "wheel_stops_for",
        "The wheel stands for",
        Argument("wheel_stops_for", "day", "Days the wheel stands.", "[0, 31]"),
        2.0,
        digits="0",
        note="Days without the wheel: 0 for none.",
    ),
    Result("runs_again_on", "The wheel runs again on day", "-", "=wheel_stops_on+wheel_stops_for", digits="0"),
    Result(
        "day_charge",
        "Goes into the battery in a day, at most",
        "Wh",
        "=24*charge_amps_allowed*battery_volts",
        digits=_or_nothing("#,##0"),
    ),
    Result(
        "reserve",
        "Comes out of the full battery, at most",
        "Wh",
        "=battery_energy*depth_of_discharge/100",
        digits=_or_nothing("#,##0"),
    ),
    Result(
        "run_lowest",
        "Lowest state of charge",
        "%",
        where(_BATTERY, "MIN(run_state)", '""'),
        "At the end of a day.",
        digits="0",
        strong=True,
    ),
    Result(
        "run_missing",
        "Energy the loads missed",
        "Wh",
        where(_BATTERY, "SUMPRODUCT(run_wanted-run_direct-run_drawn)", "SUM(run_wanted)"),
        "In the 31 days: wanted, less met directly and from the battery.",
        digits="#,##0",
    ),
    Result(
        "run_dumped",
        "Energy dumped",
        "Wh",
        where(_BATTERY, "SUMPRODUCT(run_made-run_direct-run_charged)"),
        "In the 31 days: made, less used directly and charged.",
        digits=_or_nothing("#,##0"),
    ),
    Words(
        "Each day the loads first take what they can directly; the rest charges the battery, as far as"
        " its room and charge current allow; what is left is dumped. For a year of days or hours put made"
        " and wanted in two columns of your own and ask =HYDRO_LOWEST_STATE, =HYDRO_UNSERVED_ENERGY and"
        " =HYDRO_DUMPED_ENERGY of them."
    ),
    Space("charge_run", 17),
    Table(
        (
            "day",
            "made, Wh",
            "wanted, Wh",
            "full at the end, %",
            "met directly, Wh",
            "room at first, Wh",
            "charged, Wh",
            "drawn, Wh",
            "room at the end, Wh",
        ),
        (_DAY,) * _DAYS,
        names={
            "run_made": "C",
            "run_wanted": "D",
            "run_state": "E",
            "run_direct": "F",
            "run_charged": "H",
            "run_drawn": "I",
        },
        key="charge_run",
        how={
            "B": "1 is a Monday",
            "C": "that of the poorest month, none while the wheel stands",
            "D": "loads of that day of the week over what inverter and wiring pass on",
            "E": "what room at the end leaves of the full battery",
            "F": "what the wheel gives while it is wanted",
            "G": "what the day before left missing to a full battery; none on the first day",
            "H": "the rest of what is made, as far as charge current and room allow",
            "I": "the rest of what is wanted, as far as the battery may be emptied",
            "J": "room at first, less what was charged and can come out again, and what was drawn",
        },
    ),
)
PAGE = Page(
    "Energy",
    "What the loads want, what the plant gives, and the battery between them.",
    (*_WANTED, *_BATTERY_BANK, *_HYDROGEN, *_HOT_WATER, *_MONTH_BY_MONTH, *_DAY_BY_DAY),
    widths=(3, 34, 13, 10, 13, 13, 16, 16, 16, 16),
    heads=Page.heads + ("",) * 3,
)
CHECKS = (
    Check(
        "Energy wanted, of what the poorest month gives",
        '=IF(daily_need=0,0,IF(daily_made>0,100*daily_need/daily_made,"nothing is made"))',
        "%",
        85,
        100,
        "Above 100 the battery empties for good: fewer loads, or more water. 15 % in hand for days that"
        f" differ. {PRACTICE}",
        rests_on=("load_watts",),
        name="energy_share",
    ),
    Check(
        "Battery, of what loads and days need",
        where(_BATTERY, "IF(battery_needed>0,100*battery_held/battery_needed,100)", "100"),
        "%",
        99.9,
        50,
        "C = E N / (V DoD eta f), the definition of its terms; 100 where no battery or no loads are given.",
        digits="0",
        low_is_bad=True,
        rests_on=("battery_capacity", "load_watts"),
        name="battery_size",
    ),
    Check(
        "Charge current, of what is allowed",
        where(_BATTERY, "100*charge_share/charge_rate"),
        "%",
        80,
        100,
        f"More heats and gasses it. 0 without a battery. {PRACTICE} The maker's sheet rules.",
        rests_on=("battery_capacity",),
        name="charge_current",
    ),
    Check(
        "Opening against hydrogen, of the one you have",
        where(_BATTERY, 'IF(N(vent_opening)>0,100*vent_needed/vent_opening,"no opening given")'),
        "%",
        80,
        100,
        "A = 28 Q in cm² and m³/h, IEC 62485-2:2010. Not looked at until an opening is given: give one.",
        digits="0",
        rests_on=("battery_capacity", "vent_opening"),
        name="vent_share",
    ),
    Check(
        "Coldest night above the freezing point, emptied",
        where(_BATTERY, "coldest_battery-freezes_at", "100"),
        "K",
        10,
        3,
        "Handbook values, from memory, not looked up. An emptied battery freezes and bursts; 100 without a battery.",
        low_is_bad=True,
        rests_on=("coldest_battery",),
        name="frost_margin",
    ),
    Check(
        "Energy missed while the wheel stands, of that wanted",
        where("SUM(run_wanted)>0", "100*run_missing/SUM(run_wanted)"),
        "%",
        0.001,
        5,
        "The run of the poorest month: more battery, fewer loads, or a shorter stop.",
        digits="0.0",
        rests_on=("load_watts", "battery_capacity"),
        name="energy_missed",
    ),
)
