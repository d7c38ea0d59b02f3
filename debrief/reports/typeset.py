"""The typesetter: plain data and drawings in, pages out as PDF or the first as a picture of it.

The typefaces that come along are asked first, so that a sheet has the same bytes on every machine. Only where
they lack a letter is the machine asked for its own; what that lacks too stands as its code.
"""

import json
import re
import threading
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import Any, Literal, cast
from unicodedata import category

import typst

from debrief.model.values import THIN
from debrief.resources import shipped
from debrief.words import say

Form = Literal["pdf", "png"]

FONTS = ("Atkinson Hyperlegible Next", "Libertinus Serif", "DejaVu Sans Mono")
"""Asked for a letter in this order. The typesetter brings the last two: Greek, Cyrillic, Hebrew, Arabic."""

_STANDARD: Literal["ua-1"] = "ua-1"
"""Accessible PDF. It also makes the typesetter refuse a letter that no typeface holds, and not drop it."""
_PREVIEW_PPI = 120.0
_SLIDE_PPI = 144.0
_LACKING = re.compile(r'the text `"(.+?)"` could not be displayed')
_JOINERS = "\u200c\u200d\u200e\u200f"
"""Invisible, and needed to write some languages."""
_BREAKS = re.compile(r"[\t-\r\x1c-\x1f\x85\u2028\u2029]")
_LONG_WORD = re.compile(r"[^\s-]{40,}")
_PIECE = 8
_LOCK = threading.Lock()


def typeset(said: dict[str, Any], drawn: str, form: Form = "pdf", page: str = "sheet.typ") -> bytes:
    """Set the sheet, or another page.

    Parameters
    ----------
    said
        What stands on it, as the page names it; text is never read as markup.
    drawn
        The drawing, as SVG; of a page with several, all of them as a list in JSON.
    form
        ``pdf``, or ``png`` for the screen.
    page
        The file beside this one that says how it is laid out.

    Returns
    -------
    bytes
        The same for the same input.
    """
    coded = {letter for letter in _letters(said) | set(drawn) if _is_control(letter)}
    try:
        return _set(said, drawn, coded, form, page)
    except typst.TypstError as error:
        if not _lacking(error):
            raise
    try:
        return _set(said, drawn, coded, form, page, machine=True)
    except typst.TypstError as error:
        coded |= _lacking(error)
    return _set(said, drawn, coded, form, page, machine=True)


def picture_of(drawing: str) -> bytes:
    """Return a drawing, as SVG, as PNG for a slide."""
    page = (
        b'#set page(width: auto, height: auto, margin: 0pt)\n#image(bytes(sys.inputs.drawing), format: "svg")'
    )
    with _LOCK:
        made = _compiler(False).compile(page, format="png", sys_inputs={"drawing": drawing}, ppi=_SLIDE_PPI)
    return cast(bytes, made)


def _set(
    said: dict[str, Any], drawn: str, coded: Iterable[str], form: Form, page: str, *, machine: bool = False
) -> bytes:
    """Set the sheet with some letters as their codes; ``machine``: also in the machine's own typefaces."""
    codes = {ord(letter): f"[U+{ord(letter):04X}]" for letter in sorted(coded)}
    if codes:
        noted = say("sheet.letters", example=next(iter(codes.values())))
        said = said | {"made": [*said["made"], noted]}
    codes[ord(THIN)] = "\u00a0"  # too thin at this size to be seen, or copied, as a space
    text = json.dumps(_spelled(said | {"fonts": FONTS}, codes), ensure_ascii=False)
    given = {"said": text, "drawn": drawn.translate(codes)}
    with _LOCK:
        compiler, layout = _compiler(machine), _page(page)
        made = compiler.compile(layout, format="pdf", sys_inputs=given, pdf_standards=_STANDARD)
        if form == "png":
            made = compiler.compile(layout, format="png", sys_inputs=given, ppi=_PREVIEW_PPI)
    return cast(bytes, made)


@cache
def _compiler(machine: bool) -> typst.Compiler:
    fonts = typst.Fonts(include_system_fonts=machine, font_paths=[str(shipped("assets") / "fonts")])
    return typst.Compiler(font_paths=fonts, ignore_system_fonts=not machine)


@cache
def _page(name: str) -> bytes:
    return Path(__file__).with_name(name).read_bytes()


def _is_control(letter: str) -> bool:
    """Return whether a letter shows nothing, is none, or turns the direction of what follows."""
    return category(letter).startswith("C") and letter not in _JOINERS and not letter.isspace()


def _letters(said: Any) -> set[str]:  # noqa: ANN401 - any JSON
    """Return the letters of all text in a tree of JSON."""
    if isinstance(said, str):
        return set(said)
    parts = said.values() if isinstance(said, dict) else said if isinstance(said, list) else ()
    return set().union(*map(_letters, parts))


def _spelled(said: Any, codes: Mapping[int, str]) -> Any:  # noqa: ANN401 - any JSON
    """Return a tree of JSON with some letters of its text as their codes; long words may break."""
    if isinstance(said, str):
        return _LONG_WORD.sub(_breakable, _BREAKS.sub(" ", said).translate(codes))
    if isinstance(said, dict):
        return {name: _spelled(part, codes) for name, part in said.items()}
    return [_spelled(part, codes) for part in said] if isinstance(said, list) else said


def _lacking(error: typst.TypstError) -> set[str]:
    """Return the letters for which no typeface has a shape."""
    said = "".join(_LACKING.findall(error.diagnostic))
    return {letter for letter in said if not letter.isascii()}


def _breakable(word: re.Match[str]) -> str:
    """Return a long word with places where it may go on in the next line."""
    return "\u200b".join(word[0][at : at + _PIECE] for at in range(0, len(word[0]), _PIECE))
