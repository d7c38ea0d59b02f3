"""A slow, obvious second reading of the definitions: one event, half a second at a time.

`reference` measures what `tests/reference_course.py` has structured. Where the definitions leave a choice,
the reading taken stands at a comment that begins with "Reading:".
"""

from itertools import pairwise
from statistics import median

from debrief.words import ADVANCED_AIRWAYS, UNITS
from tests.reference_course import (
    LABELS,
    STARTS,
    TICKS,
    arrest_labels,
    cause_of,
    episode_of,
    first,
    first_rhythm,
    laid_out,
    stretches,
)
from tests.reference_more import more


def shock_pauses(time, episode, hands, covered, instants):
    """Return the pauses before and after a shock, in ticks; None where there is none or it cannot be told."""
    start, end = episode

    def held(at):
        return at - 1 in hands and at in hands

    def touched(at):
        return at in instants

    if held(time) or touched(time):
        return 0, 0
    before = after = None
    at = time
    while at > start and at - 1 in covered:
        if at - 1 in hands or touched(at):
            before = time - at
            break
        at -= 1
    at = time
    while at <= end and (at in covered or touched(at)):
        if at in hands or touched(at):
            after = at - time
            break
        at += 1
    return before, after


def why_not(mark, found):
    """Return why a dose is not counted, or None where it is."""
    if mark["unit"] and UNITS[mark["unit"]].dimension.startswith("rate"):
        return "infusion"
    if mark["route"] not in (None, "iv", "io"):
        return "infusion" if mark["route"] == "infusion" else "route"
    if any(start <= mark["time"] <= end for start, end, *_ in found):
        return None
    return "before" if mark["time"] < found[0][0] else "after"


def reference(marks, min_pause_s=1.0, *, population="adult", weight_kg=None, window_s=None):
    """Measure one event: figures in seconds from time zero, and lists that stand in time order.

    Times of the marks are seconds from any origin, in whole halves; lengths and `cell` are in seconds.
    """
    min_pause = min_pause_s * TICKS
    laid = laid_out(marks, min_pause, window_s)
    marks, found, hands, covered, instants = (
        laid.marks,
        laid.episodes,
        laid.hands,
        laid.covered,
        laid.instants,
    )
    measured = bool(laid.measuring)
    answer = {
        "time_zero_basis": laid.basis,
        "episodes": [
            {"start": s / TICKS, "end": e / TICKS, "opened_by": o, "closed_by": c, "implied": i}
            for s, e, o, c, i in found
        ],
        "first_rhythm": first_rhythm(marks),
    }
    figures = answer["figures"] = {}
    answer |= hands_on_figures(figures, laid, min_pause)
    answer["by_minute"] = by_minute(marks, laid.asked, hands, covered, instants, min_pause)
    # Reading: a compression that stands alone over 120 s from any other is nothing to measure a pause from.
    instants = {at for at in instants if any({at, at - 1} & channel[3] for channel in laid.measuring)}
    answer["shocks"] = shock_figures(figures, marks, found, laid.windows, hands, covered, instants, measured)
    answer["doses"] = dose_figures(figures, marks, found, answer["shocks"], laid.runs if measured else None)
    time_figures(figures, marks, found, laid.first_compression)
    more(answer, laid, min_pause, population, weight_kg)
    return answer


def hands_on_figures(figures, laid, min_pause):
    """Add fractions, coverage and pauses.

    Reading: a covered hands-off stretch shorter than the least pause counts as hands-on at a window's edge
    too, but not before the first compression. Reading: `last_compression_to_end` is that of the last
    episode, from its window's end.
    """
    marks, found, looked, measured = laid.marks, laid.episodes, laid.asked, bool(laid.measuring)
    hands, covered, instants = laid.hands, laid.covered, laid.instants
    inside, pauses = set(), []
    for number, window in enumerate(looked):
        if window is None:
            continue
        ticks_inside = set(range(*window))
        inside |= ticks_inside
        for start, end in stretches((ticks_inside & covered) - hands, instants):
            if end - start >= min_pause:
                cause, also = cause_of((start, end), marks)
                pauses.append({"start": start, "end": end, "cause": cause, "also": also, "episode": number})
    lengths = [pause["end"] - pause["start"] for pause in pauses]

    known, off = len(inside & covered), sum(lengths)
    early = looked[0][0] if looked[0] else 0
    seen = measured and known > 0
    begun = first(marks, *STARTS, "compression") is not None
    figures["chest_compression_fraction"] = (known - off) / known if seen else None
    figures["chest_compression_fraction_from_recognition"] = (known - off) / (known + early) if seen else None
    figures["compression_coverage"] = known / len(inside) if inside and begun else None
    figures["hands_off_time"] = off / TICKS if seen else None
    figures["longest_pause"] = max(lengths, default=0) / TICKS if seen else None
    figures["median_pause"] = median(lengths) / TICKS if lengths and seen else None
    for limit in (10, 20):
        figures[f"pauses_over_{limit}_s"] = sum(n > limit * TICKS for n in lengths) if seen else None
    rest = found[-1][1] - laid.windows[-1][1] if laid.windows[-1] else None
    figures["last_compression_to_end"] = rest / TICKS if measured and rest is not None else None
    total = sum(end - start for start, end, *_ in found) / TICKS
    figures["pulseless_time"] = figures["time_in_arrest"] = total
    for pause in pauses:
        pause |= {"start": pause["start"] / TICKS, "end": pause["end"] / TICKS}
    return {"pauses": pauses if seen else []}


def by_minute(marks, looked, hands, covered, instants, min_pause):
    """Return each minute from the first compression to the end of the last window.

    Reading: the minute's longest pause is the longest part of a pause that lies in it, and a whole pause
    shorter than the least pause is none; a part of a pause may be shorter.
    """
    kept = [window for window in looked if window]
    inside = {tick for window in kept for tick in range(*window)}
    on = inside & hands
    for window in kept:
        for start, end in stretches((set(range(*window)) & covered) - hands, instants):
            if end - start < min_pause:
                on |= set(range(start, end))
    singles = [mark["time"] for mark in marks if mark["kind"] == "compression"]
    rows = []
    for start in range(kept[0][0], kept[-1][1], 60 * TICKS) if kept else ():
        end = min(start + 60 * TICKS, kept[-1][1])
        minute = set(range(start, end))
        known = minute & inside & covered
        parts = [e - s for s, e in stretches(known - on, instants)]
        rows.append(
            {
                "start": start / TICKS,
                "end": end / TICKS,
                "fraction": len(known & on) / len(known) if known else None,
                "longest_pause": max(parts, default=0) / TICKS if known else None,
                "coverage": len(known) / len(minute & inside) if minute & inside else 0.0,
                "delivered": sum(start <= time < end + (end == kept[-1][1]) for time in singles)
                if singles
                else None,
            }
        )
    return rows


def shock_figures(figures, marks, found, looked, hands, covered, instants, measured):
    """Add shock pauses, intervals and energy. Shocks inside an episode count.

    Reading: `shock_interval` is the median of the gaps between shocks of one episode.
    """
    rows = []
    for mark in marks:
        if mark["kind"] != "shock":
            continue
        number, pre, post = episode_of(mark["time"], found), None, None
        if measured and number is not None:
            pre, post = shock_pauses(mark["time"], found[number][:2], hands, covered, instants)
        rows.append(
            {
                "time": mark["time"] / TICKS,
                "energy": mark["amount"],
                "episode": number,
                "pre_shock_pause": None if pre is None else pre / TICKS,
                "post_shock_pause": None if post is None else post / TICKS,
                "peri_shock_pause": None if pre is None or post is None else (pre + post) / TICKS,
            }
        )
    for name in ("pre_shock_pause", "post_shock_pause", "peri_shock_pause"):
        values = [row[name] for row in rows if row[name] is not None]
        figures[f"{name}_median"] = median(values) if values else None
        figures[f"{name}_max"] = max(values, default=None)
    counted = [row for row in rows if row["episode"] is not None]
    before = [hands_off_before(row, looked, hands, covered) for row in counted] if measured else []
    before = [seconds for seconds in before if seconds is not None]
    figures["hands_off_before_shock_median"] = median(before) if before else None
    figures["hands_off_before_shock_max"] = max(before, default=None)
    gaps = [b["time"] - a["time"] for a, b in pairwise(counted) if a["episode"] == b["episode"]]
    figures["shock_interval"] = median(gaps) if gaps else None
    figures["first_shock_energy"] = next((row["energy"] for row in rows if row["episode"] == 0), None)
    return rows


def hands_off_before(shock, looked, hands, covered):
    """Return hands-off in the 30 s before a shock, or None where less of its window than that is seen. [s]"""
    end = round(shock["time"] * TICKS)
    asked = set(range(end - 30 * TICKS, end))
    window = looked[shock["episode"]]
    if window is None or not asked <= covered & set(range(*window)):
        return None
    return len(asked - hands) / TICKS


def dose_figures(figures, marks, found, shocks, runs):
    """Add epinephrine gaps and averages.

    Reading: up to three shocks without a compression between them count once before epinephrine, also before
    the first compression; both are those of the first episode. Without hands-on time each counts. Reading:
    the averages run over arrest seconds, those between episodes left out, from the first counted dose to the
    end of the event.
    """
    rows, latest = [], {}
    for mark in marks:
        if mark["kind"] != "drug":
            continue
        reason = why_not(mark, found)
        number = episode_of(mark["time"], found)
        gap = None
        if reason is None:
            before = latest.get((mark["detail"], number))
            gap = None if before is None else (mark["time"] - before) / TICKS
            latest[mark["detail"], number] = mark["time"]
        rows.append(
            {
                "time": mark["time"] / TICKS,
                "drug": mark["detail"],
                "dose": mark["amount"],
                "counted": reason is None,
                "why_not": reason,
                "gap": gap,
                "episode": number,
            }
        )
    counted = [row for row in rows if row["drug"] == "epinephrine" and row["counted"]]
    gaps = [row["gap"] for row in counted if row["gap"] is not None]
    figures["epinephrine_interval_median"] = median(gaps) if gaps else None
    figures["epinephrine_interval_in_range"] = (
        sum(180 <= gap <= 300 for gap in gaps) / len(gaps) if gaps else None
    )
    n = len(counted)
    begun = counted[0]["time"] * TICKS if counted else 0
    after = sum(max(0, end - max(start, begun)) for start, end, *_ in found) / TICKS
    figures["epinephrine_average_period"] = after / (n - 1) if n > 1 else None
    figures["epinephrine_average_interval"] = after / n if n else None
    begun = next((row["time"] for row in counted if row["episode"] == 0), None)
    shocks = [shock for shock in shocks if shock["episode"] == 0]
    earlier = [shock["time"] * TICKS for shock in shocks if begun is not None and shock["time"] < begun]
    count, stack = 0, 0
    for number, time in enumerate(earlier):
        last = earlier[number - 1] if number else time
        stacked = number and runs is not None and not any(s < time and e > last for s, e in runs if s < e)
        stack = stack % 3 + 1 if stacked else 1
        count += stack == 1
    figures["shocks_before_epinephrine"] = count if shocks and begun is not None else None
    figures["time_to_first_epinephrine"] = begun
    return rows


def time_figures(figures, marks, found, first_compression):
    """Add first times and end states.

    Reading: where compressions began before time zero, the time to the first does not apply; other first
    times are those of the first mark inside the first episode, whatever came before it. Reading:
    `time_to_rosc` is the mark's time, also where compressions ran across it. Reading: without a ROSC,
    `any_rosc` is false where the end of efforts is marked, else not known.
    """

    def in_first(times):
        return min((time / TICKS for time in times if 0 <= time <= found[0][1]), default=None)

    def of(kind):
        return [mark["time"] for mark in marks if mark["kind"] == kind]

    airways = [m["time"] for m in marks if m["kind"] == "airway" and m["detail"] in (None, *ADVANCED_AIRWAYS)]
    figures["time_to_first_compression"] = in_first([] if first_compression is None else [first_compression])
    figures["time_to_first_shock"] = in_first(of("shock"))
    figures["time_to_advanced_airway"] = in_first(airways)
    figures["time_to_rosc"] = in_first(of("rosc"))
    again = found[1][:2] if len(found) > 1 else None
    for name, times in (
        ("first_compression", [mark["time"] for mark in marks if mark["kind"] in (*STARTS, "compression")]),
        ("first_shock", of("shock")),
        ("advanced_airway", airways),
        ("rosc", of("rosc")),
    ):
        later = [time - again[0] for time in times if again and again[0] <= time <= again[1]]
        figures[f"rearrest_to_{name}"] = min(later) / TICKS if later else None
    rosc = min((m["time"] for m in marks if m["kind"] == "rosc" and m["time"] >= 0), default=None)
    call, team = first(marks, "call"), first(marks, "team_arrival")
    known = call is not None and team is not None and team >= call
    figures["call_to_team_arrival"] = (team - call) / TICKS if known else None
    # Reading: the onset is the first arrest rhythm labelled before recognition; where no recognition is
    # marked, the arrest was recognised at time zero.
    recognition, label = first(marks, "recognition"), first(arrest_labels(marks), *LABELS)
    recognition = 0 if recognition is None else recognition
    known = label is not None and label < recognition
    figures["onset_to_recognition"] = (recognition - label) / TICKS if known else None

    ended = any(closed_by == "efforts_ended" for *_, closed_by, _ in found)
    figures["any_rosc"] = True if rosc is not None else False if ended else None
    followed = [
        (found[n + 1][0] if n + 1 < len(found) else marks[-1]["time"]) - end
        for n, (_, end, _, closed_by, _) in enumerate(found)
        if closed_by == "rosc"
    ]
    sustained = any(after >= 20 * 60 * TICKS for after in followed)
    told = found[-1][3] == "efforts_ended"
    figures["sustained_rosc"] = True if sustained else False if told else None
    stop = rosc if rosc is not None else found[-1][1]
    known = first_compression is not None and stop >= first_compression
    figures["resuscitation_duration"] = (stop - first_compression) / TICKS if known else None
