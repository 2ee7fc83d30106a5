"""The declarations of all worksheet functions, one module per part of the job.

Importing this package fills `hydrofunc.registry.FUNCTIONS`, in the order in which the job is done.
"""

# The order of these lines is the listing order.
# isort: off
from . import water, survey, supply, pipe, route, strength, nozzle, wheel, housing  # noqa: F401
from . import alternator, cable, operating_point  # noqa: F401
from . import ledger, plant, choose, doubt, characteristics  # noqa: F401
from . import electrical_safety, energy, parts, uncertainty, diagnosis, trend  # noqa: F401
