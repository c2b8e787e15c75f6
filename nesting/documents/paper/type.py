"""Type on paper: the face, what it can print, how long words are, cutting them to size.

Lengths are points (1/72 in).  Only faces that every reader of PDF has are used, so characters beyond Western
European print as ``?``; plan.json keeps every name whole.
"""

from __future__ import annotations

import unicodedata
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import Paragraph

from nesting.documents.drawing import one_line

FONT, BOLD = "Helvetica", "Helvetica-Bold"
TITLE, SECTION, BODY, CELL = 16.0, 11.5, 9.5, 8.0
LONGEST_NAME, LONGEST_HEADING = 90, 100
"""Characters: longer names are cut off with an ellipsis, so that a list keeps its shape."""


def printable(text: str) -> str:
    """The text on one line with every character that the fonts lack as ``?``."""
    composed = unicodedata.normalize("NFC", one_line(text))
    return "".join(character if _has_glyph(character) else "?" for character in composed)


def _has_glyph(character: str) -> bool:
    try:
        character.encode("cp1252")
    except UnicodeEncodeError:
        return False
    return True


def text_length(text: str, size: float, font: str = FONT) -> float:
    """How long a line of printable text is."""
    return float(stringWidth(text, font, size))


def shortened(text: str, room: float, size: float, font: str = FONT) -> str:
    """The printable text, cut off with an ellipsis where it is longer than the room."""
    text = printable(text)
    if text_length(text, size, font) <= room:
        return text
    kept = len(text)
    while kept and text_length(text[:kept].rstrip() + "\u2026", size, font) > room:
        kept -= 1
    return text[:kept].rstrip() + "\u2026"


def clipped(text: str, longest: int = LONGEST_NAME) -> str:
    """The printable text, cut off with an ellipsis after so many characters."""
    text = printable(text)
    return text if len(text) <= longest else text[: longest - 1].rstrip() + "\u2026"


def paragraph(text: str, size: float, font: str = FONT, *, right: bool = False, bullet: str = "") -> Any:
    """Printable text as a block that breaks into lines; with a bullet it is indented."""
    style = ParagraphStyle(
        "plain",
        fontName=font,
        fontSize=size,
        leading=size * 1.2,
        # 2 is right-aligned in the library's terms
        alignment=2 if right else 0,
        leftIndent=16.0 if bullet else 0.0,
        bulletFontSize=size,
    )
    return Paragraph(escape(text), style, bulletText=bullet or None)
