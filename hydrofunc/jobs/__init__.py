"""Room: what a person asks for, one module for each job: `fill`, `recalc`, `sweep`, `doubt`, `enter`, `report`, `selftest`.

Beside them what jobs share: `inputs` (columns of a list that feed inputs of the template), `scenarios` (rows and ranges to
vary), `draws` (random draws and bands).

May import every room but `hosts`; of the template only what it says of itself, no page's internals.
"""
