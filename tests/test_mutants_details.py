"""Faults made on purpose: each is one change in one place, and the sound module stays as it is."""

from __future__ import annotations

import ast

import pytest

from tests.mutants.mutations import mutants_of, mutated

SOURCE = """
WIDTH = 30.0

def room(parts, gap: float = 2.0):
    \"\"\"What is left.\"\"\"
    if not parts:
        return WIDTH
    used = sum(parts) + gap
    if used < WIDTH and max(parts) > 1:
        raise ValueError(f"{used + 1:.2f} is too little")
    return WIDTH - used
"""


def faulty() -> list[str]:
    tree = ast.parse(SOURCE)
    return [ast.unparse(mutated(tree, mutant)) for mutant in mutants_of(tree)]


def test_every_fault_changes_one_line_and_no_two_are_alike() -> None:
    sound = ast.unparse(ast.parse(SOURCE)).split("\n")
    for text in faulty():
        lines = text.split("\n")
        assert len(lines) == len(sound)
        assert sum(a != b for a, b in zip(lines, sound, strict=True)) == 1
    assert len(set(faulty())) == len(faulty())


def test_the_sound_module_is_left_as_it_is() -> None:
    tree = ast.parse(SOURCE)
    for mutant in mutants_of(tree):
        mutated(tree, mutant)
    assert ast.unparse(tree) == ast.unparse(ast.parse(SOURCE))


@pytest.mark.parametrize(
    "line",
    [
        "WIDTH = 31.0",
        "    if parts:",
        "        return None",
        "    used = sum(parts) - gap",
        "    pass",
        "    if used <= WIDTH and max(parts) > 1:",
        "    if used >= WIDTH and max(parts) > 1:",
        "    if used < WIDTH or max(parts) > 1:",
        "    if used < WIDTH and min(parts) > 1:",
        "    if used < WIDTH and max(parts) > 0:",
        "    return WIDTH + used",
        "def room(parts, gap: float=3.0):",
    ],
)
def test_comparisons_sums_numbers_and_whole_statements_are_changed(line: str) -> None:
    assert any(line in text.split("\n") for text in faulty())


def test_what_only_a_message_says_is_marked() -> None:
    marked = [mutant for mutant in mutants_of(ast.parse(SOURCE)) if mutant.in_message]
    assert {mutant.line for mutant in marked} == {10}
    assert len(marked) == 3


def test_a_fault_knows_the_lines_of_its_own_statement_only() -> None:
    lines = {mutant.line: mutant.lines for mutant in mutants_of(ast.parse(SOURCE))}
    assert lines[2] == range(2, 3)
    assert lines[6] == range(6, 7)
    assert lines[9] == range(9, 10)
