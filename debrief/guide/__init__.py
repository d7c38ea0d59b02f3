"""The guide: how each figure is computed and who asks what of it, and pages of help, as plain data.

An entry is joined from the records that the code itself uses: the measure, its words, the targets of all
editions, the sentences for what is missing. Only the formula in words and what papers say stand here.
"""

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from math import exp
from pathlib import Path
from typing import Any

from debrief import targets, words
from debrief.assess import DRAWS
from debrief.assess.findings import COVERED_AT_LEAST, HIGH, LOW
from debrief.clocks.checks import STALE_DAYS
from debrief.clocks.drift import DRIFT_US, STEP_US
from debrief.clocks.lateness import LAG_S, LONGEST_LAG_S
from debrief.clocks.matching import CLEAR
from debrief.clocks.readings import READING_US
from debrief.cohorts import points, rare, runs, shewhart
from debrief.cohorts.cohort import NIGHT_FROM, NIGHT_TO
from debrief.cohorts.trends import ENOUGH_MISSES, ENOUGH_POINTS
from debrief.errors import BadSetting
from debrief.guide import costs
from debrief.importers.limits import MAX_BYTES
from debrief.measures import BY_SUBJECT, MEASURES, Why
from debrief.model.times import US, to_s
from debrief.targets.row import KINDS
from debrief.words import say

FOLDER = Path(__file__).parent / "english"

PAGES = ("files", "certainty", "clocks", "talk", "teaching", "trends", "reports", "national", "limits")
"""The pages of help, in the order in which they are read: Markdown files in ``english/``."""

_EACH = {
    "shocks": ("pre_shock_pause", "post_shock_pause", "peri_shock_pause"),
    "drugs": ("epinephrine_interval",),
}
"""What is judged of a single shock or gap, before the figures of its subject."""

GROUPS: dict[str, tuple[str, ...]] = {
    group: (
        *_EACH.get(group, ()),
        *(measure.name for measure in measures),
        *(("completeness",) if group == "outcome" else ()),
    )
    for group, measures in BY_SUBJECT.items()
}
"""The figures of the guide by subject: those of an event, and those of a single shock or gap."""

_MEASURES = {measure.name: measure for measure in MEASURES}
_UNITS = {measure.name: measure.unit for measure in MEASURES} | {"completeness": "1"}


@dataclass(frozen=True)
class Asked:
    """A target in words: ``line`` says what, of whom, by whom and whether it judges; ``source`` cites it."""

    id: str
    line: str
    source: str
    editions: tuple[str, ...]


@dataclass(frozen=True)
class Entry:
    """How one figure is computed. All but ``name`` and ``group`` are for reading."""

    name: str
    group: str
    title: str
    unit: str
    definition: str
    formula: str
    variants: tuple[str, ...]
    asked: tuple[Asked, ...]
    missing: tuple[str, ...]


@dataclass(frozen=True)
class Block:
    """A piece of a page: a heading, a paragraph, a list with one text an item, or a table of ``rows``."""

    kind: str
    texts: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...] = ()


@dataclass(frozen=True)
class Page:
    """A page of help. ``slug`` names it in an address."""

    slug: str
    title: str
    blocks: tuple[Block, ...]


def figures() -> tuple[str, ...]:
    """Return the names of all figures that the guide explains, by subject."""
    return tuple(name for group in GROUPS.values() for name in group)


def figure_entry(name: str, editions: Sequence[str] = ()) -> Entry:
    """Return how a figure is computed, and what the editions ask of it.

    Parameters
    ----------
    name
        The figure.
    editions
        Whose targets to tell; none for all editions.

    Raises
    ------
    BadSetting
        Where there is no such figure or edition; what is near is named.
    """
    if name not in figures():
        near = get_close_matches(name, (*figures(), *PAGES), 3, 0.3) or PAGES
        raise BadSetting(say("guide.unknown", read=name, near=", ".join(near)))
    text = _text(name)
    measure = _MEASURES.get(name)
    reasons = [*text.get("missing", ()), *([Why.NEWBORN.name.lower()] if measure and measure.hands else ())]
    return Entry(
        name=name,
        group=next(group for group, names in GROUPS.items() if name in names),
        title=say(f"figures.{name}.title"),
        unit=say(f"guide.unit.{_UNITS.get(name, 's')}"),
        definition=say(f"figures.{name}.definition"),
        formula=text["formula"],
        variants=tuple(text.get("variants", ())),
        asked=_asked(name, editions or targets.editions()),
        missing=tuple(say(f"because.{reason}") for reason in reasons),
    )


@cache
def pages() -> tuple[Page, ...]:
    """Return the pages of help. Numbers in them are those that the code uses."""
    numbers = {
        "lag_s": round(LAG_S),
        "draws": DRAWS,
        "low": f"{LOW * 100:g}",
        "high": f"{HIGH * 100:g}",
        "coverage": f"{COVERED_AT_LEAST * 100:g}",
        "most_mb": MAX_BYTES // 1_000_000,
        "reading_s": READING_US // US,
        "drift_s": DRIFT_US // US,
        "bend_s": f"{to_s(DRIFT_US) / 4:g}",
        "step_s": STEP_US // US,
        "stale_days": f"{STALE_DAYS:g}",
        "late_s": f"{LONGEST_LAG_S:g}",
        "clear": f"{exp(CLEAR):.0f}",
        "measured": _measured(),
        "night_from": f"{NIGHT_FROM:%H:%M}",
        "night_to": f"{NIGHT_TO:%H:%M}",
        "e2": shewhart.E2,
        "d4": shewhart.D4,
        "shift": points.SHIFT,
        "trend": points.TREND,
        "run_shift": runs.SHIFT,
        "run_trend": runs.TREND,
        "tail": f"{rare.TAIL * 100:g}",
        "other_tail": f"{100 - rare.TAIL * 100:g}",
        "power": rare.POWER,
        "enough": ENOUGH_POINTS,
        "few": ENOUGH_MISSES,
        **costs.numbers(),
    }
    return tuple(
        _page(slug, (FOLDER / f"{slug}.md").read_text(encoding="utf-8").format(**numbers)) for slug in PAGES
    )


def _measured() -> str:
    """Return how well clocks were put right on invented events, as a table in Markdown."""
    table = tomllib.loads((Path(__file__).parent / "clock_table.toml").read_text(encoding="utf-8"))
    keys = ("kind", "events", "inside_percent", "width_90_s", "error_median_s", "figures_inside_percent")
    lines = [[say(f"guide.clocks.{key}") for key in keys]]
    for row in table["rows"]:
        lines.append([say(f"guide.clocks.{row['kind']}"), *(f"{row[key]:,}" for key in keys[1:])])
    return costs.table(lines)


def _page(slug: str, text: str) -> Page:
    """Read Markdown of headings, paragraphs and lists; lines of one paragraph are joined."""
    title, *rest = (part.strip() for part in text.split("\n\n"))
    blocks = []
    for part in filter(None, rest):
        joined = " ".join(part.splitlines())
        if part.startswith("## "):
            blocks.append(Block("heading", (joined.removeprefix("## "),)))
        elif part.startswith("- "):
            items = "\n".join(part.splitlines()).removeprefix("- ").split("\n- ")
            blocks.append(Block("list", tuple(" ".join(item.split()) for item in items)))
        elif part.startswith("| "):
            rows = (line.strip("| ").split(" | ") for line in part.splitlines())
            blocks.append(Block("table", (), tuple(map(tuple, rows))))
        else:
            blocks.append(Block("paragraph", (joined,)))
    return Page(slug, title.removeprefix("# "), tuple(blocks))


@cache
def _texts() -> dict[str, dict[str, Any]]:
    return tomllib.loads((FOLDER / "figures.toml").read_text(encoding="utf-8"))


def _text(name: str) -> dict[str, Any]:
    """Return what is written of a figure, with what it takes from another."""
    own = _texts()[name]
    return {**_text(own["like"]), **own} if "like" in own else own


def _asked(name: str, editions: Sequence[str]) -> tuple[Asked, ...]:
    """Return the targets of editions on a figure, each once with the editions that hold it."""
    rows: dict[str, targets.TargetRow] = {}
    held: dict[str, list[str]] = {}
    for edition in editions:
        for row in targets.load(edition).targets:
            if row.speaks_of(name):
                rows[row.id] = row
                held.setdefault(row.id, []).append(edition)
    return tuple(
        Asked(
            id=row.id,
            line=say(
                "guide.ask",
                rule=row.rule[:1].upper() + row.rule[1:],
                whom=row.whom,
                by=row.edition,
                kind=say(f"guide.kind.{row.kind}"),
                how=say(f"guide.{'judges' if row.judges(name) else 'beside' if row.judged else 'memory'}"),
            ),
            source=f"{row.citation} {words.say(f'pages.basis_{row.basis}')}",
            editions=tuple(held[row.id]),
        )
        for row in sorted(rows.values(), key=lambda row: KINDS.index(row.kind))
    )
