"""Where a case stops to ask: suggested from its figures by the rules of a table, or written by the educator.

A question is open or has choices; none of them is called right. The table is ``questions.toml``.
"""

import json
import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from debrief.errors import BadSetting
from debrief.model.contract import Dose, Occurrence, Report
from debrief.model.times import clock
from debrief.picture.captions import cause_words, length, named, rhythm_words
from debrief.teaching.so_far import LABELLED
from debrief.words import RHYTHMS, say

TABLE = Path(__file__).with_name("questions.toml")
MOST = 40
"""How many questions a file may hold."""
MOST_LETTERS = 2000
"""How long one text of a question may be."""
_APART_S = 5.0
"""Two suggested stops lie at least this far apart. [s]"""
_AFTER_S = 120.0
"""How long after a change of rhythm is told what was done. [s]"""
_NAMED = 12
_NEVER_NAMED = frozenset({"compression", "ventilation", "compressions_start", "compressions_stop"})
_KEYS: dict[str, type | tuple[type, ...]] = {
    "at": (str, int, float),
    "before": (int, float),
    "prompt": str,
    "reveal": str,
    "note": str,
}

Rule = Mapping[str, Any]


@dataclass(frozen=True)
class Question:
    """A stop. ``at`` is when [s]; ``reveal`` is what happened; ``note`` is for the presenter alone."""

    at: float
    prompt: str
    choices: tuple[str, ...] = ()
    reveal: str = ""
    note: str = ""


@cache
def rules() -> dict[str, Rule]:
    """Return the table of rules, in the order in which they choose."""
    return tomllib.loads(TABLE.read_text(encoding="utf-8"))


def suggested(report: Report) -> list[Question]:
    """Return the stops that the figures of an event suggest, in time order; none where nothing fits."""
    found: list[Question] = []
    for name, rule in rules().items():
        one = CHOOSE[rule["choose"]](report, name, rule)
        if one is not None and all(abs(one.at - other.at) >= _APART_S for other in found):
            found.append(one)
    return sorted(found, key=lambda question: question.at)


def read_questions(path: Path, report: Report) -> list[Question]:
    """Read an educator's questions, in TOML, in time order.

    Raises
    ------
    BadSetting
        Where the file cannot be read, or a question in it cannot be placed or is none.
    """
    try:
        table = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise BadSetting(say("case.no_file", file=path.name, error=error.strerror)) from None
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise BadSetting(say("case.no_toml", file=path.name, error=error)) from None
    rows = table.get("question")
    if (
        set(table) != {"question"}
        or not isinstance(rows, list)
        or not all(isinstance(row, dict) for row in rows)
    ):
        raise BadSetting(say("case.no_questions", file=path.name, read=", ".join(table) or "-"))
    if len(rows) > MOST:
        raise BadSetting(say("case.too_many", file=path.name, count=len(rows), most=MOST))
    read = [_read(f"{path.name}, {number}", row, report) for number, row in enumerate(rows, 1)]
    return sorted(read, key=lambda question: question.at)


def as_toml(questions: Sequence[Question]) -> str:
    """Return questions as a file that ``read_questions`` reads."""
    parts = [f"# {line}" for line in say("case.toml_head").splitlines()]
    for one in questions:
        choices = ", ".join(map(_quoted, one.choices))
        parts += [
            "",
            "[[question]]",
            f"at = {one.at:.3f}  # {clock(one.at)}",
            f"prompt = {_quoted(one.prompt)}",
            f"choices = [{choices}]",
            f"reveal = {_quoted(one.reveal)}",
            f"note = {_quoted(one.note)}",
        ]
    return "\n".join(parts)


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def _read(where: str, row: dict[str, Any], report: Report) -> Question:
    """Return one question of a file."""
    for key, value in row.items():
        known = key == "choices" or key in _KEYS
        fits = isinstance(value, list) if key == "choices" else known and isinstance(value, _KEYS[key])
        if not known or not fits or isinstance(value, bool):
            raise BadSetting(
                say("case.bad_key", where=where, key=key, read=value, keys=", ".join([*_KEYS, "choices"]))
            )
    choices = row.get("choices", [])
    texts = [row.get("prompt", ""), row.get("reveal", ""), row.get("note", ""), *choices]
    long = [text for text in texts if not isinstance(text, str) or len(text) > MOST_LETTERS]
    if long or not str(row.get("prompt", "")).strip():
        raise BadSetting(say("case.bad_text", where=where, most=MOST_LETTERS))
    at = moment_of(row.get("at"), report, where) - row.get("before", 0)
    return Question(at, row["prompt"], tuple(choices), row.get("reveal", ""), row.get("note", ""))


def moment_of(at: str | float | None, report: Report, where: str = "") -> float:
    """Return when a question stands: seconds, minutes and seconds, or a mark such as ``shock 2``. [s]

    Raises
    ------
    BadSetting
        Where that is no moment of the event; ``where`` it was read begins the sentence.
    """
    if isinstance(at, int | float):
        return float(at)
    text = (at or "").strip().casefold()
    minutes, _, seconds = text.rpartition(":")
    if minutes.isdecimal() and seconds.isdecimal() and int(seconds) < 60:
        return int(minutes) * 60.0 + int(seconds)
    marks = _marks(report)
    found = marks.get(text) or marks.get(f"{text} 1")
    if found is None:
        names = [name for name, one in marks.items() if one["kind"] not in _NEVER_NAMED][:_NAMED]
        raise BadSetting(say("case.no_moment", where=where, read=at, names=", ".join(names)))
    return found["time"]


def _marks(report: Report) -> dict[str, Occurrence]:
    """Return occurrences by kind, or by what was given or seen, and number: ``epinephrine 1``."""
    counts: dict[str, int] = {}
    found: dict[str, Occurrence] = {}
    for one in report["occurrences"]:
        for name in dict.fromkeys((one["kind"], *([one["detail"]] if one["detail"] else []))):
            counts[name] = counts.get(name, 0) + 1
            found[f"{name.replace('_', ' ').casefold()} {counts[name]}"] = one
    return found


def _asked(report: Report, name: str, rule: Rule, at: float, reveal: str, **blanks: object) -> Question:
    """Return the question of a rule, with what is asked of its figure for the presenter."""
    figure = next((one for one in report["figures"] if one["name"] == rule.get("figure")), None)
    note = say(f"case.note.{name}")
    if figure is not None and figure["target"] is not None:
        asked = figure["target"]
        note = f"{note} {say('case.asked', rule=asked['rule'], edition=asked['edition'])}"
    choices = tuple(say(f"case.choice.{choice}") for choice in rule.get("choices", ()))
    return Question(round(at, 3), say(f"case.question.{name}", **blanks), choices, reveal, note)


def _before_first(report: Report, name: str, rule: Rule) -> Question | None:
    """Ask before something is done for the first time."""
    those = [one for one in report["occurrences"] if one["kind"] == rule["kind"]]
    first = next((one for one in those if one["detail"] == rule.get("detail", one["detail"])), None)
    if first is None:
        return None
    reveal = say("case.reveal.first", what=_capital(named(first)), time=clock(first["time"]))
    shock = report["shocks"][0] if rule["kind"] == "shock" and report["shocks"] else None
    if shock is not None and shock["peri_shock_pause"]:
        reveal += " " + say("case.reveal.around", length=length(shock["peri_shock_pause"]))
    return _asked(report, name, rule, first["time"] - rule["lead_s"], reveal)


def _longest_pause(report: Report, name: str, rule: Rule) -> Question | None:
    """Ask within the longest pause."""
    pause = max(report["pauses"], key=lambda one: one["length"], default=None)
    if pause is None or pause["length"] < rule["least_s"]:
        return None
    blanks = {"length": length(pause["length"]), "end": clock(pause["end"])}
    key = "longest_pause" if pause["cause"] == "unexplained" else "longest_pause_for"
    reveal = say(f"case.reveal.{key}", cause=cause_words(pause["cause"]), **blanks)
    off = length(rule["lead_s"])
    return _asked(report, name, rule, pause["start"] + rule["lead_s"], reveal, length=off)


def _rhythm_change(report: Report, name: str, rule: Rule) -> Question | None:
    """Ask when the rhythm of an arrest has changed to another one."""
    before: str | None = None
    for one in report["occurrences"]:
        known = RHYTHMS.get(one["detail"] or "")
        if one["kind"] not in LABELLED or known is None or not known.arrest:
            continue
        if before is not None and known.name != before:
            break
        before = known.name
    else:
        return None
    done = [
        f"{named(other)} {clock(other['time'])}"
        for other in report["occurrences"]
        if 0 < other["time"] - one["time"] <= _AFTER_S
        and other["kind"] in {"shock", "drug", "airway", "access", "rosc"}
    ]
    reveal = say("case.reveal.then", what=", ".join(done)) if done else say("case.reveal.then_nothing")
    return _asked(report, name, rule, one["time"], reveal, rhythm=rhythm_words(known.name))


def _longest_gap(report: Report, name: str, rule: Rule) -> Question | None:
    """Ask within the longest gap between two doses of a drug."""
    doses: list[tuple[float, Dose]] = [
        (dose["gap"], dose)
        for dose in report["doses"]
        if dose["drug"] == rule["drug"] and dose["gap"] is not None
    ]
    gap, dose = max(doses, key=lambda one: one[0], default=(0.0, None))
    if dose is None or gap < rule["least_s"]:
        return None
    after = min(rule["lead_s"], gap - _APART_S)
    reveal = say("case.reveal.dose_gap", gap=clock(gap), time=clock(dose["time"]))
    return _asked(report, name, rule, dose["time"] - gap + after, reveal, after=clock(after))


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


CHOOSE: dict[str, Callable[[Report, str, Rule], Question | None]] = {
    "before_first": _before_first,
    "longest_pause": _longest_pause,
    "rhythm_change": _rhythm_change,
    "longest_gap": _longest_gap,
}
"""How a rule finds its moment."""
