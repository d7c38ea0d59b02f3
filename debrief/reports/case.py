"""The teaching file: a case that a class replays, in one file that needs no network and asks for nothing.

Everything of the case is JSON under a digest; the script and the style run by their own, so that a changed
file says so or does nothing.
"""

import base64
import hashlib
import json
import re
from collections.abc import Sequence
from functools import cache
from html import escape
from pathlib import Path
from typing import Any

from debrief.model.contract import Report
from debrief.model.values import value_words
from debrief.picture.captions import named
from debrief.picture.theme import THEMES, variable
from debrief.reports.growing import Stretch, grow
from debrief.resources import shipped
from debrief.teaching.approval import Standing
from debrief.teaching.case import Case
from debrief.teaching.copy import PassedNote
from debrief.teaching.so_far import Step, so_far, told_at, what_if
from debrief.words import language, say

FORMAT = 1
"""Version of what a case holds; the script of a case shows this one alone."""
_HERE = Path(__file__).parent
_FONTS = {
    "latin": "U+0000-00FF, U+0131, U+0152-0153, U+02BB-02DF, U+2000-22FF, U+FEFF, U+FFFD",
    "latin-ext": "U+0100-0130, U+0132-0151, U+0154-02BA, U+1E00-1EFF",
}
_KEYS = ("play", "step", "mark", "speed", "ends", "choose", "reveal", "light", "full")
_SAID = ("play", "pause", "nothing_chosen", "which", "now", "at")
_UNTOLD = frozenset({"compression", "ventilation", "etco2", "compressions_start", "compressions_stop"})
_BLANK = re.compile(r"\{\{([\w.]+)\}\}")


def case_file(case: Case, stands: Standing = "draft", role: str = "") -> bytes:
    """Return a case as one HTML file; the same bytes for the same input.

    Parameters
    ----------
    case
        The case.
    stands, role
        Whether it was approved, and by whom, in words. No day is in the file.
    """
    data = _json(_content(case, stands, role))
    script, style = _read("case.js"), _style()
    return _filled(
        _read("case.html"),
        language=language().code,
        digest=hashlib.sha256(data.encode()).hexdigest(),
        policy=content_policy(style, script),
        style=style,
        script=script,
        data=data,
        keys="".join(
            f"<dt><kbd>{escape(say(f'case.pressed.{key}'))}</kbd></dt><dd>{escape(say(f'case.key.{key}'))}</dd>"
            for key in _KEYS
        ),
    ).encode()


def _content(case: Case, stands: Standing, role: str) -> dict[str, Any]:
    """Return all that a case shows: of an event nothing but times from its start and words of ours."""
    report = case.report
    stretches = grow(report)
    steps = so_far(report)
    return {
        "format": FORMAT,
        "title": case.called,
        "goals": case.goals,
        "invented": " ".join(_about(case)),
        "standing": say(f"case.standing_{stands}", role=role, edition=case.report["edition"]),
        "start": stretches[0].start,
        "end": stretches[-1].end,
        "stretches": [_drawn(stretch) for stretch in stretches],
        "steps": {name: [_row(step) for step in track] for name, track in steps.items()},
        "happened": [
            [one["time"], named(one)]
            for one in report["occurrences"]
            if _told(one["kind"], one["time"], stretches)
        ]
        + [[note.time, say("case.noted", text=note.text)] for note in case.notes if not _shown(note, report)],
        "questions": [
            {
                "at": min(max(one.at, stretches[0].start), stretches[-1].end),
                "prompt": one.prompt,
                "choices": one.choices,
                "reveal": one.reveal,
                "note": one.note,
                "whatIf": _what_if(report, one.at),
                "known": [told for track in steps.values() if (told := told_at(track, one.at))],
            }
            for one in case.questions
        ],
        "whatIf": _what_if(report, stretches[-1].end),
        "words": {name: say(f"case.{name}") for name in _SAID},
    }


def _what_if(report: Report, at: float) -> list[str]:
    """Return in sentences what the share of hands-on time would be by a moment, had pauses been shorter."""
    return [
        say("case.what_if", limit=limit, value=value_words(share, "1"))
        for limit, share in what_if(report, at)
    ]


def _shown(note: PassedNote, report: Report) -> bool:
    """Tell whether a note stands on the timeline as what its mark is."""
    return any(note.mark in one["marks"] and note.text == one["detail"] for one in report["occurrences"])


def _about(case: Case) -> list[str]:
    invented = [say("pages.invented")] if case.invented else []
    return [*invented, *([say("case.elsewhere")] if case.elsewhere else [])]


def _told(kind: str, time: float, stretches: Sequence[Stretch]) -> bool:
    return kind not in _UNTOLD and stretches[0].start <= time <= stretches[-1].end


def _drawn(stretch: Stretch) -> dict[str, Any]:
    picture = stretch.picture
    return {
        "start": stretch.start,
        "end": stretch.end,
        "width": picture.width,
        "height": picture.height,
        "left": picture.left,
        "right": picture.right,
        "axis": picture.axis_y,
        "ground": stretch.ground,
        "marks": stretch.marks,
    }


def _row(step: Step) -> list[object]:
    return [step.time, step.lead, step.value, step.tail, step.since]


def _json(value: object) -> str:
    """Return JSON that can stand in HTML: no tag can begin in it."""
    return json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":")).replace(
        "<", "\\u003c"
    )


def _filled(template: str, **given: str) -> str:
    """Return a page with its blanks filled: what is given as it is, every sentence escaped."""
    return _BLANK.sub(lambda blank: given[blank[1]] if blank[1] in given else escape(say(blank[1])), template)


def content_policy(style: str, script: str = "") -> str:
    """Return what a page may do: run this style and script, show what lies within it, and ask nobody."""
    scripts = f"script-src '{_hash(script)}'; " if script else ""
    return (
        f"default-src 'none'; {scripts}style-src '{_hash(style)}'; font-src data:; img-src data:; "
        "base-uri 'none'; form-action 'none'"
    )


def _hash(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


@cache
def _read(name: str) -> str:
    return (_HERE / name).read_text(encoding="utf-8")


@cache
def _style() -> str:
    """Return the style with its colours, the typeface within it."""
    faces = "".join(_face(name, letters) for name, letters in _FONTS.items())
    light, dim = (
        "".join(f"{variable(token)}:{colour};" for token, colour in THEMES[name].items()) for name in THEMES
    )
    colours = f':root{{{light}}}\n:root[data-theme="dim"]{{{dim}}}\n'
    paper = f"@media print{{:root,:root[data-theme]{{{light}--paper:#fff;}}}}\n"
    return faces + colours + paper + _read("case.css")


def _face(name: str, letters: str) -> str:
    """Return a part of the typeface as a rule of style that holds it."""
    path = shipped("assets") / "fonts" / f"atkinson-hyperlegible-next-{name}-wght-normal.woff2"
    inside = base64.b64encode(path.read_bytes()).decode()
    return (
        '@font-face{font-family:"Atkinson Hyperlegible Next";font-weight:200 800;'
        f'unicode-range:{letters};src:url(data:font/woff2;base64,{inside}) format("woff2")}}\n'
    )
