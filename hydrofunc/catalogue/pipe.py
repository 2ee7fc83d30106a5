from .gen import *
from ..physics import pipe, fittings, pipe_tables
A=Argument; G="Pipe"
quick(pipe.pipe_velocity,"m/s",G)
quick(pipe.reynolds_number,"-",G)
quick(pipe.friction_factor,"-",G,reynolds_number=A("reynolds_number","-","x","(0, 1e9]"),relative_roughness=A("relative_roughness","-","x","[0, 0.1]"))
quick(pipe.friction_head,"m",G); quick(pipe.penstock_head,"m",G)
quick(pipe.minor_head,"m",G,fittings=n.FITTINGS.with_(default=REQUIRED))
quick(fittings.fitting_loss,"-",G,fitting=A("fitting","text","x",choices=fittings.FITTINGS))
quick(fittings.roughness,"mm",G,material=A("material","text","x",choices=tuple(dict.fromkeys(k[0] for k in fittings.ROUGHNESS))),condition=A("condition","text","x",choices=("new","used","fouled"),default="new"))
for f in (pipe_tables.pipe_bore,pipe_tables.pipe_wall,pipe_tables.pipe_outside):
    quick(f,"mm",G,pipe_standard=A("pipe_standard","text","x",choices=pipe_tables.STANDARDS),size=A("size","text","x",choices=pipe_tables.SIZES),pipe_class=A("pipe_class","text","x",choices=pipe_tables.CLASSES))
