"""Every HYDRO_ function the template calls, written a second time, in the spreadsheet's own formula language.

The bodies below come from the equations in the declarations' sources, not from our physics modules; solved
functions halve a bracket where ours take Newton steps. `names(functions)` gives defined names (name ->
LAMBDA text, as a workbook stores it). Only the order of arguments, their defaults and allowed ranges come
from the declarations, and the numbers of the tables of pipes, roughness and ampacity from the project's CSV files.

How the text is written here: a lower-case word is a parameter or a LET name (stored as `_xlpm.word`), an
upper-case word a worksheet function or a defined name. Names of arguments and trade units are those of the
declarations; the helpers named W_ take SI units.
"""

import csv
import re
from importlib.resources import files
from math import inf

from hydrofunc.catalogue.plant import INPUTS
from hydrofunc.registry import FUNCTIONS

# Functions a workbook stores with a prefix.
_NEWER = re.compile(r"\b(LAMBDA|LET|REDUCE|SEQUENCE|MAP|IFS|XLOOKUP|XMATCH|SWITCH)\(")
_TEXT = re.compile(r'("[^"]*")')
_LOCAL = re.compile(r"(?<![\w.])([a-z][a-z0-9_]*)\b")

UNLIMITED = 9.99e307  # stands for "no limit": a worksheet has no infinity
_WATER = "temperature,gravity"
_SECTIONS = "length_2,bore_2,roughness_2,length_3,bore_3,roughness_3"
_POINT = (
    "flow,jet_velocity,pitch_diameter,phase_volts,pole_pairs,phase_resistance,battery_volts,phase_inductance,"
    "connection,diode_drop,cable_resistance,deflection,cup_friction,alignment,bearing_drag,windage,iron_drag,"
    "load,load_resistance,controller_efficiency,temperature"
)
# The pipe as the helpers take it: coefficient of the fittings, then length, bore and roughness of each section
_PIPE_SI = (
    "fittings,length,bore/1000,roughness/1000,length_2,bore_2/1000,roughness_2/1000,"
    "length_3,bore_3/1000,roughness_3/1000"
)


def stored(text):
    """The text of a formula as a workbook stores it."""
    pieces = _TEXT.split(" ".join(text.split()))
    for i in range(0, len(pieces), 2):
        pieces[i] = _NEWER.sub(r"_xlfn.\1(", _LOCAL.sub(r"_xlpm.\1", pieces[i]))
    return "".join(pieces)


# -- helpers, SI units -----------------------------------------------------------------------------
# A bracket is halved by adding 1/2, 1/4, 1/8 ... of its width to the lower end wherever the sought value is
# still above: REDUCE then carries one number. 45 halvings leave 3e-14 of it.
_HALVINGS = "SEQUENCE(45)"

HELPERS = {
    # M. Tanaka et al., Recommended table for the density of water between 0 °C and 40 °C, Metrologia 38
    # (2001) 301, equation 1; coefficients from memory, not looked up. t in °C
    "W_DENSITY": """LAMBDA(t, 999.97495*(1-(t-3.983035)^2*(t+301.797)/(522528.9*(t+69.34881))))""",
    # IAPWS SR6-08(2011), viscosity of water at 0.1 MPa; coefficients from memory, not looked up
    "W_VISCOSITY": """LAMBDA(t, LET(x, (t+273.15)/300,
        (280.68*x^-1.9+511.45*x^-7.7+61.131*x^-19.6+0.45903*x^-40)*0.000001/W_DENSITY(t)))""",
    # 1/sqrt(f) of Colebrook-White by Newton's method from the explicit formula of Swamee and Jain. The start
    # is within 3 %, a step leaves about a hundredth of the square of the error: 1e-5, 1e-12, then nothing.
    "W_COLEBROOK": """LAMBDA(reynolds,rough, LET(
        a, rough/3.7, b, 2.51/reynolds, per, 2/LN(10),
        REDUCE(-2*LOG10(a+5.74/reynolds^0.9), SEQUENCE(3), LAMBDA(x,step,
            LET(y, a+b*x, x-(x+per*LN(y))/(1+per*b/y))))))""",
    "W_FACTOR": """LAMBDA(reynolds,rough, IFS(
        reynolds<=2000, 64/reynolds,
        reynolds>=2600, W_COLEBROOK(reynolds,rough)^-2,
        TRUE, EXP(LN(0.032)+LN(W_COLEBROOK(2600,rough)^-2/0.032)*LN(reynolds/2000)/LN(1.3))))""",
    # d ln(head) / d ln(flow) of wall friction: 2 + d ln f / d ln Re; in the turbulent range by deriving
    # x = -2 lg(a + b x) with b = 2.51/Re
    "W_STEEPNESS": """LAMBDA(reynolds,rough, IFS(
        reynolds<2000, 1,
        reynolds<2600, 2+LN(W_COLEBROOK(2600,rough)^-2/0.032)/LN(1.3),
        TRUE, LET(x, W_COLEBROOK(reynolds,rough), b, 2.51/reynolds, per, 2/LN(10),
            2-2*per*b/(rough/3.7+b*x+per*b))))""",
    "W_SPEED": "LAMBDA(flow,bore, flow/(PI()/4*bore^2))",
    "W_FRICTION": """LAMBDA(flow,length,bore,roughness,viscosity,gravity, IF(OR(length=0,flow=0), 0, LET(
        v, W_SPEED(flow,bore),
        W_FACTOR(v*bore/viscosity,roughness/bore)*length/bore*v^2/(2*gravity))))""",
    # Head lost in three sections and the fittings of the first; and the derivative of it to ln(flow)
    "W_LOSS": """LAMBDA(flow,viscosity,gravity,k,la,da,ea,lb,db,eb,lc,dc,ec,
        W_FRICTION(flow,la,da,ea,viscosity,gravity)
        +IF(lb>0,W_FRICTION(flow,lb,db,eb,viscosity,gravity),0)
        +IF(lc>0,W_FRICTION(flow,lc,dc,ec,viscosity,gravity),0)
        +k*W_SPEED(flow,da)^2/(2*gravity))""",
    "W_FRICTION_RISE": """LAMBDA(flow,length,bore,roughness,viscosity,gravity, IF(length=0, 0,
        W_FRICTION(flow,length,bore,roughness,viscosity,gravity)
        *W_STEEPNESS(W_SPEED(flow,bore)*bore/viscosity,roughness/bore)))""",
    "W_RISE": """LAMBDA(flow,viscosity,gravity,k,la,da,ea,lb,db,eb,lc,dc,ec,
        W_FRICTION_RISE(flow,la,da,ea,viscosity,gravity)
        +IF(lb>0,W_FRICTION_RISE(flow,lb,db,eb,viscosity,gravity),0)
        +IF(lc>0,W_FRICTION_RISE(flow,lc,dc,ec,viscosity,gravity),0)
        +2*k*W_SPEED(flow,da)^2/(2*gravity))""",
    "W_JETS": "LAMBDA(nozzle,jets,contraction, PI()/4*(nozzle/1000)^2*jets*contraction)",
    # Flow [m³/s] at which loss and nozzle use up the head, at most what the source gives; trade units in
    "W_FLOW": f"""LAMBDA(gross_head,length,bore,roughness,nozzle,fittings,jets,
            velocity_coefficient,contraction,temperature,gravity,available_flow,{_SECTIONS}, LET(
        viscosity, W_VISCOSITY(temperature),
        area, velocity_coefficient*W_JETS(nozzle,jets,contraction),
        head, LAMBDA(flow, (flow/area)^2/(2*gravity)+W_LOSS(flow,viscosity,gravity,{_PIPE_SI})),
        most, MIN(available_flow/1000, area*SQRT(2*gravity*gross_head)),
        IF(head(most)<=gross_head, most, REDUCE(0, {_HALVINGS}, LAMBDA(low,step,
            LET(middle, low+most*2^-step, IF(head(middle)<=gross_head,middle,low)))))))""",
    # Flow [m³/s] up to the available one at which flow x (head - loss) is greatest. Between the flows where a
    # section's Reynolds number is 2600 the power has one top: its derivative falls there. At those flows the
    # derivative may jump up, so each piece is searched and the best top taken.
    "W_BEST": f"""LAMBDA(gross_head,length,bore,roughness,fittings,temperature,gravity,available_flow,
            {_SECTIONS}, LET(
        viscosity, W_VISCOSITY(temperature),
        loss, LAMBDA(flow, W_LOSS(flow,viscosity,gravity,{_PIPE_SI})),
        rise, LAMBDA(flow, W_RISE(flow,viscosity,gravity,{_PIPE_SI})),
        wide, REDUCE(0.000001, SEQUENCE(60), LAMBDA(flow,step, IF(loss(flow)<gross_head,2*flow,flow))),
        most, MIN(available_flow/1000, wide),
        turn, LAMBDA(length_n,bore_n, IF(length_n>0,MIN(most,650*viscosity*PI()*bore_n/1000),most)),
        turn_a, turn(length,bore), turn_b, turn(length_2,bore_2), turn_c, turn(length_3,bore_3),
        first, MIN(turn_a,turn_b,turn_c), last, MAX(turn_a,turn_b,turn_c),
        second, turn_a+turn_b+turn_c-first-last,
        top, LAMBDA(below,above, IF(above<=below, below, REDUCE(below, {_HALVINGS}, LAMBDA(low,step,
            LET(middle, low+(above-below)*2^-step,
                IF(gross_head-loss(middle)-rise(middle)>=0,middle,low)))))),
        better, LAMBDA(one,other, IF(other*(gross_head-loss(other))>one*(gross_head-loss(one)),other,one)),
        better(better(better(top(0,first),top(first,second)),top(second,last)),top(last,most))))""",
    # -- turning parts; star equivalents of the windings
    "W_ALIKE": 'LAMBDA(connection, IF(connection="delta",3,1))',
    # Open-circuit d.c. volts over angular speed: (3 sqrt(6)/pi) x star phase volts rms per rad/s
    "W_EMF": """LAMBDA(phase_volts,connection,
        3*SQRT(6)/PI()*phase_volts/SQRT(W_ALIKE(connection))*60/(2*PI()*1000))""",
    # Commutation: volts lost per ampere and rad/s
    "W_REACTION": """LAMBDA(pole_pairs,phase_inductance,connection,
        3*pole_pairs*phase_inductance/1000/W_ALIKE(connection)/PI())""",
    "W_TURN": "LAMBDA(speed, speed*PI()/30)",
    # Torque per metre per second of slip between jet and cups
    "W_GRIP": """LAMBDA(flow,pitch_diameter,deflection,cup_friction,alignment,temperature,
        W_DENSITY(temperature)*flow/1000*pitch_diameter/2000
        *(1-cup_friction*COS(deflection*PI()/180))*alignment)""",
    "W_CHURN": "LAMBDA(windage, windage*(30/PI()/1000)^3)",
    # Angular speed at which grip x (jet - cup speed) is used up by drag and windage; 0 without a start
    "W_FREE": """LAMBDA(grip,jet_velocity,radius,drag,churn, LET(start, grip*jet_velocity-drag,
        IF(start<=0, 0, 2*start/(grip*radius+SQRT((grip*radius)^2+4*churn*start)))))""",
    # Rms current in a lead of the shorted alternator
    "W_SHORT": """LAMBDA(turn,phase_volts,pole_pairs,phase_resistance,phase_inductance,connection,
        W_EMF(phase_volts,connection)*PI()/(3*SQRT(6))*turn*W_ALIKE(connection)
        /SQRT(phase_resistance^2+(pole_pairs*phase_inductance/1000*turn)^2))""",
    # Operating point: 1 angular speed, 2 current, 3 volts at the load, 4 power delivered
    # The wheel settles where its torque first meets the alternator's as it gains speed. That torque,
    # emf x I - reaction x I², is greatest at I = emf / (2 reaction); up to there the meeting is single. A
    # stronger wheel runs on, and the first meeting beyond is sought in steps; at I = emf / reaction the speed
    # is without end and the alternator wins.
    "W_POINT": f"""LAMBDA(what,{_POINT}, LET(
        emf, W_EMF(phase_volts,connection),
        reaction, W_REACTION(pole_pairs,phase_inductance,connection),
        drops, 2*diode_drop,
        series, 2*phase_resistance/W_ALIKE(connection)+cable_resistance,
        radius, pitch_diameter/2000,
        grip, W_GRIP(flow,pitch_diameter,deflection,cup_friction,alignment,temperature),
        drag, bearing_drag+iron_drag,
        churn, W_CHURN(windage),
        free, W_FREE(grip,jet_velocity,radius,drag,churn),
        torque, LAMBDA(turn, grip*(jet_velocity-turn*radius)-drag-churn*turn^2),
        against, IF(load="battery",battery_volts,0)+drops,
        all_series, series+IF(load="resistor",load_resistance,0),
        turn_at, LAMBDA(amps, (against+amps*all_series)/(emf-reaction*amps)),
        excess, LAMBDA(amps, torque(turn_at(amps))-emf*amps+reaction*amps^2),
        least_at, LAMBDA(braking, 2*braking/(emf+SQRT(emf^2-4*reaction*braking))),
        amps, IFS(
            emf*free<=against, 0,
            load="controller", 0,
            TRUE, LET(
                braking, torque(against/emf),
                holds, 4*reaction*braking<=emf^2,
                half, IF(holds,0,emf/(2*reaction)),
                passed, IF(holds,FALSE,excess(half)>0),
                part, IF(passed,REDUCE(0, SEQUENCE(400), LAMBDA(first,step,
                    IF(first>0,first,IF(excess(half*(1+step/401))<=0,step,0)))),0),
                base, IF(passed,half*(1+(IF(part>0,part,401)-1)/401),0),
                most, IFS(holds,least_at(braking),passed,half/401,TRUE,half),
                REDUCE(base, {_HALVINGS}, LAMBDA(low,step,
                    LET(middle, low+most*2^-step, IF(excess(middle)>0,middle,low)))))),
        gain, LAMBDA(turn, LET(braking, torque(turn), IF(4*reaction*braking>=emf^2, 1, LET(
            slope, -grip*radius-2*churn*turn,
            i, least_at(braking),
            braking+turn*slope-(drops+2*series*i)*slope/(emf-2*reaction*i))))),
        tracked, IF(AND(load="controller",emf*free>drops), REDUCE(0, {_HALVINGS}, LAMBDA(low,step,
            LET(middle, low+free*2^-step, IF(gain(middle)>0,middle,low)))), free),
        turn, IFS(load="controller", tracked, emf*free<=against, free, TRUE, turn_at(amps)),
        current, IF(load="controller", IF(emf*free>drops,least_at(torque(turn)),0), amps),
        volts, IFS(load="battery", battery_volts, load="resistor", current*load_resistance,
            TRUE, MAX(0,emf*turn-drops-current*(series+reaction*turn))),
        CHOOSE(what, turn, current, volts, current*volts*IF(load="controller",controller_efficiency,1))))""",
}

# -- functions, trade units ------------------------------------------------------------------------

_SITE = f"gross_head,length,bore,roughness,fittings,{_WATER},available_flow,{_SECTIONS}"
_FLOW = (
    "W_FLOW(gross_head,length,bore,roughness,nozzle,fittings,jets,velocity_coefficient,contraction,"
    f"{_WATER},available_flow,{_SECTIONS})"
)
_TORQUE = """(W_GRIP(flow,pitch_diameter,deflection,cup_friction,alignment,temperature)
    *(jet_velocity-W_TURN(speed)*pitch_diameter/2000)-bearing_drag-W_CHURN(windage)*W_TURN(speed)^2)"""
_JET = f"(velocity_coefficient*SQRT(2*gravity*(gross_head-W_LOSS(flow,W_VISCOSITY(temperature),gravity,{_PIPE_SI}))))"

BODIES = {
    "density": "W_DENSITY(temperature)",
    # NIMA TR8350.2, World Geodetic System 1984, equations 4-1 and 4-3
    "gravity": """LET(s, SIN(latitude*PI()/180)^2, a, 6378137, f, 1/298.257223563, m, 0.00344978650684,
        9.7803253359*(1+0.00193185265241*s)/SQRT(1-0.00669437999013*s)
        *(1-2/a*(1+f+m-2*f*s)*altitude+3*altitude^2/a^2))""",
    "static_head": "static_pressure*100000/(W_DENSITY(temperature)*gravity)+gauge_height",
    "static_pressure": "W_DENSITY(temperature)*gravity*head/100000",
    "bucket_flow": "volume/seconds",
    # Kindsvater-Shen, ISO 1438: coefficient 0.578 and head correction 0.85 mm at 90°, and from there along
    # polynomials fitted to the curves of the standard (fit in feet; from memory, not looked up), the second
    # moved by 0.034687 mm to meet the 0.85 mm
    "vnotch_flow": """LET(curve, LAMBDA(a, 0.607165052-0.000874466963*a+0.00000610393334*a^2),
        feet, LAMBDA(a, 0.0144902648-0.00033955535*a+0.00000329819003*a^2-0.0000000106215442*a^3),
        coefficient, 0.578+curve(notch_angle)-curve(90),
        more, feet(notch_angle)*0.3048-0.000034687,
        1000*8/15*coefficient*TAN(notch_angle*PI()/360)*SQRT(2*gravity)*(weir_head/1000+more)^2.5)""",
    "hydraulic_power": "W_DENSITY(temperature)*gravity*flow/1000*head",
    "pipe_velocity": "W_SPEED(flow/1000,bore/1000)",
    "reynolds_number": "W_SPEED(flow/1000,bore/1000)*bore/1000/W_VISCOSITY(temperature)",
    "friction_factor": "W_FACTOR(reynolds_number,relative_roughness)",
    "penstock_head": f"W_LOSS(flow/1000,W_VISCOSITY(temperature),gravity,{_PIPE_SI})",
    "minor_head": "fittings*W_SPEED(flow/1000,bore/1000)^2/(2*gravity)",
    "pipe_power_limit": f"""LET(flow, W_BEST({_SITE}), velocity_coefficient, 1,
        W_DENSITY(temperature)*flow*{_JET}^2/2)""",
    "operating_flow": f"1000*{_FLOW}",
    "nozzle_head": "(flow/1000/(velocity_coefficient*W_JETS(nozzle,jets,contraction)))^2/(2*gravity)",
    "running_pressure": "W_DENSITY(temperature)*(gravity*net_head-W_SPEED(flow/1000,bore/1000)^2/2)/100000",
    "jet_velocity": "velocity_coefficient*SQRT(2*gravity*net_head)",
    "jet_diameter": "nozzle*SQRT(contraction)",
    "jet_power": "W_DENSITY(temperature)*flow/1000*jet_velocity^2/2",
    "jet_force": "W_DENSITY(temperature)*flow/1000*jet_velocity",
    "best_nozzle": f"""LET(flow, W_BEST({_SITE}), jet, {_JET},
        1000*SQRT(flow/jet/(jets*contraction)*4/PI()))""",
    "best_nozzle_flow": f"1000*W_BEST({_SITE})",
    "best_nozzle_power": f"LET(flow, W_BEST({_SITE}), W_DENSITY(temperature)*flow*{_JET}^2/2)",
    # Power of a jet of a given flow falls with the fourth power of its diameter
    "best_listed_nozzle": f"""LET(
        powers, MAP(sizes, LAMBDA(nozzle, IF(ISNUMBER(nozzle),{_FLOW}^3/nozzle^4,-1))),
        INDEX(sizes,XMATCH(MAX(powers),powers)))""",
    "jet_ratio": "pitch_diameter/jet_diameter",
    "cup_count": "ROUNDUP(15+pitch_diameter/(2*jet_diameter),0)",
    "cup_width": "width_factor*jet_diameter",
    "runner_speed": "speed_ratio*jet_velocity/(pitch_diameter/2000)*30/PI()",
    "speed_ratio": "W_TURN(speed)*pitch_diameter/2000/jet_velocity",
    "pitch_diameter": "1000*speed_ratio*jet_velocity*60/(PI()*speed)",
    "specific_speed": "speed*SQRT(flow/1000)/net_head^0.75",
    "cup_efficiency": "2*speed_ratio*(1-speed_ratio)*(1-cup_friction*COS(deflection*PI()/180))",
    "wheel_torque": _TORQUE,
    "wheel_power": f"{_TORQUE}*W_TURN(speed)",
    "windage_power": "windage*(speed/1000)^3",
    "runaway_speed": """30/PI()*W_FREE(
        W_GRIP(flow,pitch_diameter,deflection,cup_friction,alignment,temperature),
        jet_velocity,pitch_diameter/2000,bearing_drag,W_CHURN(windage))""",
    "emf_constant": 'line_volts/IF(connection="star",SQRT(3),1)/(speed/1000)',
    "phase_resistance": 'terminal_resistance*IF(connection="star",1,3)/2',
    "phase_inductance": 'terminal_inductance*IF(connection="star",1,3)/2',
    # IEC 60028 copper 1/58 Ω·mm²/m; IEC 60889 aluminium, from memory, not looked up
    "cable_resistance": """2*length/area*IF(material="copper",1/58,0.028264)
        *(1+IF(material="copper",0.00393,0.00403)*(conductor_temperature-20))""",
    # Density of copper IEC 60028, of aluminium IEC 60889; the second from memory, not looked up
    "cable_mass": '2*length*area/1000000*IF(material="copper",8890,2703)*(1+covering/100)',
    "touch_limit_ac": 'IFS(place="dry",25,place="wet",12,place="covered",50)',
    # ASTM B258: 36 gauge is 0.005 inch, 0000 is 0.46 inch, 39 equal ratios between
    "awg_area": "PI()/4*(25.4*0.005*(0.46/0.005)^((36-gauge)/39))^2",
    # Rated currents of IEC 60269-1 and the rule of IEC 60364-4-43, 433.1: from memory, not looked up
    "fuse_size": """LET(
        series, {2,4,6,8,10,12,16,20,25,32,40,50,63,80,100,125,160,200,250,315,400,500,630,800,1000,1250},
        slack, 0.000000000001,
        rating, MIN(IF(series>=fuse_margin*current*(1-slack),series,1000000)),
        IF(HYDRO_FUSE_AMPACITY(rating)>ampacity*(1+slack),#NUM!,rating))""",
    # I_n <= I_z and I_2 <= 1.45 I_z; I_2 of gG fuses, IEC 60269-1, from memory, not looked up
    "fuse_ampacity": "MAX(fuse,fuse*IF(fuse<=4,2.1,IF(fuse<16,1.9,1.6))/1.45)",
    "electrical_frequency": "speed/60*pole_pairs",
    "cut_in_speed": "(battery_volts+2*diode_drop)/W_EMF(phase_volts,connection)*30/PI()",
    "open_circuit_volts": "W_EMF(phase_volts,connection)*W_TURN(speed)",
    "charging_current": """MAX(0,W_EMF(phase_volts,connection)*W_TURN(speed)-battery_volts-2*diode_drop)
        /(2*phase_resistance/W_ALIKE(connection)+cable_resistance
        +W_REACTION(pole_pairs,phase_inductance,connection)*W_TURN(speed))""",
    # A bridge gives no negative volts: none without a current, and a current that would need them cannot flow
    "rectified_volts": """LET(volts, W_EMF(phase_volts,connection)*W_TURN(speed)-2*diode_drop
        -current*(2*phase_resistance/W_ALIKE(connection)
        +W_REACTION(pole_pairs,phase_inductance,connection)*W_TURN(speed)),
        IFS(volts>=0, volts, current=0, 0, TRUE, #NUM!))""",
    "alternator_torque": """W_EMF(phase_volts,connection)*current
        -W_REACTION(pole_pairs,phase_inductance,connection)*current^2""",
    # cos(u) = 1 - 2 w L I / (sqrt(2) x line volts): the speed falls out of it
    "overlap_angle": """180/PI()*ACOS(1-2*pole_pairs*phase_inductance/1000/W_ALIKE(connection)*current
        /(SQRT(6)*phase_volts/SQRT(W_ALIKE(connection))*60/(2*PI()*1000)))""",
    "copper_loss": "2*phase_resistance/W_ALIKE(connection)*current^2",
    "diode_loss": "2*diode_drop*current",
    "cable_loss": "cable_resistance*current^2",
    "operating_speed": f"30/PI()*W_POINT(1,{_POINT})",
    "operating_current": f"W_POINT(2,{_POINT})",
    "operating_volts": f"W_POINT(3,{_POINT})",
    "operating_power": f"W_POINT(4,{_POINT})",
    "power_ledger": f"""LET(
        water, {_FLOW}, flow, 1000*water,
        weight, W_DENSITY(temperature)*gravity*water,
        net_head, (water/(velocity_coefficient*W_JETS(nozzle,jets,contraction)))^2/(2*gravity),
        fittings_head, fittings*W_SPEED(water,bore/1000)^2/(2*gravity),
        lost, W_LOSS(water,W_VISCOSITY(temperature),gravity,{_PIPE_SI}),
        jet_velocity, velocity_coefficient*SQRT(2*gravity*net_head),
        jet, W_DENSITY(temperature)*water*jet_velocity^2/2,
        point, LAMBDA(what, W_POINT(what,{_POINT})),
        turn, point(1), current, point(2),
        ratio, turn*pitch_diameter/2000/jet_velocity,
        cups, jet*2*ratio*(1-ratio)*(1-cup_friction*COS(deflection*PI()/180)),
        SWITCH(ledger_line,
            "gross", weight*gross_head,
            "unfilled pipe", weight*MAX(0,gross_head-lost-net_head),
            "pipe friction", weight*(lost-fittings_head),
            "fittings", weight*fittings_head,
            "nozzle", weight*net_head-jet,
            "cups", jet-cups,
            "alignment", cups*(1-alignment),
            "windage", W_CHURN(windage)*turn^3,
            "bearings", bearing_drag*turn,
            "iron", iron_drag*turn,
            "windings", 2*phase_resistance/W_ALIKE(connection)*current^2,
            "diodes", 2*diode_drop*current,
            "cable", cable_resistance*current^2,
            "controller", IF(load="controller",point(3)*current*(1-controller_efficiency),0),
            "battery", point(4)))""",
}

# -- a whole plant ---------------------------------------------------------------------------------
# The value of an input: of a pair, else of its row, else the default. A row that is there but empty is "", which no
# function takes for a number, unless empty means none. Texts that no row has are in no block, so a missing name is "".
_PLANT_WATER = f"gross_head,length,bore,roughness,fittings,{_WATER},available_flow,{_SECTIONS}"
_PLANT_SITE = (
    "gross_head,length,bore,roughness,{nozzle}fittings,jets,velocity_coefficient,contraction,temperature,gravity,"
    f"available_flow,{_SECTIONS}"
)
_WINDING = "phase_volts,pole_pairs,phase_resistance,phase_inductance,connection"
_SHORT_HEAT = f"3*phase_resistance/W_ALIKE(connection)*W_SHORT(W_TURN(speed),{_WINDING})^2"
_PLANT_WHEEL = "pitch_diameter,deflection,cup_friction,alignment,bearing_drag,windage,temperature"
_LEDGER = (
    "gross_head,length,bore,roughness,nozzle,pitch_diameter,phase_volts,pole_pairs,phase_resistance,battery_volts,"
    "fittings,jets,velocity_coefficient,contraction,temperature,gravity,available_flow,deflection,cup_friction,"
    "alignment,bearing_drag,windage,phase_inductance,connection,diode_drop,cable_resistance,iron_drag,load,"
    f"load_resistance,controller_efficiency,{_SECTIONS}"
)
_WEIGHT = "W_DENSITY(temperature)*gravity*flow/1000"
# Steps between, by the name that a quantity's formula uses. Q_… is written out where only one branch of an IF needs it,
# as what is named by its word is always calculated.
_STEPS = {
    "flow": f"HYDRO_OPERATING_FLOW({_PLANT_SITE.format(nozzle='nozzle,')})",
    "net_head": "HYDRO_NOZZLE_HEAD(flow,nozzle,jets,velocity_coefficient,contraction,gravity)",
    "jet_velocity": "HYDRO_JET_VELOCITY(net_head,velocity_coefficient,gravity)",
    "jet_diameter": "HYDRO_JET_DIAMETER(nozzle,contraction)",
    "lost_head": f"HYDRO_PENSTOCK_HEAD(flow,length,bore,roughness,fittings,{_WATER},{_SECTIONS})",
    "minor_head": "HYDRO_MINOR_HEAD(flow,bore,fittings,gravity)",
    "operating_speed": f"HYDRO_OPERATING_SPEED({_POINT})",
    "operating_current": f"HYDRO_OPERATING_CURRENT({_POINT})",
    "speed": 'IF(changed("speed")="",Q_OPERATING_SPEED(p,n,v),changed("speed"))',
    "charging": """HYDRO_CHARGING_CURRENT(speed,phase_volts,IF(load="resistor",0,battery_volts),pole_pairs,
        phase_resistance,phase_inductance,connection,diode_drop,cable_resistance+IF(load="resistor",load_resistance,0))""",
    "current": """IF(changed("current")<>"",changed("current"),IF(changed("speed")="",
        Q_OPERATING_CURRENT(p,n,v),IF(load="controller",#NUM!,Q_CHARGING(p,n,v))))""",
    "runaway_speed": f"HYDRO_RUNAWAY_SPEED(flow,jet_velocity,{_PLANT_WHEEL})",
    "speed_ratio": "HYDRO_SPEED_RATIO(speed,pitch_diameter,jet_velocity)",
}
_LEDGER_LINES = "cups alignment windage bearings iron windings diodes cable controller battery".split()
PLANT_QUANTITIES = {
    **{name: text for name, text in _STEPS.items() if name != "charging"},
    "friction_head": "lost_head-minor_head",
    "pipe_velocity": "HYDRO_PIPE_VELOCITY(flow,bore)",
    "reynolds_number": "HYDRO_REYNOLDS_NUMBER(flow,bore,temperature)",
    "static_pressure": "HYDRO_STATIC_PRESSURE(gross_head,temperature,gravity)",
    "running_pressure": """HYDRO_RUNNING_PRESSURE(net_head,flow,IF(length_3>0,bore_3,IF(length_2>0,bore_2,bore)),
        temperature,gravity)""",
    "jet_power": "HYDRO_JET_POWER(flow,jet_velocity,temperature)",
    "jet_force": "HYDRO_JET_FORCE(flow,jet_velocity,temperature)",
    **{
        name: f"HYDRO_{name.upper()}({_PLANT_SITE.format(nozzle='')})"
        for name in ("best_nozzle", "best_nozzle_flow", "best_nozzle_power")
    },
    "pipe_power_limit": f"HYDRO_PIPE_POWER_LIMIT({_PLANT_WATER})",
    "cup_efficiency": "HYDRO_CUP_EFFICIENCY(speed_ratio,deflection,cup_friction)",
    "cup_count": "HYDRO_CUP_COUNT(pitch_diameter,jet_diameter)",
    "jet_ratio": "HYDRO_JET_RATIO(pitch_diameter,jet_diameter)",
    "specific_speed": "HYDRO_SPECIFIC_SPEED(speed,flow,net_head)",
    "stall_torque": f"HYDRO_WHEEL_TORQUE(0,flow,jet_velocity,{_PLANT_WHEEL})",
    "wheel_torque": f"HYDRO_WHEEL_TORQUE(speed,flow,jet_velocity,{_PLANT_WHEEL})",
    "wheel_power": f"HYDRO_WHEEL_POWER(speed,flow,jet_velocity,{_PLANT_WHEEL})",
    "windage_power": "HYDRO_WINDAGE_POWER(speed,windage)",
    "runaway_volts": "HYDRO_OPEN_CIRCUIT_VOLTS(runaway_speed,phase_volts,connection)",
    "operating_volts": f"HYDRO_OPERATING_VOLTS({_POINT})",
    "load_volts": f"HYDRO_OPERATING_VOLTS({_POINT})",
    "operating_power": f"HYDRO_OPERATING_POWER({_POINT})",
    "charging_current": 'IF(load="controller",#NUM!,charging)',
    "cut_in_speed": 'IF(load="battery",HYDRO_CUT_IN_SPEED(phase_volts,battery_volts,connection,diode_drop),0)',
    "electrical_frequency": "pole_pairs*speed/60",
    "open_circuit_volts": "HYDRO_OPEN_CIRCUIT_VOLTS(speed,phase_volts,connection)",
    "rectified_volts": """HYDRO_RECTIFIED_VOLTS(speed,current,phase_volts,pole_pairs,phase_resistance,phase_inductance,
        connection,diode_drop)""",
    "alternator_torque": "HYDRO_ALTERNATOR_TORQUE(current,phase_volts,pole_pairs,phase_inductance,connection)",
    "electrical_torque": """HYDRO_ALTERNATOR_TORQUE(current,phase_volts,pole_pairs,phase_inductance,connection)
        +iron_drag""",
    "overlap_angle": "HYDRO_OVERLAP_ANGLE(current,phase_volts,pole_pairs,phase_inductance,connection)",
    "copper_loss": "HYDRO_COPPER_LOSS(current,phase_resistance,connection)",
    "diode_loss": "HYDRO_DIODE_LOSS(current,diode_drop)",
    "cable_loss": "HYDRO_CABLE_LOSS(current,cable_resistance)",
    "cable_drop": "current*cable_resistance",
    "shorted_current": f"W_SHORT(W_TURN(speed),{_WINDING})",
    "shorted_torque": f"IF(speed=0,0,{_SHORT_HEAT}/W_TURN(speed))",
    "shorted_heat": _SHORT_HEAT,
    "shorted_peak_speed": """IF(pole_pairs*phase_inductance>0,
        MIN(runaway_speed,30/PI()*phase_resistance/(pole_pairs*phase_inductance/1000)),runaway_speed)""",
    # From runaway down in steps to the first at which the wheel has more torque than the short, then by halves
    "shorted_speed": f"""LET(
        grip, W_GRIP(flow,pitch_diameter,deflection,cup_friction,alignment,temperature),
        churn, W_CHURN(windage),
        drag, bearing_drag+iron_drag,
        free, W_FREE(grip,jet_velocity,pitch_diameter/2000,drag,churn),
        net, LAMBDA(turn, IF(turn=0,0,3*phase_resistance/W_ALIKE(connection)*W_SHORT(turn,{_WINDING})^2/turn)
            -grip*(jet_velocity-turn*pitch_diameter/2000)+drag+churn*turn^2),
        first, REDUCE(0, SEQUENCE(400), LAMBDA(first,step,
            IF(first>0,first,IF(net(free*(1-step/400))<0,step,0)))),
        IF(free=0, 0, 30/PI()*REDUCE(free*(1-first/400), {_HALVINGS}, LAMBDA(low,step,
            LET(middle, low+free/400*2^-step, IF(net(middle)<0,middle,low))))))""",
    "cable_resistance": "cable_resistance",
    "gross_watts": f"{_WEIGHT}*gross_head",
    "unfilled_pipe_watts": f"{_WEIGHT}*MAX(0,gross_head-lost_head-net_head)",
    "pipe_friction_watts": f"{_WEIGHT}*(lost_head-minor_head)",
    "fittings_watts": f"{_WEIGHT}*minor_head",
    "nozzle_watts": f"{_WEIGHT}*net_head*(1-velocity_coefficient^2)",
    **{f"{line}_watts": f'HYDRO_POWER_LEDGER({_LEDGER},"{line}")' for line in _LEDGER_LINES},
    "plant_efficiency": f'100*HYDRO_POWER_LEDGER({_LEDGER},"battery")/({_WEIGHT}*gross_head)',
}
_EMPTY_IS_NONE = (
    "available_flow battery_volts load_resistance controller_efficiency length_2 bore_2 roughness_2 length_3 bore_3 "
    "roughness_3".split()
)
_CABLE_AS_IT_COUNTS = """IFS(
    changed("cable_resistance")<>"", changed("cable_resistance"),
    changed("cable_length")&changed("cable_area")&changed("cable_material")&changed("cable_temperature")<>"", worked_up,
    row("cable_resistance","")<>"", row("cable_resistance",""),
    row("cable_length","")<>"", worked_up,
    TRUE, row("cable_resistance",0))"""
_WORKED_UP = "HYDRO_CABLE_RESISTANCE(cable_length,cable_area,cable_material,cable_temperature)"


def _whole_plant():
    """Defined names for what may be asked of HYDRO_PLANT, and for each input and step; see `formulon_book.completed`.

    Names and values that are wrong are not refused here.
    """

    def source(argument):
        default = '""' if argument.required else f'"{argument.default}"' if argument.is_text else None
        default = _number(argument.default) if default is None else default
        taken = f'W_ROW(p,"{argument.name}",{default})'
        if argument.name in _EMPTY_IS_NONE:
            taken = f'LET(here,{taken},IF(here="",{default},here))'
        return f'IF(changed("{argument.name}")<>"",changed("{argument.name}"),{taken})'

    texts = {argument.name: source(argument) for argument in INPUTS}
    texts |= {"cable_resistance": _CABLE_AS_IT_COUNTS, "worked_up": _WORKED_UP} | _STEPS

    def spelt(name):
        """The text of a name after those it needs, each calculated once: LAMBDAs look at their arguments repeatedly."""
        pieces = _TEXT.split(every[name])
        words = dict.fromkeys(word for piece in pieces[::2] for word in _LOCAL.findall(piece))
        needed = [f"{word},Q_{word.upper()}(p,n,v)" for word in words if word in texts and word != name]
        text = every[name].replace("changed(", "W_CHANGED(n,v,").replace(" row(", " W_ROW(p,")
        return f"LET({','.join([*needed, text])})" if needed else text

    every = texts | {name: text for name, text in PLANT_QUANTITIES.items() if name not in texts}
    return {
        "W_CHANGED": """LAMBDA(n,v,name, IF(COUNTA(n)=0,"",LET(here,XLOOKUP(name,n,v,""),IF(here="","",here))))""",
        "W_ROW": """LAMBDA(p,name,default,
            LET(here,XLOOKUP(name,INDEX(p,0,1),INDEX(p,0,2),default),IF(here="","",here)))""",
        **{f"Q_{name.upper()}": f"LAMBDA(p,n,v, {spelt(name)})" for name in every},
    }


# Fittings: multiples of the factor of complete turbulence (Crane TP-410, appendix A), or a plain coefficient.
# That factor is Colebrook-White at Re = 7.5e6 x bore [m] for bare carbon steel after Farshad, as the
# documentation of fluids 1.3.1, fittings.ft_Crane, spells it out.
_MULTIPLES = {
    "gate valve": 8,
    "ball valve": 3,
    "globe valve": 340,
    "swing check valve": 100,
    "90 elbow": 30,
    "45 elbow": 16,
    "long bend": 14,
    "tee run": 20,
    "tee branch": 60,
}
_PLAIN = {"sharp entrance": 0.5, "rounded entrance": 0.04, "projecting entrance": 0.78, "exit": 1}

# What must hold between arguments: whole poles and jets; a load that is given; a further section with a bore;
# walls no rougher than a twentieth of the bore, where Colebrook-White ends.
_POLES = "pole_pairs=ROUND(pole_pairs,0)"
_JETS = "jets=ROUND(jets,0)"
_LOADED = ('OR(load<>"battery",battery_volts>0)', 'OR(load<>"resistor",load_resistance>0)')
_PIPE = (
    "roughness<=0.05*bore",
    *(f"OR(length_{i}=0,AND(bore_{i}>0,roughness_{i}<=0.05*bore_{i}))" for i in (2, 3)),
)
RULES = {
    **dict.fromkeys(
        ("charging_current", "rectified_volts", "alternator_torque", "overlap_angle", "electrical_frequency"), (_POLES,)
    ),
    **dict.fromkeys(("operating_speed", "operating_current", "operating_volts", "operating_power"), (_POLES, *_LOADED)),
    **dict.fromkeys(
        ("operating_flow", "best_nozzle", "best_nozzle_flow", "best_nozzle_power", "best_listed_nozzle"),
        (_JETS, *_PIPE),
    ),
    **dict.fromkeys(("penstock_head", "pipe_power_limit"), _PIPE),
    "nozzle_head": (_JETS,),
    "power_ledger": (_JETS, *_PIPE, _POLES, *_LOADED),
}


def _array(items):
    return "{" + ",".join(f'"{item}"' if isinstance(item, str) else repr(item) for item in items) + "}"


def _lookup(key, table):
    return f"XLOOKUP({key},{_array(table)},{_array(table.values())},#NUM!)"


def _rows(name):
    with files("hydrofunc.physics").joinpath(name).open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def _csv(name, keys, value):
    return {"|".join(row[key] for key in keys): value(row) for row in _rows(name)}


def _ampacity():
    """IEC 60364-5-52:2009, tables B.52.2, B.52.14 and B.52.15 (from memory, not looked up): 70 °C at the metal."""
    columns = {}
    for row in _rows("ampacity.csv"):
        key = f"{row['material']}|{row['installation']}"
        columns.setdefault(key, {})[float(row["area_mm2"])] = float(row["amperes"])
    listed = [
        f'"{key}",IF(size<{min(amperes)!r},#NUM!,LOOKUP(size,{_array(amperes)},{_array(amperes.values())}))'
        for key, amperes in columns.items()
    ]
    return f"""LET(size, area*1.000000001,
        SWITCH(material&"|"&installation, {", ".join(listed)}, #NUM!)
        *SQRT((70-MAX(10,ambient_temperature))/(70-IF(LEFT(installation,6)="buried",20,30))))"""


def _tables():
    bores = _csv(
        "pipes.csv",
        ("standard", "size", "class"),
        lambda row: round(float(row["outside_mm"]) - 2 * float(row["wall_mm"]), 6),
    )
    walls = _csv("roughness.csv", ("material", "condition"), lambda row: float(row["roughness_mm"]))
    return {
        "pipe_bore": _lookup('pipe_standard&"|"&size&"|"&pipe_class', bores),
        "roughness": _lookup('material&"|"&condition', walls),
        "cable_ampacity": _ampacity(),
        "fitting_loss": f"""IF(ISNUMBER(XMATCH(fitting,{_array(_PLAIN)})), {_lookup("fitting", _PLAIN)},
            {_lookup("fitting", _MULTIPLES)}
            *W_COLEBROOK(7500*bore,0.000034126825352925*(bore/1000)^-1.0112)^-2)""",
    }


# -- reading of the arguments ----------------------------------------------------------------------
# Each argument is read into a value or an error; the first error is the result.

_LEAST = 1e-300  # stands for "above 0"
_READERS = {
    "W_NEED": """LAMBDA(x,low,high,
        IFS(ISERROR(x), x, NOT(ISNUMBER(x)), #VALUE!, OR(x<low,x>high), #NUM!, TRUE, x))""",
    "W_MAY": """LAMBDA(x,low,high,default, IFS(ISERROR(x), x, ISBLANK(x), default, NOT(ISNUMBER(x)), #VALUE!,
        x=default, x, OR(x<low,x>high), #NUM!, TRUE, x))""",
    # A word as the tables spell it; without choices any word will do
    "W_WORD": """LAMBDA(x,default,choices, IF(ISERROR(x), x, LET(word, LOWER(TRIM(IF(ISBLANK(x),default,x))),
        IF(ISNUMBER(XMATCH(word,choices)),word,#VALUE!))))""",
    # Cells of a list that hold nothing are no sizes; it must hold one
    "W_LIST": """LAMBDA(list,low,high, IFS(
        SUM(ISERROR(list)*1)>0, SUM(list), COUNTA(list)>COUNT(list), #VALUE!, COUNT(list)=0, #VALUE!,
        OR(MIN(list)<low,MAX(list)>high), #NUM!, TRUE, 0))""",
}


def _number(value):
    return repr(UNLIMITED if value == inf else float(value)).upper().removesuffix(".0")


def _read(argument):
    """The expression that reads one argument."""
    name = argument.name
    if argument.is_text:
        default = "" if argument.required else argument.default
        return f'W_WORD({name},"{default}",{_array(argument.choices)})'
    low, high, low_in, high_in = argument.bounds
    assert high_in and (low_in or low == 0), f"{name}: a range of a kind not met before"
    bounds = f"{_number(low if low_in else _LEAST)},{_number(high)}"
    if argument.many:
        return f"W_LIST({name},{bounds})"
    if argument.required:
        return f"W_NEED({name},{bounds})"
    return f"W_MAY({name},{bounds},{_number(argument.default)})"


def _function(function, body):
    read = {a.name + ("_fine" if a.many else ""): _read(a) for a in function.arguments}
    errors = [f"ISERROR({name}),{name}" for name in read]
    broken = [f"NOT({rule}),#NUM!" for rule in RULES.get(function.name, ())]
    return (
        f"LAMBDA({','.join(a.name for a in function.arguments)},"
        f"LET({','.join(f'{name},{how}' for name, how in read.items())},"
        f"IFS({','.join(errors + broken)},TRUE,{body})))"
    )


def names(functions):
    """Defined names (name -> stored text) for the given declared functions, and the helpers they share."""
    bodies = BODIES | _tables()
    chosen = {f.name: f for f in functions}
    plant = chosen.pop("plant", None)
    whole = _whole_plant() if plant is not None else {}
    inside = {name.lower() for text in whole.values() for name in re.findall(r"HYDRO_([A-Z0-9_]+)\(", text)}
    chosen |= {name: FUNCTIONS[name] for name in sorted(inside - {"plant"})}
    functions = chosen.values()
    texts = HELPERS | _READERS | {f.sheet_name: _function(f, bodies[f.name]) for f in functions} | whole
    return {name: stored(text) for name, text in texts.items()}
