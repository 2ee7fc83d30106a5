"""The Excel host (Windows, through xlwings).

`adapter` turns what xlwings hands over into arguments of a declared function and its results into cells;
`udfs` is the module xlwings calls, one decorated function for each declaration; `vba` holds the VBA modules
a workbook needs; `setup` writes everything a person with Excel needs into a folder.
"""

import sys

CODE_PAGE = "mbcs" if sys.platform == "win32" else "cp1252"  # VBA reads a text file in the code page of its machine
