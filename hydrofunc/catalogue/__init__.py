"""The declarations of all worksheet functions, one module per part of the job.

Importing this package fills `hydrofunc.registry.FUNCTIONS`, in the order in which the job is done.
"""

from . import water_site, pipe, nozzle, wheel, electrical, operating_point, ledger  # noqa: F401  (order is the listing order)
