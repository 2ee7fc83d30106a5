"""Formulas that differ in their cells alone share their tokens; what is read is what each says by itself."""

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hydrofunc.engine.book import Formula
from hydrofunc.engine.formula import Refused, _tokens, _tokens_of
from tests.books import template_book
from tests.engine import sheet_oracles as oracles

ODD = (
    "=LOG10(A1)+LOG10",
    "=A1!B2+'A1'!B2+'It''s A1'!$C$3",
    '="A1"&B2&"""C3"""&D4',
    "=1E5+E5+1.E5+2E+5",
    "=q_A1+A1_q+A1.b+\\A1",
    "=$A$1:$XFD$1048576+A:A+1:1",
    "=A1B+AB1C2+ABCD1+A12345678",
    "=Sizes[A1]+Sizes[[#Data],[B2]]",
    "={1,2;3,4}+{A1}",
    "=A1 B2",
    "=A1(B2)",
    "=A1#+B2",
    "=#REF!A1+#REF!",
    "=IF(A1,,B2",
    "=A1)",
    "=éA1+A1é",
    "=[1]Other!A1",
    "='unfinished A1",
    '="unfinished A1',
    "=",
)
PIECES = (
    *"A1 B$2 $C$3 XFD9 LOG10 ( ) , : ! ' \" + - 1 2.5 E5 [ ] { } ; % # TRUE \\ _ . S!A1 'T 1'!B2".split(),
    " ",
    "é",
)


def read(tokens, formula):
    try:
        return [(token.value, token.type, token.subtype) for token in tokens(formula)]
    except Refused as refused:
        return str(refused)


@pytest.mark.parametrize("formula", ODD)
def test_what_only_looks_like_a_cell_is_read_as_it_stands(formula):
    assert read(_tokens, formula) == read(_tokens_of, formula)


@given(st.lists(st.sampled_from(PIECES), max_size=12).map("".join))
def test_any_text_is_read_as_it_stands(text):
    assert read(_tokens, f"={text}") == read(_tokens_of, f"={text}")


def test_formulas_of_a_workbook_are_read_as_they_stand_and_most_share_their_tokens():
    texts = {cell.text for cell in template_book().cells.values() if isinstance(cell, Formula)}
    texts |= {row["formula"] for row in oracles.probes()}
    chosen = random.Random(1).sample(sorted(texts), 3000)
    before = _tokens_of.cache_info().misses
    tokens = [read(_tokens, text) for text in chosen]
    assert _tokens_of.cache_info().misses - before < len(chosen) / 2
    assert tokens == [read(_tokens_of, text) for text in chosen]
