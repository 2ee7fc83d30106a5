"""How wide words are in the template's font, how many lines they take in a column, and how tall that makes a row.

Spreadsheet programs measure this themselves, but only on request: a row that is made too low cuts its words off.
"""

# Widths of the letters of Arial in thousandths of the font size. They are those of Helvetica, whose metrics Adobe
# published; tests compare them. Any other character counts as wide as the font is high, which is on the safe side.
_REGULAR = {
    191: "'",
    222: "ijl",
    260: "|",
    278: " !,./:;I[\\]ft·",
    333: "()-`r²³",
    334: "{}",
    355: '"',
    389: "*",
    400: "°",
    469: "^",
    500: "Jcksvxyz",
    556: "#$0123456789?L_abdeghnopqué–",
    584: "+<=>~×±",
    611: "FTZ",
    667: "&ABEKPSVXY",
    722: "CDHNRUw",
    778: "GOQ",
    833: "Mm",
    889: "%",
    944: "W",
    1015: "@",
}
_BOLD = {
    238: "'",
    278: " ,./I\\ijl·",
    280: "|",
    333: "!()-:;[]`ft²³",
    389: "*r{}",
    400: "°",
    474: '"',
    500: "z",
    556: "#$0123456789J_aceksvxyé–",
    584: "+<=>^~×±",
    611: "?FLTZbdghnopqu",
    667: "EPSVXY",
    722: "&ABCDHKNRU",
    778: "GOQw",
    833: "M",
    889: "%m",
    944: "W",
    975: "@",
}
WIDTHS = tuple(
    {letter: width for width, letters in by_width.items() for letter in letters} for by_width in (_REGULAR, _BOLD)
)
OTHER_WIDTH = 1000

# A column of width 1 is as wide as a digit of the workbook's standard font, Arial 10: 7 of 96 pixels of an inch, and
# 5 pixels of every column stay blank (ECMA-376 part 1, 18.3.1.13; from memory). In points:
WIDTH_UNIT, BLANK = 7 * 72 / 96, 5 * 72 / 96
ON_SCREEN = 1.05  # letters on a screen are up to so much wider than in print: each takes whole pixels
FILLED = 0.75  # of a line that ends within a long word: programs break it at a bracket or comma, as formulas show
LINE_HEIGHT = 1.3  # of the font size; Arial needs 1.15, Excel's rows for one line of Arial 10 have 1.275 (from memory)
BESIDE_LINES = 2  # points above and below the lines of a row, together
ONE_LINE = 15.5  # points, of a row with one line


def text_width(text: str, size: float, bold: bool = False) -> float:
    """How wide a text is on one line. [points]"""
    widths = WIDTHS[bold]
    return sum(widths.get(letter, OTHER_WIDTH) for letter in text) * size / 1000


def lines(text: str, width: float, size: float, bold: bool = False) -> int:
    """Lines that a text takes in a column; `width` as spreadsheet programs count it, `size` in points.

    Lines break at blanks, and within a word only where the word alone is too wide.
    """
    room = (width * WIDTH_UNIT - BLANK) / ON_SCREEN
    blank = text_width(" ", size, bold)
    count, used = 1, 0.0
    for word in text.split():
        wide = text_width(word, size, bold)
        if used and used + blank + wide > room:
            count, used = count + 1, 0.0
        used += wide + (blank if used else 0.0)
        while used > room:
            count, used = count + 1, used - FILLED * room
    return count


def height(count: int, size: float) -> float:
    """How tall a row with so many lines of this font size is. [points]"""
    return ONE_LINE if count <= 1 else round(count * size * LINE_HEIGHT + BESIDE_LINES, 1)
