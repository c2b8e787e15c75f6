"""Small faults to be made in a module, one at a time: what a test that asserts enough must notice."""

from __future__ import annotations

import ast
import copy
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeAlias

Change: TypeAlias = tuple[str, ast.AST]
"""What the fault is, in words, and the node that takes the place of the sound one."""

_COMPARED: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
}
_RECKONED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.FloorDiv,
    ast.Pow: ast.Mult,
    ast.BitOr: ast.BitAnd,
    ast.BitAnd: ast.BitOr,
}
_CALLED = {"min": "max", "max": "min", "any": "all", "all": "any", "ceil": "floor", "floor": "ceil"}
_REMOVED = (ast.Assign, ast.AugAssign, ast.Continue, ast.Break, ast.Raise)


@dataclass(frozen=True)
class Mutant:
    """One fault: what it is, the line it is on, and the lines of its statement."""

    fault: str
    line: int
    lines: range
    in_message: bool
    """Whether it changes nothing but what a message says."""

    sound: ast.AST
    faulty: ast.AST


def mutants_of(tree: ast.Module) -> list[Mutant]:
    """Every fault that can be made in a module, in the order of its lines."""
    return sorted(
        _faults(tree, range(1), in_message=False, in_function=False), key=lambda mutant: mutant.line
    )


def mutated(tree: ast.Module, mutant: Mutant) -> ast.Module:
    """The module with one of its faults in it; the tree that is given stays sound."""
    swap = {id(mutant.sound): mutant.faulty}
    # a copy that is told that the sound node has been copied before, as the faulty one
    faulty: ast.Module = copy.deepcopy(tree, dict(swap))
    return ast.fix_missing_locations(faulty)


def _faults(node: ast.AST, lines: range, *, in_message: bool, in_function: bool) -> Iterator[Mutant]:
    in_message |= isinstance(node, ast.JoinedStr)
    lines = _own_lines(node) if isinstance(node, ast.stmt) else lines
    for told, faulty in _changes(node, in_function):
        line = getattr(node, "lineno", 1)
        yield Mutant(f"{told}: {_start_of(node)}", line, lines, in_message, node, faulty)
    in_function |= isinstance(node, ast.FunctionDef)
    for child in _children(node):
        yield from _faults(child, lines, in_message=in_message, in_function=in_function)


def _own_lines(node: ast.stmt) -> range:
    """The lines of a statement without those of the statements in it."""
    within = [inner.lineno for inner in ast.walk(node) if isinstance(inner, ast.stmt) and inner is not node]
    last = max(node.lineno, min(within) - 1) if within else node.end_lineno or node.lineno
    return range(node.lineno, last + 1)


def _children(node: ast.AST) -> Iterator[ast.AST]:
    for name, value in ast.iter_fields(node):
        # notes on types and how a number is printed are no part of what is reckoned
        if name not in ("annotation", "returns", "format_spec"):
            yield from (
                each for each in (value if isinstance(value, list) else [value]) if isinstance(each, ast.AST)
            )


def _changes(node: ast.AST, in_function: bool) -> Iterator[Change]:
    match node:
        case ast.Compare():
            for at, op in enumerate(node.ops):
                for other in _COMPARED[type(op)]:
                    yield (
                        f"{_sign(op)} becomes {_sign(other())}",
                        _with(node, ops=[*node.ops[:at], other(), *node.ops[at + 1 :]]),
                    )
        case ast.BinOp(op=op) if type(op) in _RECKONED and not _joins_text(node):
            other_op = _RECKONED[type(op)]()
            yield f"{_sign(op)} becomes {_sign(other_op)}", _with(node, op=other_op)
        case ast.AugAssign(op=op) if type(op) in _RECKONED and in_function:
            other_op = _RECKONED[type(op)]()
            yield f"{_sign(op)}= becomes {_sign(other_op)}=", _with(node, op=other_op)
        case ast.BoolOp(op=ast.And()):
            yield "and becomes or", _with(node, op=ast.Or())
        case ast.BoolOp():
            yield "or becomes and", _with(node, op=ast.And())
        case ast.UnaryOp(op=ast.Not() | ast.USub(), operand=operand):
            yield "the sign before is dropped", operand
        case ast.Constant(value=bool(value)):
            yield f"{value} becomes {not value}", ast.Constant(not value)
        case ast.Constant(value=int(value) | float(value)):
            yield f"{value} becomes {value + 1}", ast.Constant(value + 1)
            yield f"{value} becomes {value - 1}", ast.Constant(value - 1)
        case ast.Call(func=ast.Name(id=name)) if name in _CALLED:
            yield f"{name} becomes {_CALLED[name]}", _with(node, func=ast.Name(_CALLED[name], ast.Load()))
        case ast.If() | ast.IfExp() | ast.While():
            if not isinstance(node.test, ast.Compare | ast.UnaryOp):
                yield "the condition is turned round", _with(node, test=ast.UnaryOp(ast.Not(), node.test))
        case ast.Return(value=value) if value is not None and not _is_none(value):
            yield "None is returned", _with(node, value=ast.Constant(None))
    if in_function and (
        isinstance(node, _REMOVED)
        or (isinstance(node, ast.Expr) and not isinstance(node.value, ast.Constant))
    ):
        yield "removed", ast.Pass()


def _with(node: ast.AST, **fields: object) -> ast.AST:
    changed = copy.copy(node)
    for name, value in fields.items():
        setattr(changed, name, value)
    return changed


def _joins_text(node: ast.BinOp) -> bool:
    return any(
        isinstance(side, ast.JoinedStr) or (isinstance(side, ast.Constant) and isinstance(side.value, str))
        for side in (node.left, node.right)
    )


def _is_none(node: ast.expr) -> bool:
    return isinstance(node, ast.Constant) and node.value is None


def _sign(op: ast.cmpop | ast.operator) -> str:
    return type(op).__name__


def _start_of(node: ast.AST) -> str:
    text = ast.unparse(node)
    return text.split("\n")[0][:90]
