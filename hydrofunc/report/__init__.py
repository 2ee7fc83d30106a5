"""Room: the report as a document. `jobs.report` gathers its content; no number of a report is written here.

- `layout`: A4 pages: heads, paragraphs, tables
- `figures`: vector drawings: charts of lines and bars
- `fonts`: DejaVu Sans Condensed, embedded in every report

May import reportlab and nothing of ours.
"""
