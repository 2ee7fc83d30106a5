"""Room: files. `reading` opens workbooks with guards, `splice` writes values into them and changes nothing else, `files` is
how any file of ours is written, `lists` reads CSV and XLSX lists, `results` writes tables of results.

May import `errors`, `engine` and the file libraries. Knows no template.
"""
