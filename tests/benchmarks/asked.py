"""Which outputs of the template the benchmarks ask for."""

from hydrofunc.jobs.sweep import _outputs

WITH_CHECKS = "plant_best_at_hand", "checks_stop", "checks_look"  # each takes more than all others together


def asked_by_default(book):
    """All that a sweep gives when nobody says which, as (sheet, cell) by name."""
    return _outputs(book, "the template", None)


def asked_without_checks(book):
    """The same without the counts of checks, and without the nozzle at hand, for which 27 plants are tried."""
    return {name: key for name, key in asked_by_default(book).items() if name not in WITH_CHECKS}
