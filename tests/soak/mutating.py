"""Small damage to texts, at random: what a hand, a broken copy or an unkind mind makes of a sound file."""

from __future__ import annotations

import re
from random import Random

NUMBERS = (
    *(
        "0",
        "-1",
        "-0.0",
        "1",
        "2",
        "1e9",
        "1e308",
        "1e400",
        "-1e308",
        "1e-320",
        "nan",
        "inf",
        "-inf",
        "",
        '""',
    ),
    *("9" * 25, "9" * 400, "1_000", "0x7fffffff", "2147483648", "-2147483649", "1,5", "1/0", "1/3", '"1/64"'),
    *('"0"', '"9999 ft"', '"1e5 m"', "28 3/8", '"28 3/8"', "0.0000001", "63360", "1609344", "true"),
)
"""What is put where a number stood."""

WORDS = (
    *("[", "]", "[[", "]]", "{", "}", "[]", "{}", "[[]]", '"', "'", "=", ",", ";", "#", "\n", "\r", "\r\n"),
    *("\t", "\0", "\x1b", "\ufeff", "\u2028", "\u202e", "\ud83d\ude8c", "é", "½", "٣", "⅜", "″", "🚌"),
    *(
        "  0\nSECTION\n",
        "  0\nENDSEC\n",
        "  0\nEOF\n",
        "[[side]]",
        "[[side.bay]]",
        "[seam]",
        "sep=;\n",
        "=1+1",
    ),
)
"""What is put anywhere."""

_NUMBER = re.compile(r"[-+]?\d+(?:\.\d+)?(?:e[-+]?\d+)?")
_TOKEN = re.compile(r"\w+|[^\w\s]|\s+")
_DEEPEST = 3000
_LONGEST = 300_000


def mutated(text: str, random: Random) -> str:
    """The text with one to five kinds of damage, often one, at most a few hundred thousand characters."""
    for _ in range(random.choice((1, 1, 1, 2, 3, 5))):
        damage = random.choice(_DAMAGES)
        text = damage(text, random)[:_LONGEST]
    return text


def mutated_bytes(text: str, random: Random) -> bytes:
    """As `mutated`, in some encoding, and at times with bytes that no text has."""
    code = random.choice(("utf-8",) * 6 + ("utf-16", "utf-8-sig", "cp1252"))
    data = bytearray(mutated(text, random).encode(code, "replace"))
    if data and random.random() < 0.3:
        for _ in range(random.randint(1, 8)):
            data[random.randrange(len(data))] ^= 1 << random.randrange(8)
    return bytes(data)


def _number(text: str, random: Random) -> str:
    found = list(_NUMBER.finditer(text))
    if not found:
        return text
    at = random.choice(found)
    return text[: at.start()] + random.choice(NUMBERS) + text[at.end() :]


def _moved_number(text: str, random: Random) -> str:
    """One number a little larger or smaller: near misses that change what meets what."""
    found = list(_NUMBER.finditer(text))
    if not found:
        return text
    at = random.choice(found)
    try:
        value = float(at[0]) * random.choice((0.5, 0.99, 1.01, 2, 10, -1)) + random.choice((0, 0, 1, -1))
    except OverflowError:
        return text
    return f"{text[: at.start()]}{value:g}{text[at.end() :]}"


def _token(text: str, random: Random) -> str:
    found = list(_TOKEN.finditer(text))
    if not found:
        return text
    one, other = random.choice(found), random.choice(found)
    match random.randrange(3):
        case 0:
            return text[: one.start()] + text[one.end() :]
        case 1:
            return text[: one.start()] + one[0] + text[one.start() :]
        case _:
            return text[: one.start()] + other[0] + text[one.end() :]


def _line(text: str, random: Random) -> str:
    lines = text.splitlines(keepends=True)
    if not lines:
        return text
    start = random.randrange(len(lines))
    end = min(len(lines), start + random.choice((1, 1, 2, 4, 12, 40)))
    run = lines[start:end]
    match random.randrange(4):
        case 0:
            return "".join(lines[:start] + lines[end:])
        case 1:
            return "".join(lines[:end] + run * random.choice((1, 1, 2, 50)) + lines[end:])
        case 2:
            rest = lines[:start] + lines[end:]
            there = random.randrange(len(rest) + 1)
            return "".join(rest[:there] + run + rest[there:])
        case _:
            random.shuffle(run)
            return "".join(lines[:start] + run + lines[end:])


def _word(text: str, random: Random) -> str:
    at = random.randrange(len(text) + 1)
    return text[:at] + random.choice(WORDS) * random.choice((1, 1, 1, 3)) + text[at:]


def _character(text: str, random: Random) -> str:
    if not text:
        return text
    at = random.randrange(len(text))
    return text[:at] + chr(random.choice((random.randrange(128), random.randrange(0xD800)))) + text[at + 1 :]


def _cut_short(text: str, random: Random) -> str:
    return text[: random.randrange(len(text) + 1)]


def _nested(text: str, random: Random) -> str:
    """A value deep in brackets or braces."""
    found = list(_NUMBER.finditer(text))
    if not found:
        return text
    at, depth = random.choice(found), random.choice((1, 2, 3, 50, _DEEPEST))
    left, right = random.choice((("[", "]"), ("{a=", "}"), ("[", ""), ('"', '"')))
    return text[: at.start()] + left * depth + at[0] + right * depth + text[at.end() :]


_DAMAGES = (
    _number,
    _number,
    _number,
    _moved_number,
    _token,
    _token,
    _line,
    _line,
    _word,
    _character,
    _cut_short,
    _nested,
)
