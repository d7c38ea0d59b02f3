"""What was done, above the spine: people and airway, drugs, shocks."""

from debrief import words
from debrief.model.contract import Dose, Occurrence
from debrief.picture.captions import amount_words, hover_words, label_words, plain, why_not_words
from debrief.picture.labels import Levels, label_width
from debrief.picture.outcomes import bounds_an_episode
from debrief.picture.plain import Label, Mark, Wedge
from debrief.picture.sheet import ROW_PX, Hanging, Sheet, hang
from debrief.words import say

WEDGE_PX = 58.0
"""How far a wedge stands above the spine."""
SHOCK_TEXT_PX = 13.0
_CHARGED_S = 60.0
_SHOCK_LANE = ("shock", "cardioversion")
_PEOPLE = ("people", "airway", "outcome", "other")


def lay_people(sheet: Sheet, occurrences: list[Occurrence], y: float) -> float:
    """Lay out people, airway and the rest; return where the lane ends. [px]"""
    hangings = []
    for occurrence in occurrences:
        kind = words.KINDS.get(occurrence["kind"])
        aside = occurrence["kind"] in {"note", "unmapped", "charge", "disarm", "analysis"}
        if not aside and (kind is None or kind.family not in _PEOPLE):
            continue
        if bounds_an_episode(sheet.report, occurrence) or _leads_to_shock(occurrence, occurrences):
            continue
        role = "mark_small" if aside else "mark"
        texts = (label_words(occurrence),)
        tone = "soft" if aside else "ink"
        hangings.append(Hanging(occurrence, texts, role, tone, "spread", "hairline", urgency=int(aside)))
    if not hangings:
        return y
    height = hang(sheet, "people", hangings, y, most_rows=5)
    sheet.lane("people", say("picture.lane.people"), y, y + height, "done")
    return y + height + 12


def _leads_to_shock(occurrence: Occurrence, occurrences: list[Occurrence]) -> bool:
    """Return whether this is a charge and its shock follows: the wedge then tells it, a dot stands beside."""
    at = occurrence["time"]
    return occurrence["kind"] == "charge" and any(
        one["kind"] in _SHOCK_LANE and 0 <= one["time"] - at <= _CHARGED_S for one in occurrences
    )


def lay_drugs(sheet: Sheet, occurrences: list[Occurrence], y: float) -> float:
    """Lay out drugs and access; return where the lane ends. [px]"""
    doses = {tuple(dose["marks"]): dose for dose in sheet.report["doses"]}
    hangings = []
    for occurrence in occurrences:
        if occurrence["kind"] == "drug":
            hangings.append(_dose(occurrence, doses.get(tuple(occurrence["marks"]))))
        elif occurrence["kind"] == "access":
            texts = (label_words(occurrence),)
            hangings.append(Hanging(occurrence, texts, "mark_small", "soft", "spread", "hairline", urgency=1))
    if hangings:
        height = hang(sheet, "drugs", hangings, y, most_rows=6)
    else:
        height = ROW_PX
        none_marked(sheet, "drugs", y + height / 2)
    sheet.lane("drugs", say("picture.lane.drugs"), y, y + height, "done")
    return y + height + 12


def none_marked(sheet: Sheet, lane: str, y: float) -> None:
    """Say that a lane holds nothing because nothing was marked."""
    x = max(sheet.scale.start, 0.0)
    sheet.labels.append(Label(f"lane:{lane}", x, y, "", say("picture.none_marked"), "soft", dx=8))


def _dose(occurrence: Occurrence, dose: Dose | None) -> Hanging:
    other = dose is not None and not dose["counted"]
    note = why_not_words(dose["why_not"] or "") if dose is not None else ""
    full = label_words(occurrence)
    drug = plain(occurrence["detail"] or "")
    texts = (full, drug) if drug and drug != full else (full,)
    role = "mark_drug_other" if other else "mark_drug"
    return Hanging(occurrence, texts, role, "ink", "spread_drug", "hairline_drug", note, urgency=int(other))


def lay_shocks(sheet: Sheet, occurrences: list[Occurrence], y: float, tip: float) -> float:
    """Lay out shocks as wedges whose tips end ``tip`` px below the top of the spine; return its top. [px]"""
    shocks = [occurrence for occurrence in occurrences if occurrence["kind"] in _SHOCK_LANE]
    scale = sheet.scale
    if not shocks:
        none_marked(sheet, "shocks", y + ROW_PX / 2)
        sheet.lane("shocks", say("picture.lane.shocks"), y, y + ROW_PX, "done")
        return y + ROW_PX + (42 if len(sheet.report["episodes"]) > 1 else 26)
    levels = Levels(3, scale.left - 6, scale.edge + 12, gap=5)
    rows: dict[str, int] = {}
    for occurrence in shocks:
        text = _energy(occurrence)
        half = label_width(text, "", SHOCK_TEXT_PX) / 2
        x = scale.px(occurrence["time"])
        free = (row for row in range(3) if levels.free(row, x - half, x + half, None))
        row = next(free, -1) if scale.shows(occurrence["time"]) else -1
        if row >= 0:
            levels.take(row, x - half, x + half, None)
            rows[occurrence["id"]] = row
    height = max(levels.used, 1) * ROW_PX
    top = y + height + WEDGE_PX
    for occurrence in shocks:
        name = f"occurrence:{occurrence['id']}"
        hover = hover_words(sheet.report, occurrence, sheet.written)
        marks = tuple(occurrence["marks"])
        time = occurrence["time"]
        sheet.spread(occurrence, "shocks", "spread_shock", top - WEDGE_PX + 5)
        sheet.items.append(
            Wedge(name, occurrence["kind"], "shocks", hover, marks, time, top - WEDGE_PX, top + tip)
        )
        if occurrence["id"] in rows:
            row_y = y + height - (rows[occurrence["id"]] + 0.5) * ROW_PX
            sheet.labels.append(
                Label(name, time, row_y, _energy(occurrence), "", "ink", SHOCK_TEXT_PX, "middle")
            )
        elif scale.shows(time):
            sheet.unplaced.append(name)
    for occurrence in occurrences:
        if _leads_to_shock(occurrence, occurrences):
            name, marks = f"occurrence:{occurrence['id']}", tuple(occurrence["marks"])
            hover = hover_words(sheet.report, occurrence, sheet.written)
            sheet.items.append(Mark(name, "mark_small", "shocks", hover, marks, occurrence["time"], top - 7))
            if scale.shows(occurrence["time"]):
                sheet.unplaced.append(name)
    sheet.lane("shocks", say("picture.lane.shocks"), y, top, "done", title_y=top - WEDGE_PX + 12)
    return top


def _energy(occurrence: Occurrence) -> str:
    return amount_words(occurrence) or label_words(occurrence)
