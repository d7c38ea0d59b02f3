"""What the sheet says, in order, as plain text: the report in, data for the typesetter out."""

from collections.abc import Sequence
from typing import Any

from debrief.model.contract import Report
from debrief.model.problems import Problem
from debrief.picture.captions import shortened
from debrief.picture.sentences import SHAPES, Sentence, head_line, sentences, summary_line, verdict_words
from debrief.picture.text import problem_text
from debrief.reports.spoken import Spoken
from debrief.words import say

_NAME, _CELL, _LINE, _SOURCE, _TEXT = 60, 120, 150, 201, 400
"""Longer names, cells, lines, sources and texts are cut, with an ellipsis. [letters]"""
_ALIKE = 70
"""Sources that begin alike this far are one, cited for several things. [letters]"""
_FILES = 6
_DIGEST = 12
_SEVERITIES = ("blocking", "check", "note")


def contents(report: Report, spoken: Spoken, confidentiality: str) -> dict[str, Any]:
    """Return what stands on the sheet of an event; each list in the order in which it is kept when cut."""
    event = report["event"]
    names = dict.fromkeys(str(name) for name in (event.get("unit"), event["event_id"]) if name)
    lead, colon, rest = shortened(head_line(report), _TEXT).partition(":")
    told = sorted(sentences(report), key=rank)
    return {
        "title": " · ".join(shortened(name, _NAME) for name in names),
        "about": shortened(summary_line(report), _TEXT),
        "unseen": [lead + colon, rest],
        "figures_title": say("sheet.figures"),
        "key": [[shape, verdict_words(verdict)] for verdict, shape in SHAPES.items()],
        "figures": [_figure(one) for one in told],
        "talk_title": say("sheet.talk"),
        "notes_title": say("sheet.notes"),
        "notes": [shortened(note, _TEXT) for note in spoken.notes],
        "points": [[shortened(part, _LINE) for part in point] for point in spoken.points],
        "actions_title": say("sheet.actions"),
        "action_columns": [say(f"sheet.action_{column}") for column in ("what", "owner", "due")],
        "actions": [[shortened(cell, _CELL) for cell in action] for action in spoken.actions],
        "problems_title": say("sheet.problems"),
        "no_problems": say("sheet.no_problems"),
        "problems": _problems(report),
        "sources": _sources(report, told),
        "caution": say("pages.caution"),
        "confidentiality": shortened(confidentiality, _TEXT),
        "made": _made(report),
        "more": say("sheet.more", count="{count}"),
    }


def rank(one: Sentence) -> tuple[bool, ...]:
    """Return where a sentence stands: judged, then told, then missing, each in the order of the talk."""
    judged = one.verdict in ("met", "not_met", "uncertain")
    return (one.verdict == "not_applicable", one.verdict == "no_data", not judged, not one.talk)


def _figure(one: Sentence) -> dict[str, str]:
    """Return a sentence. Why a verdict is uncertain, its bounds beside the target say already."""
    note = "" if one.verdict == "uncertain" else one.note
    return {
        "shape": one.shape,
        "lead": one.lead,
        "value": shortened(one.value, _LINE),
        "tail": one.tail,
        "bounds": one.bounds,
        "detail": shortened(" ".join(filter(None, (one.target, note))), _TEXT),
    }


def _problems(report: Report) -> list[str]:
    found = sorted(report["problems"], key=lambda one: _SEVERITIES.index(one["severity"]))
    return [shortened(problem_text(Problem(**one)), _TEXT) for one in found]


def _sources(report: Report, told: Sequence[Sentence]) -> list[str]:
    """Return the sources of what judges the figures told, in their order."""
    figures = {figure["name"]: figure for figure in report["figures"]}
    about = [figures[name] for one in told for name in one.figures if name in figures]
    targets = [
        target
        for figure in about
        for target in (figure["target"], *figure["other_targets"])
        if target and target["judged"] and target["verdict"] not in ("no_data", "not_applicable")
    ]
    cited: dict[str, str] = {}
    for one in targets:
        source = say("sheet.source", edition=one["edition"], citation=one["citation"])
        cited.setdefault(source[:_ALIKE], shortened(source, _SOURCE))
    return list(cited.values())


def _made(report: Report) -> list[str]:
    """Return how the sheet was made: edition, versions, settings, and what was read, by its digest."""
    asked = report["parameters"]
    inputs = [
        f"{shortened(entry['file'], _NAME)} {entry['sha256'][:_DIGEST]}"
        for entry in report["inputs"][:_FILES]
    ]
    if len(report["inputs"]) > _FILES:
        inputs.append(say("sheet.more_files", count=len(report["inputs"]) - _FILES))
    settings = "sheet.settings" if asked["draws"] else "sheet.settings_no_bounds"
    window = "" if asked["window"] == "whole" else say("sheet.window", window=asked["window"])
    lines = [
        say("sheet.targets", edition=report["edition"]),
        say("sheet.software", software=report["software"], definitions=report["definitions"]),
        say(settings, min_pause=f"{asked['min_pause_s']:g}", draws=asked["draws"]),
        window,
        say("sheet.inputs", files=", ".join(inputs)),
    ]
    return [line for line in lines if line]
