"""From files to cases: one file each, an index of several, a picture for slides."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from html import escape
from pathlib import Path

from debrief.assess import Asked, assess_event
from debrief.errors import BadSetting
from debrief.importers import Settings, read_event
from debrief.model.contract import Report
from debrief.model.times import clock
from debrief.picture.captions import rhythm_words
from debrief.picture.layout import lay_out
from debrief.picture.svg import paint_for_paper
from debrief.picture.theme import THEMES, variable
from debrief.reports.case import content_policy
from debrief.reports.making import is_invented
from debrief.reports.typeset import picture_of
from debrief.resources import shipped
from debrief.teaching.case import Case
from debrief.teaching.copy import TeachingCopy, teaching_copy
from debrief.teaching.notes import notes_of
from debrief.words import language, say

_PICTURE_PX = 1000


def copy_of(
    paths: Sequence[Path],
    settings: Settings,
    asked: Asked,
    passed: Mapping[str, str | None] | None = None,
) -> tuple[TeachingCopy, bool]:
    """Read, measure and judge one event; return its teaching copy, and whether nothing of it happened.

    Parameters
    ----------
    paths, settings, asked
        The event, and how to read and measure it.
    passed
        The marks whose notes a reviewer passed, and the text where it was rewritten; null: as it stands.

    Raises
    ------
    DebriefError
        Where it cannot be read or measured, or there is no note at a mark.
    """
    event = read_event(paths, settings)
    report = assess_event(event, asked).to_dict()
    written = {note.mark: note.text for note in notes_of(event)}
    for mark in passed or {}:
        if mark not in written:
            raise BadSetting(say("case.no_note", read=mark, marks=", ".join(written) or "-"))
    notes = {mark: written[mark] if text is None else text for mark, text in (passed or {}).items()}
    came_along = any(path.resolve().is_relative_to(shipped("sample_events").resolve()) for path in paths)
    return teaching_copy(report, passed_notes=notes), came_along or is_invented(
        report["event"].get("setting")
    )


def picture(report: Report, form: str) -> bytes:
    """Return the whole timeline of a teaching copy for a slide, as ``svg`` or ``png``."""
    laid = lay_out(report, width=_PICTURE_PX)
    bare = replace(laid, items=tuple(replace(item, id="", hover="", marks=()) for item in laid.items))
    drawn = paint_for_paper(bare)
    return drawn.encode() if form == "svg" else picture_of(drawn)


def index_page(cases: Sequence[tuple[str, Case]]) -> bytes:
    """Return a page that opens cases, each by the name of its file."""
    colours = "".join(f"{variable(token)}:{colour};" for token, colour in THEMES["light"].items())
    style = f":root{{{colours}}}{_STYLE}"
    rows = "".join(
        f'<li><a href="{escape(name)}">{escape(case.called)}</a><p>{escape(_facts(case))}</p></li>'
        for name, case in cases
    )
    page = (
        f'<!doctype html><html lang="{language().code}"><head><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" content="{content_policy(style)}">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escape(say('case.cases'))}</title><style>{style}</style></head>"
        f"<body><main><h1>{escape(say('case.cases'))}</h1><ol>{rows}</ol></main>"
        f"<footer>{escape(say('pages.caution'))}</footer></body></html>\n"
    )
    return page.encode()


def _facts(case: Case) -> str:
    first = case.report["first_rhythm"]
    blanks = {"length": clock(case.report["end"]["time"]), "questions": len(case.questions)}
    if first is None:
        facts = say("case.case_facts_no_rhythm", **blanks)
    else:
        facts = say("case.case_facts", rhythm=rhythm_words(first["rhythm"]), **blanks)
    return " ".join([facts, *([say("pages.invented")] if case.invented else []), *case.goals])


_STYLE = (
    "body{max-width:46rem;margin:0 auto;padding:2rem 1.4rem;background:var(--paper);color:var(--ink);"
    'font:1.1rem/1.4 "Atkinson Hyperlegible Next",Verdana,"DejaVu Sans",sans-serif}'
    "ol{list-style:none;padding:0}li{border-top:1px solid var(--rule);padding:.7rem 0}"
    "a{color:inherit;font-size:1.3rem;font-weight:700;text-decoration-color:var(--hands-on)}"
    "p{margin:.2rem 0;color:var(--soft)}footer{border-top:1px solid var(--ink);padding-top:.6rem;"
    "font-size:.85rem;color:var(--soft)}"
)
