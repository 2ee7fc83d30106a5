"""What a criterion compares with never stands in its text: "<-0.5" is read in the language of the program.

Seen in LibreOffice Calc 7.4 and 25.2 with decimal commas: "<-0.0005" counts other cells than "<"&-0.0005.
"""

import re

import pytest
from openpyxl.formula.tokenizer import Token, Tokenizer

from hydrofunc.engine.book import Formula
from tests import books

IFS = re.compile(r"(COUNT|SUM|AVERAGE|MAX|MIN)IFS?\(")
NUMBER_IN_TEXT = re.compile(r"\"(<=|>=|<>|<|>|=)?\s*[-+]?[.,]?\d.*\"")


def numbers_in_criteria(formula):
    """The texts inside a call of COUNTIF or its kin that hold a number to compare with."""
    texts, calls = [], []
    for token in Tokenizer(formula).items:
        if token.subtype == Token.OPEN:
            calls.append(bool(IFS.fullmatch(token.value)))
        elif token.subtype == Token.CLOSE:
            calls.pop()
        elif token.subtype == Token.TEXT and any(calls) and NUMBER_IN_TEXT.fullmatch(token.value):
            texts.append(token.value)
    return texts


@pytest.mark.parametrize("criterion", ['"<-0.0005"', '">0"', '"=12"', '"3"', '">= .5"', '"<-0,5"'])
def test_a_number_in_a_criterion_is_seen(criterion):
    assert numbers_in_criteria(f"=IF(A1>0,COUNTIF(B1:B9,{criterion}),0)") == [criterion]


@pytest.mark.parametrize("criterion", ['"<"&-0.0005', '"stop"', "12", '"<"&A1'])
def test_a_number_beside_its_sign_is_fine(criterion):
    assert numbers_in_criteria(f'=COUNTIF(B1:B9,{criterion})&"1"') == []


def test_no_criterion_of_the_template_holds_a_number():
    cells = books.template_book().cells.items()
    texts = {key: numbers_in_criteria(cell.text) for key, cell in cells if isinstance(cell, Formula)}
    assert {key: numbers for key, numbers in texts.items() if numbers} == {}
