"""Room: the formula engine, from a formula's text to values for one scenario or thousands at once.

- `reference`  cells by their addresses
- `tree`       what a formula is once it is read
- `formula`    text to tree
- `book`       a workbook in memory, and what its names and tables mean
- `lanes`      values, one or one for each scenario
- `operators`  what the operators of a formula do with values
- `functions`  the ordinary worksheet functions by kind
- `library`    the table of them, and what is refused
- `cell`       compiles the formula of one cell
- `arguments`  what is settled by looking at the arguments of a function
- `forms`      functions for which the compiler decides what is evaluated, such as IF
- `ours`       calls of our own worksheet functions
- `collector`  Python's garbage collector, paused
- `compile`    compiles a workbook: which formulas, in which order
- `run`        a compiled workbook, run for many scenarios

Knows no file format and no template. May import `errors`, `registry` and numpy; openpyxl only for its tokenizer.
"""
