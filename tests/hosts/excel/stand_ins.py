"""What stands in for Excel's COM objects."""

from unittest.mock import MagicMock

MISSING = -2147352572  # DISP_E_PARAMNOTFOUND


class ComError(Exception):
    pass


class Cells(MagicMock):
    """A Range object of Excel: rows of values, of which a single one is no tuple."""

    def __new__(cls, *rows, **rest):
        return super().__new__(cls, **rest)  # a mock takes few arguments by position

    def __init__(self, *rows, **rest):
        super().__init__(**rest)
        if rows:
            self.Value = rows if len(rows) > 1 or len(rows[0]) > 1 else rows[0][0]
            self.Rows.Count, self.Columns.Count = len(rows), len(rows[0])
