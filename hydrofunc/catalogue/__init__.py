"""The declarations of all worksheet functions, one module per part of the job.

Importing this package fills `hydrofunc.registry.FUNCTIONS`, in the order in which the job is done.
"""

from . import water_site, supply, pipe, route, strength, nozzle, wheel, housing, electrical, operating_point  # noqa: F401, I001
from . import ledger, electrical_safety, energy, parts, uncertainty, diagnosis, trend  # noqa: F401  (order is the listing order)
