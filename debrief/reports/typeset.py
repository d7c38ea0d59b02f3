"""The typesetter: plain data and a drawing in, one page out as PDF or as a picture of it.

The typefaces that come along are asked first, so that a sheet has the same bytes on every machine. Only where
they lack a letter is the machine asked for its own; what that lacks too stands as its code.
"""

import json
import re
import threading
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Any, Literal, cast
from unicodedata import category

import typst

from debrief.resources import shipped
from debrief.words import say

Form = Literal["pdf", "png"]

FONTS = ("Atkinson Hyperlegible Next", "Libertinus Serif", "DejaVu Sans Mono")
"""Asked for a letter in this order. The typesetter brings the last two: Greek, Cyrillic, Hebrew, Arabic."""

_STANDARD: Literal["ua-1"] = "ua-1"
"""Accessible PDF. It also makes the typesetter refuse a letter that no typeface holds, and not drop it."""
_PREVIEW_PPI = 120.0
_LACKING = re.compile(r'the text `"(.+?)"` could not be displayed')
_JOINERS = "\u200c\u200d\u200e\u200f"
"""Invisible, and needed to write some languages."""
_LOCK = threading.Lock()


def typeset(said: dict[str, Any], timeline: str, form: Form = "pdf") -> bytes:
    """Set the sheet.

    Parameters
    ----------
    said
        What stands on it, as ``sheet.typ`` names it; text is never read as markup.
    timeline
        The drawing, as SVG.
    form
        ``pdf``, or ``png`` for the screen.

    Returns
    -------
    bytes
        The same for the same input.
    """
    coded = {letter for letter in json.dumps(said, ensure_ascii=False) + timeline if _is_control(letter)}
    try:
        return _set(said, timeline, coded, form)
    except typst.TypstError as error:
        if not _lacking(error):
            raise
    try:
        return _set(said, timeline, coded, form, machine=True)
    except typst.TypstError as error:
        coded |= _lacking(error)
    return _set(said, timeline, coded, form, machine=True)


def _set(
    said: dict[str, Any], timeline: str, coded: Iterable[str], form: Form, *, machine: bool = False
) -> bytes:
    """Set the sheet with some letters as their codes; ``machine``: also in the machine's own typefaces."""
    codes = {ord(letter): f"[U+{ord(letter):04X}]" for letter in sorted(coded)}
    if codes:
        noted = say("sheet.letters", example=next(iter(codes.values())))
        said = said | {"made": [*said["made"], noted]}
    text = json.dumps(said | {"fonts": FONTS}, ensure_ascii=False)
    given = {"said": text.translate(codes), "timeline": timeline.translate(codes)}
    with _LOCK:
        compiler, page = _compiler(machine), _page()
        made = compiler.compile(page, format="pdf", sys_inputs=given, pdf_standards=_STANDARD)
        if form == "png":
            made = compiler.compile(page, format="png", sys_inputs=given, ppi=_PREVIEW_PPI)
    return cast(bytes, made)


@cache
def _compiler(machine: bool) -> typst.Compiler:
    fonts = typst.Fonts(include_system_fonts=machine, font_paths=[str(shipped("assets") / "fonts")])
    return typst.Compiler(font_paths=fonts, ignore_system_fonts=not machine)


@cache
def _page() -> bytes:
    return Path(__file__).with_name("sheet.typ").read_bytes()


def _is_control(letter: str) -> bool:
    """Return whether a letter shows nothing, or turns the direction of what follows."""
    return category(letter) in ("Cc", "Cf") and letter not in _JOINERS and letter != "\n"


def _lacking(error: typst.TypstError) -> set[str]:
    """Return the letters for which no typeface has a shape."""
    said = "".join(_LACKING.findall(error.diagnostic))
    return {letter for letter in said if not letter.isascii()}
