"""Room: files that go in and come out.

- `reading`: opens a workbook, with guards against files made to harm
- `parts`: a workbook's file, opened once: its parts, and which of them are its sheets
- `plain`: sheets as programs write them, by patterns
- `splice`: writes values into a workbook and changes nothing else
- `lists`: reads lists of sites or scenarios (.csv, .xlsx; .parquet with the extra [parquet])
- `spilled`: what is too long for the memory, in a file without a name
- `results`: writes tables of results (.csv, .xlsx; .parquet with the extra [parquet])
- `files`: how any file of ours is written: whole or not at all, never over another unasked

May import `errors`, `engine` and the file libraries. Knows no template.
"""
