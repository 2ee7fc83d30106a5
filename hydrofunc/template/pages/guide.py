"""Guide: how to use the workbook, its marks, and the dangers."""

from ..model import Heading, Page, Table, Words

PAGE = Page(
    "Guide",
    "How to use this workbook, its marks, and the dangers.",
    (
        Heading("How to use this workbook"),
        Words(
            "1  Begin on Start: head, length and bore are enough for a first answer. Type in the cells on a sand "
            "ground; each line says in which unit. A list opens where there is a choice."
        ),
        Words(
            "2  What you leave empty is assumed on the careful side, or proposed where it is your choice. The column "
            "counts shows the number that is used, the column state whether it is yours. A wide band means: much is "
            "assumed. Measure next says what narrows it most."
        ),
        Words(
            "3  The sheets of each stage hold the finer inputs, with how to measure each. Checks says good, look or "
            "stop, or what it needs to be able to judge."
        ),
        Words(
            "4  What pays puts single changes in order of what they are worth; Doubt says how far the watts may be off."
        ),
        Words(
            "5  Print Test day and take it along: it says what each instrument should read. Put the readings in, and "
            "Diagnosis says what they mean."
        ),
        Words("6  Keep the Log. It says when watts or pressure slip away, and what service is due."),
        Heading("The marks"),
        Table(
            ("mark", "meaning"),
            (
                ("▸  input", "Yours to fill, if you know it: brown on sand, line below."),
                ("=  result", "Worked out: dark teal, no ground."),
                ("■  result that matters", "Worked out and in bold: one of the few numbers to remember."),
                ("-  in place of a unit", "A count or a ratio has none."),
                (
                    "!  caution",
                    "Read it before the work it speaks of. It does not replace a qualified person.",
                ),
            ),
            key="legend",
            spread="C",
        ),
        Words(
            "Tabs have the colour of their group. Those of the stages stand beside them on Start; dark teal are Start, "
            "Results and Checks, dark grey the workings, where nothing must be typed, light grey the help."
        ),
        Words(
            "To keep formulas from being overwritten, protect the sheets (Excel: Review; Calc: Tools), or write the "
            "workbook with   hydrofunc template OUT.xlsx --protect   : inputs, lists and units can still be typed, and "
            "there is no password."
        ),
        Heading("Where the numbers come from"),
        Words(
            "The functions whose names begin with HYDRO_ come from hydrofunc; the last sheet lists each with its "
            "unit, range and "
            "source. Every other number says beside it or below its table how it comes about. Without hydrofunc in "
            "your spreadsheet program or in the workbook (Start says so) the stored results still show, but do not "
            "follow a changed input: save the book and run   hydrofunc recalc BOOK.xlsx   , which needs no spreadsheet "
            "program."
        ),
        Heading("Before you build"),
        Words(
            "Water under pressure: a head of 60 m pushes with 6 bar, and closing a valve fast can double it. Never "
            "point a jet at "
            "a person; fix the pipe at every bend; open and close valves slowly.",
            caution=True,
        ),
        Words(
            "Rotation: guard the wheel and the coupling. Without electrical load the wheel runs up to about twice its "
            "working "
            "speed, and the voltage with it: it can exceed what is safe to touch and what a controller survives.",
            caution=True,
        ),
        Words(
            "Battery: charging gives off hydrogen, which explodes; ventilate, no flame or spark. A battery can "
            "deliver hundreds of "
            "amperes: fuse it at its terminal. Acid burns: wear eye protection.",
            caution=True,
        ),
        Words(
            "Heat: dump loads get hot enough to burn. They must never be switched off or covered while the wheel "
            "turns.",
            caution=True,
        ),
        Words(
            "Law and licence: taking water, working on drinking water, electrical work, pressure equipment and work "
            "in confined or "
            "underground places are regulated nearly everywhere. Local codes and licensed people come before anything "
            "here.",
            caution=True,
        ),
    ),
    heads=("", "", "", "", "", ""),
)
