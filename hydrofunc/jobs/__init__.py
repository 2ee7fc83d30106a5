"""Room: what a person asks for, one module for each job.

- `fill`: a list of sites becomes a calculated workbook for each, and a summary of all
- `recalc`: a workbook is calculated anew
- `sweep`: many scenarios of a workbook become a table
- `doubt`: what is uncertain is drawn at random; how far do the results spread?
- `enter`: readings and log entries go from lists into a workbook
- `report`: a workbook becomes the content of a report, which the room report sets as PDF
- `selftest`: a workbook whose every row must say pass

What jobs share:

- `inputs`: columns of a list that feed inputs of the template
- `scenarios`: rows and ranges to vary
- `draws`: random draws, and what many of them say
- `cores`, `cluster`: parts of a calculation in several processes, or on many machines

May import every room but `hosts`; of the template only what it says of itself, no page's internals.
"""
