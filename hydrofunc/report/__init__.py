"""Room: the report as a document, A4 pages and figures, from what `jobs.report` gathered. No number of a report is written here.

May import reportlab and nothing of ours.
"""
