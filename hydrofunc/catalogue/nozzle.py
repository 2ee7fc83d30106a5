from .gen import *
from ..physics import nozzle as z
A=Argument; G="Nozzle"
S=A("sizes","mm","x","(0, 500]",many=True)
for name,u in dict(jet_velocity="m/s",nozzle_flow="L/s",nozzle_head="m",jet_diameter="mm",jet_power="W",jet_force="N",running_pressure="bar",operating_flow="L/s",best_nozzle="mm",best_nozzle_flow="L/s",best_nozzle_power="W",best_listed_nozzle="mm",pipe_power_limit="W").items():
    quick(getattr(z,name),u,G,sizes=S)
