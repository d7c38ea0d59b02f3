"""The words of an occurrence: its label on the picture, and what hovering over it tells."""

from collections.abc import Mapping
from datetime import datetime, timedelta

from debrief import words
from debrief.model.contract import Occurrence, Report
from debrief.model.times import clock
from debrief.model.values import number
from debrief.words import say


def length(seconds: float) -> str:
    """Return a length for reading: ``4.2 s``, ``61 s``, ``6:10`` from two minutes on."""
    if abs(seconds) >= 119.5:
        return clock(seconds)
    return f"{seconds:.0f} s" if seconds >= 9.95 or seconds == int(seconds) else f"{seconds:.1f} s"


def known(key: str, otherwise: str) -> str:
    """Return a sentence where the language table has it, else the text given."""
    return words.sentences().get(key, otherwise)


def plain(name: str) -> str:
    """Return a name of the vocabulary as words: ``sodium_bicarbonate`` as ``sodium bicarbonate``."""
    return known(f"picture.detail.{name}", name.replace("_", " "))


def kind_words(kind: str) -> str:
    """Return a kind of mark in words."""
    return known(f"picture.kind.{kind}", kind.replace("_", " "))


def cause_words(cause: str) -> str:
    """Return a cause of a pause in words."""
    return known(f"picture.cause.{cause}", cause.replace("_", " "))


def cause_in_short(cause: str) -> str:
    """Return a cause of a pause as it stands in the ribbon; empty where nothing explains it."""
    return known(f"picture.cause_short.{cause}", "")


def why_not_words(why_not: str) -> str:
    """Return why a dose was not counted, in words."""
    return known(f"picture.why_not.{why_not}", why_not)


def rhythm_words(rhythm: str) -> str:
    """Return a rhythm in the short form that stands on the picture."""
    return known(f"picture.rhythm.{rhythm}", plain(rhythm))


def amount_words(occurrence: Occurrence) -> str:
    """Return amount and unit: ``300 mg``, ``94 %``; empty where no amount was written."""
    if occurrence["amount"] is None:
        return ""
    unit = occurrence["unit"] or ""
    return f"{number(occurrence['amount'])} {'%' if unit == 'percent' else unit}".strip()


def label_words(occurrence: Occurrence) -> str:
    """Return the words of an occurrence as they stand on the picture: ``epinephrine 1 mg``."""
    kind, detail, amount = occurrence["kind"], occurrence["detail"], amount_words(occurrence)
    what = plain(detail) if detail else ""
    if kind == "drug":
        name = what or kind_words(kind)
        if occurrence["route"] == "infusion":
            name = say("picture.infusion", drug=name)
        return f"{name} {amount}".strip()
    if kind == "access" and what:
        return say("picture.access_of", what=what)
    if kind == "airway_attempt" and what:
        return say("picture.attempt_at", what=what)
    if kind == "airway_confirmed" and what:
        return say("picture.airway_confirmed_by", method=what)
    if kind == "vital":
        return f"{what or kind_words(kind)} {amount}".strip()
    if kind in {"rhythm", "rhythm_check", "pulse_check"} and detail:
        return f"{kind_words(kind)}: {rhythm_words(detail)}"
    if kind == "airway" and what:
        return what
    if kind in {"note", "equipment_problem", "unmapped"} and what:
        return shortened(what, 28)
    if kind in {"charge", "etco2", "cardioversion"} and amount:
        return f"{kind_words(kind)} {amount}"
    return f"{kind_words(kind)}: {what}" if what and kind != "shock" else kind_words(kind)


def named(occurrence: Occurrence) -> str:
    """Return the words of an occurrence that stands by itself: a shock with its energy."""
    what = label_words(occurrence)
    return f"{what} {amount_words(occurrence)}".strip() if occurrence["kind"] == "shock" else what


def shortened(text: str, most: int) -> str:
    """Return a text of at most that many letters, an ellipsis where it was cut."""
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"


def wall_at(report: Report, seconds: float, *, with_seconds: bool = True) -> str:
    """Return the wall time at that many seconds from time zero: ``03:17:05``; empty where none is known."""
    wall = report["time_zero"]["wall"]
    if not wall:
        return ""
    start = datetime.fromisoformat(wall if "-" in wall else f"2000-01-01T{wall}")
    moment = start + timedelta(seconds=round(seconds))
    return moment.strftime("%H:%M:%S" if with_seconds else "%H:%M")


def hover_words(report: Report, occurrence: Occurrence, written: Mapping[str, str]) -> str:
    """Return the lines shown on hovering over an occurrence, parted by newlines."""
    what = label_words(occurrence)
    if occurrence["kind"] == "shock" and amount_words(occurrence):
        what = f"{what} {amount_words(occurrence)}"
    lines = [what[:1].upper() + what[1:]]
    wall = wall_at(report, occurrence["time"])
    at = clock(occurrence["time"])
    lines.append(
        say("picture.hover.at_wall", time=at, wall=wall) if wall else say("picture.hover.at", time=at)
    )
    if occurrence["high"] - occurrence["low"] >= 2:
        low, high = clock(occurrence["low"]), clock(occurrence["high"])
        lines.append(say("picture.hover.between", low=low, high=high))
    if occurrence["lead"] in written:
        lines.append(say("picture.hover.written", text=written[occurrence["lead"]]))
    if occurrence["length"]:
        lines.append(length(occurrence["length"]))
    source = occurrence["lead"].partition(":")[0]
    count = len(occurrence["marks"])
    key = "picture.hover.marks" if count > 1 else "picture.hover.one_mark"
    if source:
        lines.append(say(key, source=source, count=count))
    return "\n".join(lines)
