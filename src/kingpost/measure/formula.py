"""Formulas that somebody wrote as text, and the uncertainty of their answers."""

from __future__ import annotations

import ast
import math
import operator
from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from .conformity import Measured, combine_uncertainty, sampled_uncertainty
from .limits import within

OPERATORS: Mapping[type, Callable[..., float]] = {
    ast.Add: operator.add, ast.Sub: operator.sub, ast.Mult: operator.mul, ast.Div: operator.truediv,
    ast.Pow: operator.pow, ast.USub: operator.neg, ast.UAdd: operator.pos,
}  # fmt: skip
FUNCTIONS: Mapping[str, Callable[..., float]] = {
    "sqrt": math.sqrt, "sin": math.sin, "cos": math.cos, "tan": math.tan, "atan": math.atan, "exp": math.exp,
    "log": math.log, "min": min, "max": max, "abs": abs, "radians": math.radians,
}  # fmt: skip
CORNERS = ("min", "max", "abs")  # where a formula has a corner, its slope says little
BENT = 0.1  # a formula bends when its curve over +- 2 u is more than this share of its swing
LONGEST = 500


class Propagated(NamedTuple):
    """An answer with its uncertainty, and how that was found."""

    value: float
    u: float
    method: str  # first_order or sampled


def _compiled(text: str, names: tuple[str, ...]) -> Callable[..., float]:
    """A function of the named values, in their order, from plain arithmetic: `12 * rise / run`.

    Source    arithmetic; only numbers, the names, + - * / ** and a few functions are read, nothing is executed
    Raises    ValueError for anything else

    >>> _compiled("12 * rise / run", ("rise", "run"))(2.0, 12.0)
    2.0
    """
    within("length of the formula", float(len(text)), 1.0, LONGEST)
    try:
        tree = ast.parse(text.replace("^", "**"), mode="eval").body
    except SyntaxError:
        raise ValueError(f'the formula "{text}" cannot be read; write it like 12 * rise / run') from None
    _check(tree, names)

    def formula(*values: float) -> float:
        known = dict(zip(names, values, strict=True))
        try:
            return float(_value(tree, known))
        except (ZeroDivisionError, OverflowError, TypeError) as wrong:
            raise ValueError(f"the formula has no value here: {wrong}") from None

    return formula


def _check(node: ast.expr, names: tuple[str, ...]) -> None:
    for part in ast.walk(node):
        if isinstance(part, ast.Name) and part.id not in (*names, *FUNCTIONS):
            raise ValueError(f"the formula has {part.id}, and no value was given for it")
        if isinstance(part, ast.Call) and not (isinstance(part.func, ast.Name) and part.func.id in FUNCTIONS):
            raise ValueError("the formula calls something that is not known; known: " + ", ".join(FUNCTIONS))
        known = (ast.BinOp, ast.UnaryOp, ast.Name, ast.Constant, ast.Call, ast.Load, ast.operator, ast.unaryop)
        if not isinstance(part, known) or (isinstance(part, ast.Constant) and not isinstance(part.value, (int, float))):
            raise ValueError("the formula holds more than arithmetic; write it like 12 * rise / run")


def _value(node: ast.expr, known: Mapping[str, float]) -> float:
    if isinstance(node, ast.Constant) and isinstance(node.value, (int, float)):
        return float(node.value)
    if isinstance(node, ast.Name):
        return known[node.id]
    if isinstance(node, ast.UnaryOp):
        return OPERATORS[type(node.op)](_value(node.operand, known))
    if isinstance(node, ast.BinOp):
        return OPERATORS[type(node.op)](_value(node.left, known), _value(node.right, known))
    assert isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    return FUNCTIONS[node.func.id](*(_value(a, known) for a in node.args))


def propagated(
    text: str, names: Sequence[str], values: Sequence[Measured], alike: Sequence[tuple[float, ...]] = ()
) -> Propagated:
    """The value of a written formula and its standard uncertainty.

    names    in the order of the values
    alike    shifts of one standard uncertainty that all inputs share: the bias of one instrument that read them all

    First order by central differences; by samples where the formula has a corner or bends over +- 2 u.

    Source    [jcgm-100-2008] 5.1.2 and [jcgm-101-2008]
    Raises    ValueError

    >>> answer = propagated("12 * rise / run", ["rise", "run"], [Measured(2.05, 0.0625), Measured(12.0, 0.0625)])
    >>> round(answer.value, 3), round(answer.u, 4), answer.method
    (2.05, 0.0634, 'first_order')
    """
    formula = _compiled(text, tuple(names))
    if not alike and (any(f"{c}(" in text for c in CORNERS) or _bends(formula, values)):
        sampled = sampled_uncertainty(formula, values)
        return Propagated(formula(*(v.value for v in values)), sampled.u, "sampled")
    first = combine_uncertainty(formula, values, alike)
    return Propagated(first.value, first.u, "first_order")


def _bends(formula: Callable[..., float], values: Sequence[Measured]) -> bool:
    centre = [v.value for v in values]
    middle = formula(*centre)
    for index, one in enumerate(values):
        if one.u <= 0.0:
            continue
        up, down = list(centre), list(centre)
        up[index], down[index] = one.value + 2.0 * one.u, one.value - 2.0 * one.u
        high, low = formula(*up), formula(*down)
        if abs(high + low - 2.0 * middle) > BENT * max(abs(high - low), 1e-12):
            return True
    return False
