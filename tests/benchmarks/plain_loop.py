"""The template's results for one scenario by our own public functions, a call after the other, as in a plain loop.

In trade units, for the inputs in `straight_line.VARIED` and the template's own values for all others.
"""

import hydrofunc as hf
from hydrofunc.template import INPUTS
from hydrofunc.units import to_si

from .straight_line import LISTED_FITTINGS

OWN = {item.name: item.shown for item in INPUTS}


def results(varied):
    v = OWN | varied
    temperature, gravity = v["water_temperature"], hf.gravity(v["latitude"], v["altitude"])
    water = {"temperature": temperature, "gravity": gravity}
    head = hf.static_head(v["static_pressure"], v["gauge_height"], **water)
    available = hf.bucket_flow(v["bucket_volume"], v["bucket_seconds"]) * (1 - v["left_in_stream"] / 100)
    bore = v["pipe_bore"]
    fittings = hf.fitting_loss(v["entrance"], bore) + v["other_k"]
    fittings += sum(v[name] * hf.fitting_loss(fitting, bore) for name, fitting in LISTED_FITTINGS.items() if v[name])
    pipe = {
        "length": v["pipe_length"],
        "bore": bore,
        "roughness": hf.roughness(v["pipe_material"], v["pipe_condition"]),
        "fittings": fittings,
    }
    outlet = {name: v[name] for name in ("jets", "velocity_coefficient", "contraction")}
    site = {"gross_head": head, "available_flow": available, **pipe, **outlet, **water}
    flow = hf.operating_flow(nozzle=v["nozzle"], **site)
    net = hf.nozzle_head(flow, v["nozzle"], gravity=gravity, **outlet)
    jet = hf.jet_velocity(net, v["velocity_coefficient"], gravity)
    jet_power = hf.jet_power(flow, jet, temperature)
    lost = hf.penstock_head(flow, **pipe, **water)
    bends = hf.minor_head(flow, bore, fittings, gravity)

    wheel = {name: v[name] for name in ("pitch_diameter", "deflection", "cup_friction", "alignment", "windage")}
    turning = {
        "flow": flow,
        "jet_velocity": jet,
        "temperature": temperature,
        "bearing_drag": v["bearing_drag"],
        **wheel,
    }
    resistance = hf.phase_resistance(v["terminal_resistance"], v["test_connection"])
    machine = {
        "phase_volts": hf.emf_constant(v["test_volts"], v["test_speed"], v["test_connection"]),
        "phase_resistance": resistance,
        "phase_inductance": hf.phase_inductance(v["terminal_inductance"], v["test_connection"]),
        **{name: v[name] for name in ("pole_pairs", "connection", "diode_drop")},
    }
    wire = hf.cable_resistance(v["cable_length"], v["cable_area"], v["cable_material"], v["cable_temperature"])
    load = {name: v[name] for name in ("battery_volts", "iron_drag", "load", "controller_efficiency")}
    plant = turning | machine | load | {"cable_resistance": wire}
    speed, current = hf.operating_speed(**plant), hf.operating_current(**plant)
    volts, watts = hf.operating_volts(**plant), hf.operating_power(**plant)
    runaway = hf.runaway_speed(**turning)
    ratio = hf.speed_ratio(speed, v["pitch_diameter"], jet)
    cups = hf.cup_efficiency(ratio, v["deflection"], v["cup_friction"]) if ratio > 0 else 0.0

    def power(at_head):
        return hf.hydraulic_power(flow, at_head, **water)

    turned = to_si(speed, "rpm")
    lines = {
        "gross": power(head),
        "unfilled": power(max(0.0, head - lost - net)),
        "friction": power(max(0.0, lost - bends)),
        "fittings": power(bends),
        "nozzle": power(net) - jet_power,
        "cups": jet_power * (1 - cups),
        "alignment": jet_power * cups * (1 - v["alignment"]),
        "windage": hf.windage_power(speed, v["windage"]),
        "bearings": v["bearing_drag"] * turned,
        "iron": v["iron_drag"] * turned,
        "windings": hf.copper_loss(current, resistance, v["connection"]),
        "diodes": hf.diode_loss(current, v["diode_drop"]),
        "cable": hf.cable_loss(current, wire),
        "controller": 0.0,
        "battery": watts,
    }
    return {
        "plant_watts": watts,
        "plant_energy": 24 * watts,
        "plant_flow": flow,
        "plant_lost_share": 100 * lost / head,
        "plant_best_nozzle": hf.best_nozzle(**site),
        "plant_jet_power": jet_power,
        "plant_speed": speed,
        "plant_speed_ratio": ratio,
        "plant_amps": current,
        "plant_volts": volts,
        "plant_efficiency": 100 * watts / lines["gross"],
        "plant_runaway_volts": hf.open_circuit_volts(runaway, machine["phase_volts"], v["connection"]),
        "ledger_sum": sum(lines.values()) - lines["gross"],
        **{f"ledger_{name}": value for name, value in lines.items()},
    }
