"""Graphs as text: what is shared is named once, where it is needed, and what a worksheet reads in its own way."""

from hydrofunc.emit.graph import node, number
from hydrofunc.emit.symbols import Symbol, apply
from hydrofunc.emit.text import Writer, letters, shown

X, Y = (Symbol(node("argument", value=name)) for name in "xy")


def written(symbol):
    return shown(Writer(symbol.node, {X.node: "x", Y.node: "y"}, {}, letters()).text())


def test_a_shared_part_is_calculated_once_and_only_in_the_branch_that_needs_it():
    root = apply("sqrt", X + Y)
    assert written(root * root) == "LET(a_,SQRT(x+y),a_*a_)"
    assert written(apply("if", X > 0, root * root, 0.0)) == "IF(x>0,LET(a_,SQRT(x+y),a_*a_),0)"


def test_what_a_loop_does_not_change_is_calculated_before_it():
    value, step = (Symbol(node("variable", value=name)) for name in ("value", "step"))
    body = (value + apply("exp", X)).node
    loop = Symbol(node("loop", Y.node, body, value.node, step.node, value=3))
    assert written(loop) == "LET(a_,EXP(x),REDUCE(y,SEQUENCE(3),LAMBDA(b_,c_,b_+a_)))"


def test_a_costly_part_that_two_branches_share_is_left_out_where_neither_is_taken():
    value, step = (Symbol(node("variable", value=name)) for name in ("value", "step"))
    loop = Symbol(node("loop", Y.node, (value + 1).node, value.node, step.node, value=3))
    absent = X <= Y
    both = apply("if", absent, 0.0, loop) + apply("if", absent, 0.0, loop * 2)
    assert ",IF(a_,0,REDUCE(" in written(both)


def test_a_minus_before_a_power_is_bracketed():
    """In a worksheet -x^2 is (-x)^2."""
    assert written(-(X**2)) == "-(x^2)"
    assert written((-X) ** 2) == "(-x)^2"
    assert written(Symbol(number(2.0)) - X) == "2-x"


def test_differences_and_quotients_keep_their_order():
    assert written(X - (Y - 1)) == "x-(y-1)"
    assert written(X / (Y / 2) ** 2) == "x/(y/2)^2"
    assert written((X**Y) ** 2) == "x^y^2"  # from left to right, as a worksheet reads it


def test_anything_to_the_power_0_is_1():
    """0 to the power 0 is an error in a worksheet."""
    assert written(X**0 + Y) == "1+y"
