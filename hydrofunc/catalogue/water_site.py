from .gen import *
from ..physics import water, survey
A=Argument
T=n.TEMPERATURE; TR=T.with_(default=REQUIRED)
for f,u in ((water.density,"kg/m³"),(water.kinematic_viscosity,"mm²/s"),(water.vapour_pressure,"bar")): quick(f,u,"Water and site",temperature=TR)
quick(water.gravity,"m/s²","Water and site",latitude=A("latitude","°","x","[-90, 90]"),altitude=A("altitude","m","x","[-400, 9000]",default=0.0))
quick(water.air_pressure,"bar","Water and site",altitude=A("altitude","m","x","[-400, 9000]"))
quick(survey.static_head,"m","Water and site",static_pressure=A("static_pressure","bar","x","[0, 150]"),gauge_height=A("gauge_height","m","x","[-50, 200]",default=0.0))
quick(survey.static_pressure,"bar","Water and site",head=A("head","m","x","[0, 1500]"))
quick(survey.bucket_flow,"L/s","Water and site",volume=A("volume","L","x","(0, 2000]"),seconds=A("seconds","s","x","(0, 3600]"))
quick(survey.vnotch_flow,"L/s","Water and site",weir_head=A("weir_head","mm","x","[50, 500]"),notch_angle=A("notch_angle","°","x","[20, 100]",default=90.0))
quick(survey.hydraulic_power,"W","Water and site",head=A("head","m","x","[0, 1500]"))
