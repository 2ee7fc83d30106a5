"""Room: the formula engine, from a formula's text to values for one scenario or thousands at once.

`formula` reads text into a tree, `lanes` is what values are, `library` the ordinary worksheet functions, `book` a workbook in
memory, `plan` compiles and runs it. Knows no file format and no template.

May import `errors`, `registry` and numpy; openpyxl only for its tokenizer.
"""
