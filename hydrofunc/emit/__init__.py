"""The worksheet functions written in other languages, so that a workbook can carry them and needs no Python.

Every body comes from `hydrofunc.physics`: `trace` runs a function once with symbols in place of numbers and keeps
what was done to them as a graph (`graph`, `symbols`). A writer, one module for each language, turns the graph into
text: `lambda_names` into the LAMBDA names of a spreadsheet, `plant` the same for the functions that take a whole
plant. `live` puts the names into a workbook. Allowed ranges, words, defaults, rules and kinds of error come from the
registry.

Nothing here has been seen in Excel itself; two engines that are not ours calculate what is written (tests/emit).
"""
