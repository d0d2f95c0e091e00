"""A small and safe language for values: arithmetic on what the model computed."""

import ast
import math
import operator
from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import Any, Protocol

from tipsim.setup.errors import BadInput, nearest

_LONGEST = 400
_TWO: dict[type, Callable[[Any, Any], Any]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Pow: lambda base, power: _power(base, power),
    ast.Lt: operator.lt,
    ast.LtE: operator.le,
    ast.Gt: operator.gt,
    ast.GtE: operator.ge,
    ast.Eq: operator.eq,
    ast.NotEq: operator.ne,
}
_ALLOWED = "numbers, known names, + - * / **, comparisons, and, or, not, known functions"
Path = tuple[str | int, ...]


class Scope(Protocol):
    """Where names are looked up."""

    @property
    def functions(self) -> Mapping[str, Callable[..., float]]:
        """What may be called, by name."""

    def look_up(self, path: Path) -> Any:
        """Return the value of a dotted name, such as ("a", "motion", "nodes_mm", 0)."""


def evaluate(source: str, scope: Scope) -> Any:
    """Work out an expression.

    Returns
    -------
    float, bool or str
        A word only where the expression is just the name of one.

    Raises
    ------
    BadInput
        Naming the expression and what it holds that is not known or not possible.

    Examples
    --------
    >>> from tipsim.lesson.quantities import Values
    >>> evaluate("1 < min(power, 80) / 20 <= 4", Values({}, {"power": 60.0}))
    True
    """
    try:
        value = _value(parse(source).body, scope)
    except (ArithmeticError, AttributeError, TypeError, ValueError) as error:
        if isinstance(error, BadInput):
            raise
        raise BadInput(f'"{source}"', f"not possible ({error})", _ALLOWED) from None
    if isinstance(value, float) and not math.isfinite(value):
        raise BadInput(f'"{source}"', "not finite", "a finite number")
    return value


def number(source: str, scope: Scope) -> float:
    """Work out an expression that must be a number."""
    value = evaluate(source, scope)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise BadInput(f'"{source}"', f"no number ({value!s:.40})", "an expression for a number")
    return float(value)


def holds(source: str, scope: Scope) -> bool:
    """Work out a condition, or one of the words true and false."""
    if source in ("true", "false"):
        return source == "true"
    value = evaluate(source, scope)
    if not isinstance(value, bool):
        raise BadInput(f'"{source}"', "no condition", "true, false, or a comparison")
    return value


@lru_cache(maxsize=4096)
def parse(source: str) -> ast.Expression:
    """Parse an expression; raises BadInput where it cannot be read."""
    if len(source) > _LONGEST:
        raise BadInput(f'"{source[:40]}..."', "too long", f"up to {_LONGEST} characters")
    try:
        return ast.parse(source.strip(), mode="eval")
    except (SyntaxError, ValueError, RecursionError, MemoryError):
        raise BadInput(f'"{source}"', "not readable", _ALLOWED) from None


def _value(node: ast.expr, scope: Scope) -> Any:
    match node:
        case ast.Constant(value=bool()) | ast.Constant(value=complex()):
            raise BadInput(ast.unparse(node), "not allowed here", _ALLOWED)
        case ast.Constant(value=int() | float() as value):
            return float(value)
        case ast.Constant(value=str() as value):
            return value
        case ast.Name() | ast.Attribute() | ast.Subscript():
            return scope.look_up(_path(node))
        case ast.BinOp(left, kind, right) if type(kind) in _TWO:
            return _TWO[type(kind)](_number(left, scope), _number(right, scope))
        case ast.UnaryOp(ast.USub(), operand):
            return -_number(operand, scope)
        case ast.UnaryOp(ast.Not(), operand):
            return not _truth(operand, scope)
        case ast.BoolOp(kind, values):
            found = [_truth(v, scope) for v in values]
            return all(found) if isinstance(kind, ast.And) else any(found)
        case ast.Compare():
            return _compared(node, scope)
        case ast.Call(ast.Name(name), args, []):
            if name not in scope.functions:
                allowed = ", ".join(scope.functions) + nearest(name, scope.functions)
                raise BadInput(f"{name}()", "not a known function", allowed)
            return scope.functions[name](*(_value(a, scope) for a in args))
    raise BadInput(ast.unparse(node), "not allowed here", _ALLOWED)


def _number(node: ast.expr, scope: Scope) -> float:
    value = _value(node, scope)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise BadInput(ast.unparse(node), f"no number ({value!s:.40})", "a number")
    return float(value)


def _truth(node: ast.expr, scope: Scope) -> bool:
    value = _value(node, scope)
    if not isinstance(value, bool):
        raise BadInput(ast.unparse(node), "no condition", "a comparison")
    return value


def _compared(node: ast.Compare, scope: Scope) -> bool:
    values = [_value(v, scope) for v in (node.left, *node.comparators)]
    for kind in node.ops:
        if type(kind) not in _TWO:
            raise BadInput(ast.unparse(node), "not allowed here", _ALLOWED)
    pairs = zip(node.ops, values, values[1:], strict=False)
    return all(bool(_TWO[type(kind)](one, other)) for kind, one, other in pairs)


def _path(node: ast.expr) -> Path:
    """Turn a.b[0].c into its parts."""
    match node:
        case ast.Name(name):
            return (name,)
        case ast.Attribute(owner, name):
            return (*_path(owner), name)
        case ast.Subscript(owner, ast.Constant(value=int() as index)):
            return (*_path(owner), index)
    raise BadInput(ast.unparse(node), "not allowed here", "names such as a.motion.nodes_mm[0]")


def _power(base: float, power: float) -> float:
    value = base**power
    if isinstance(value, complex):
        raise BadInput(f"{base:g} ** {power:g}", "no real number", "a power that exists")
    return float(value)
