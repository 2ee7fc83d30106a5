"""HYDRO_SURGE_RUN as LAMBDA names: grids are rows, nodes and reaches are columns, steps are those of a REDUCE."""

from collections.abc import Callable

from ..catalogue import characteristics as declared
from ..physics import characteristics as physics
from .graph import node
from .lambda_names import HELPER, Names, reading
from .plant import body_of, entered, hand_written, reader_of
from .text import Writer, array, letters, literal, local, stored
from .waves import EVENTS, LINE, SECTIONS, Pipeline, Waves, waves

# Whole reaches of each section in a grid of so many; `most`: the section of the longest travel. Halves to the even one.
_COUNTS = """LAMBDA(share,most,total,LET(counts,MAKEARRAY(1,COLUMNS(share),LAMBDA(row,place,
    LET(exact,total*INDEX(share,place),near,ROUND(exact,0),
    even,IF(exact-INT(exact)=0.5,2*ROUND(exact/2,0),near),IF(exact>0,MAX(1,even),0)))),
    counts+(SEQUENCE(1,COLUMNS(share))=most)*(total-SUM(counts))))"""
# All grids of a pipe: that which bends the times least, then those in which a reach goes from a section to another.
_GRIDS = f"""LAMBDA(travels,LET(share,travels/SUM(travels),most,XMATCH(MAX(share),share),
    best,REDUCE(HSTACK(9,0),SEQUENCE(1,{physics.REACHES - 1},{physics.REACHES}),LAMBDA(so_far,total,
    LET(off,ROUND(MAX(ABS({HELPER}counts(share,most,total)/total-share)),6),
    IF(off<INDEX(so_far,1),HSTACK(off,total),so_far)))),
    counts,{HELPER}counts(share,most,INDEX(best,2)),
    REDUCE(counts,SEQUENCE(COLUMNS(share)^2,1,0),LAMBDA(so_far,move,
    LET(place,SEQUENCE(1,COLUMNS(share)),from,INT(move/COLUMNS(share))+1,to,move-(from-1)*COLUMNS(share)+1,
    IF(AND(from<>to,INDEX(counts,from)>1,INDEX(counts,to)>0),
    VSTACK(so_far,counts-(place=from)+(place=to)),so_far))))))"""
# The worst of the two nodes beside a chainage, of all grids.
_BESIDE = """LAMBDA(x,nodes,heads,lowest,LET(count,COLUMNS(nodes),gap,1E-9*MAX(nodes),place,SEQUENCE(1,count),
    above,BYROW(nodes,LAMBDA(row,SUM((row<=x+gap)*1))),below,BYROW(nodes,LAMBDA(row,1+SUM((row<x-gap)*1))),
    seen,(place=IF(above<1,1,above))+(place=IF(below>count,count,below)),
    IF(lowest,MIN(IF(seen>0,heads,1E300)),MAX(IF(seen>0,heads,-1E300)))))"""
_MARCH_WORDS = (
    "share most total exact near even counts travels best so_far off place from to move moved x nodes heads "
    "lowest count gap above below seen row event line grids one two three reach node step state water head worst "
    "water_above water_below head_above head_below water_new head_new water_last head_last own down ahead up back "
    "steps taken whole done opening throttles slow before into pick first second third inside where found run "
    "impedance fall rub chain last running squares quantity chainage arrives across "
).split()


def add_waves(result: Names, readers: dict[object, str]) -> None:
    """Writes HYDRO_SURGE_RUN and all it calls. Raises `CannotTrace`."""
    of = waves()
    for name, text in (("counts", _COUNTS), ("grids", _GRIDS), ("beside", _BESIDE)):
        result.add(HELPER + name, stored(_march_text(text)))
    formula = _formulas(of)
    result.add(f"{HELPER}wave_step", stored(_march_text(_step(formula))))
    result.add(f"{HELPER}waves", stored(_march_text(_march(formula))))
    result.add(of.function.sheet_name, stored(_march_text(_main(result, readers, of))), of.function.help)


def _march_text(text: str) -> str:
    return hand_written(text, _MARCH_WORDS)


def _formulas(of: Waves) -> Callable[..., str]:
    """What writes a formula with texts in place of its arguments."""

    def write(name: str, **known: str) -> str:
        texts = {node("argument", value=other): text for other, text in known.items()}
        return Writer(of.formulas[name], texts, {}, letters()).text()

    return write


def _step(formula: Callable[..., str]) -> str:
    """One step: flows, heads and worst heads of all nodes, one below the other."""
    down = formula("down", head_above="head_above", water_above="water_above", impedance_above="impedance")
    ahead = formula("ahead", impedance_above="impedance", rub_above="rub", size_above="ABS(water_above)")
    up = formula("up", head_below="head_below", water_below="water_below", impedance_below="impedance")
    back = formula("back", impedance_below="impedance", rub_below="rub", size_below="ABS(water_below)")
    water = formula("water", down="DROP(down,0,-1)", ahead="DROP(ahead,0,-1)", up="first", back="second")
    head = formula("head", water="water_new", up="first", back="second")
    last = {"down": "arrives", "ahead": "third"}
    last_water = formula("last_water", **last, square="own", gross="inside")
    last_head = formula("last_head", last_water="water_last", **last)
    return f"""LAMBDA(state,grids,impedance,rub,own,inside,lowest,LET(
        water,TAKE(state,grids),head,TAKE(DROP(state,grids),grids),worst,TAKE(state,-grids),
        water_above,DROP(water,0,-1),water_below,DROP(water,0,1),head_above,DROP(head,0,-1),head_below,DROP(head,0,1),
        down,{down},ahead,{ahead},up,{up},back,{back},
        first,DROP(up,0,1),second,DROP(back,0,1),water_new,{water},head_new,{head},
        last,COLUMNS(down),arrives,INDEX(down,0,last),third,INDEX(ahead,0,last),water_last,{last_water},head_last,{last_head},
        heads,HSTACK(INDEX(head,0,1),head_new,head_last),
        VSTACK(HSTACK(INDEX(water,0,1),water_new,water_last),heads,IF(lowest,IF(heads<worst,heads,worst),IF(heads>worst,heads,worst)))))"""


def _march(formula: Callable[..., str]) -> str:
    """A run: the nodes of the first grid above, the worst head of all grids there below."""

    def of(name: str) -> str:
        return f"INDEX(line,{LINE.index(name) + 1})"

    def each(name: str) -> list[str]:
        return [of(f"{name}_{i}") for i in range(1, SECTIONS + 1)]

    travels = array(tuple(float(physics.TRAVELS[event]) for event in EVENTS))
    square = formula("square", opening="opening", share=of("share"), flow=of("flow"), net=of("net"))
    z, lost, length = each("impedance"), each("lost"), each("length")
    return f"""LAMBDA(event,lowest,line,LET(
        counts,{HELPER}grids(HSTACK({",".join(each("travel"))})),grids,ROWS(counts),total,SUM(TAKE(counts,1)),
        one,INDEX(counts,0,1),two,INDEX(counts,0,2),three,INDEX(counts,0,3),
        reach,SEQUENCE(1,total+1,0),node,SEQUENCE(1,total+2,0),
        pick,LAMBDA(first,second,third,IF(reach<=one,first,IF(reach<=one+two,second,third))),
        impedance,IF(reach=0,{literal(physics.OPEN)}*{z[0]},pick({z[0]},{z[1]},{z[2]})),
        fall,IF(reach=0,0,pick({lost[0]}/one,{lost[1]}/IF(two<1,1,two),{lost[2]}/IF(three<1,1,three)))+(reach=1)*{of("minor")},
        rub,fall/IF({of("flow")}>0,{of("flow")}^2,1),
        into,LAMBDA(before,count,LET(inside,node-1-before,
        IF(inside<0,0,IF(inside>count,count,inside))/IF(count<1,1,count))),
        first,into(0,one),second,into(one,two),third,into(one+two,three),
        running,-((node>1)*{of("minor")}+{lost[0]}*first+{lost[1]}*second+{lost[2]}*third),
        chain,{length[0]}*first+{length[1]}*second+{length[2]}*third,
        throttles,{formula("throttles", share=of("share"))},
        whole,IF(event=1,0,throttles*{of("valve_travels")}),taken,MIN(whole,{physics.LONGEST}),
        steps,-INT(-total*(taken+INDEX({travels},event))),
        done,SEQUENCE(1,steps)/MAX(total*taken,1E-9),
        opening,throttles*IF(event=3,IF(done>1,1,done),1-IF(done>1,1,done)),
        squares,{square},
        run,REDUCE(VSTACK(IF(event=3,0,{of("flow")})+0*running,IF(event=3,0*running,running),
        IF(lowest,IF(running<0,running,0),IF(running>0,running,0))),SEQUENCE(1,steps),LAMBDA(state,step,
        {HELPER}wave_step(state,grids,impedance,rub,INDEX(squares,step),{of("gross")},lowest))),
        slow,IF(whole>{physics.LONGEST},{physics.LONGEST}/whole,1),
        worst,TAKE(run,-grids),heads,IF(lowest,running+slow*(worst-running),slow*worst),
        where,TAKE(chain,1),
        VSTACK(where,MAKEARRAY(1,COLUMNS(where),LAMBDA(row,place,{HELPER}beside(INDEX(where,place),chain,heads,lowest))))))"""


def _main(result: Names, readers: dict[object, str], of: Waves) -> str:
    """The function: a range of chainages is answered by as many pressures, one run for all."""
    place = of.where
    read = reading(place, local("x")).replace(f"ISOMITTED({local('x')})", "FALSE")
    factor = LINE.index("factor") + 1

    def run(pipeline: Pipeline, name: str) -> str:
        line = body_of(result, f"{HELPER}line_{name}", pipeline.inputs, node("tuple", *pipeline.line))
        free = letters()
        inputs = ",".join(local(next(free)) for _ in pipeline.inputs)
        event = "MATCH(place,{1,3,5},1)"
        return f"""{reader_of(result, readers, pipeline.inputs, pipeline.rules)}(keys,column,LAMBDA({inputs},
            LET(line,{line}({inputs}),found,{HELPER}waves({event},lowest,line),
            VSTACK(TAKE(found,1),INDEX(line,{factor})*TAKE(found,-1)))))"""

    one = f"{HELPER}wave_at(INDEX(where,down,across),run,lowest)"
    result.add(
        f"{HELPER}wave_at",
        stored(
            _march_text(
                f"LAMBDA(x,run,lowest,LET(found,{read},"
                f"IF(ISERROR(found),found,IF(ISERROR(ROWS(run)),run,"
                f"IFERROR({HELPER}beside(found,TAKE(run,1),TAKE(run,-1),lowest),#NUM!)))))"
            )
        ),
    )
    many = f"MAKEARRAY(ROWS(where),COLUMNS(where),LAMBDA(down,across,{one}))"
    found = f"IF(ROWS(where)*COLUMNS(where)=1,{HELPER}wave_at(where,run,lowest),{many})"
    then = f"""LAMBDA(keys,column,counts,LET(run,IF(place<3,{run(of.blocked, "blocked")},{run(of.valve, "valve")}),
        {found}))"""
    return f"""LAMBDA(plant,quantity,_xlop.chainage,_xlop.names,_xlop.values,
        IF(ISERROR(quantity),quantity,
        LET(place,IFERROR(XMATCH(_hydro_keys(quantity),{array(physics.QUANTITIES)}),0),
        lowest,OR(place=2,place>3),
        where,IF(ISOMITTED(chainage),{literal(float("inf"))},chainage),
        then,{then},
        IF(place=0,#VALUE!,{entered("then", "then", declared.CHANGEABLE)}))))"""
