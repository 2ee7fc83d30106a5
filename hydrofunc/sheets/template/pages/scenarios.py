"""Scenarios: one change at a time."""

from ..chain import call
from ..model import Formula, Page, Result, Table, Words

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


PAGE = Page(
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
