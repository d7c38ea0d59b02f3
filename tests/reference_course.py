"""A slow, obvious second reading of the definitions: one event, half a second at a time.

Nothing is shared with what it checks but the table of words. This half decides structure: hands-on, episodes,
windows. A mark is a dict with the keys `source`, `source_kind` (device, person or sensor), `kind`, `detail`,
`amount`, `unit`, `route`, `time`, `length` and `cell`; times here are whole ticks, and a stretch is a set of
ticks: tick `i` is the half second from `i` to `i + 1`.

Where the definitions leave a choice, the reading taken stands at a comment that begins with "Reading:".
"""

from itertools import pairwise
from types import SimpleNamespace

from debrief.words import ARREST_RHYTHMS, CAUSES, SHOCKABLE_RHYTHMS

TICKS = 2  # in a second
STARTS = {"compressions_start", "mechanical_start"}
STOPS = {"compressions_stop", "mechanical_stop"}
BEGINS = {*STARTS, "compression"}
CLOSING = {"rosc", "ecls_flow", "efforts_ended"}
LABELS = {"rhythm", "rhythm_check", "pulse_check", "analysis"}
SAID = {"advised": "shockable", "not_advised": "not_shockable"}


def stretches(chosen, cuts=()):
    """Return a set of ticks as sorted (start, end) pairs, cut where a compression without length stands."""
    found = []
    for tick in sorted(chosen):
        if found and found[-1][1] == tick and tick not in cuts:
            found[-1][1] = tick + 1
        else:
            found.append([tick, tick + 1])
    return [tuple(pair) for pair in found]


def once(marks):
    """Leave out what one source wrote twice: the same shock within 3 s, the same dose within 10 s.

    Reading: what is within reach of the row that was kept is the same; a third press 4 s after the first is
    not. Reading: a route not written, IV and IO are one route; a dose by another route is another dose.
    """
    kept = []
    for mark in marks:
        reach = {"shock": 3, "drug": 10}.get(mark["kind"], -1) * TICKS
        if not any(alike(mark) == alike(other) and mark["time"] - other["time"] <= reach for other in kept):
            kept.append(mark)
    return kept


def alike(mark):
    """Return what two rows must share to be the same thing written twice."""
    route = None if mark["route"] in ("iv", "io") else mark["route"]
    return mark["source"], mark["kind"], mark["detail"], mark["amount"], mark["unit"], route


def first(marks, *kinds):
    """Return the time of the first mark of these kinds, or None."""
    return min((mark["time"] for mark in marks if mark["kind"] in kinds), default=None)


def arrest_labels(marks):
    """Return the marks that carry an arrest rhythm; an analysis says shockable or not."""
    labels = [mark | {"detail": SAID.get(mark["detail"], mark["detail"])} for mark in marks]
    return [mark for mark in labels if mark["kind"] in LABELS and mark["detail"] in ARREST_RHYTHMS]


def time_zero(marks):
    """Return when the arrest is taken to begin, and by what.

    Reading: the first compression is the first start or single compression of any source. A `pulseless` after
    the first return of circulation is a later loss of pulse and says nothing about the start.
    """
    compression = first(marks, *STARTS, "compression")
    rosc = first(marks, "rosc")
    pulseless = first([mark for mark in marks if rosc is None or mark["time"] <= rosc], "pulseless")
    if pulseless is not None:
        if compression is not None and compression < pulseless:
            return compression, "poor_perfusion"
        return pulseless, "pulseless"
    if (recognition := first(marks, "recognition")) is not None:
        return recognition, "recognition"
    rhythm = first(arrest_labels(marks), *LABELS)
    candidates = [first(marks, "call"), compression, first(marks, "shock"), rhythm]
    seen = [time for time in candidates if time is not None]
    return (min(seen) if seen else marks[0]["time"]), "assumed"


def first_rhythm(marks):
    """Return the last arrest rhythm in the 60 s before time zero, else the first after it."""
    labels = arrest_labels(marks)
    before = [mark["detail"] for mark in labels if -60 * TICKS <= mark["time"] <= 0]
    after = [mark["detail"] for mark in labels if mark["time"] > 0]
    name = before[-1] if before else after[0] if after else None
    return name and {"rhythm": name, "shockable": name in SHOCKABLE_RHYTHMS}


# Hands-on --------------------------------------------------------------------------------


def runs_of_starts(mine, marks):
    """Return one source's starts and stops as (start, end), less its pauses of known length.

    A run that is never stopped ends at the next ROSC, extracorporeal flow or end of efforts, else at the
    source's last mark. Reading: so does one that is followed by another start after such a mark; a second
    start with none between says nothing new. Reading: any stop means hands off, whoever or whatever was
    compressing.
    """
    closings = [mark["time"] for mark in marks if mark["kind"] in CLOSING]
    starts = [mark["time"] for mark in mine if mark["kind"] in STARTS]
    stops = [mark["time"] for mark in mine if mark["kind"] in STOPS or stops_for_good(mark)]
    found = []
    for start in starts:
        closed = min((time for time in closings if time > start), default=mine[-1]["time"])
        stop = min((time for time in stops if time >= start), default=None)
        again = min((time for time in starts if time > start), default=None)
        if stop is not None and (again is None or stop <= again):
            found.append((start, stop))
        elif again is not None:
            found.append((start, min(closed, again) if closed > start else again))
        else:
            found.append((start, closed))
    paused = set()
    for mark in mine:
        if mark["kind"] == "pause" and not stops_for_good(mark):
            end = mark["time"] + mark["length"]
            resumed = min((time for time in starts if mark["time"] <= time < end), default=end)
            paused |= set(range(mark["time"], resumed))
    on = {tick for start, end in found for tick in range(start, end)}
    return stretches(on - paused) + [run for run in found if run[0] == run[1]]


def stops_for_good(mark):
    """Return whether a pause says no length, and so lasts until the next start."""
    return mark["kind"] == "pause" and not mark["length"]


def channels(marks, min_pause):
    """Return what each source says of compressions, best first: deaf or not, rank, runs, cover, name.

    Reading: a single compression written to the second is there for that second, whatever the least pause.
    Reading: "a stop or pause before the end" is one before the last ROSC, extracorporeal flow or end of
    efforts where no start, single compression or re-arrest comes after it; else before the last mark of
    all. Reading: a stop or pause of any source, inside a long gap between single compressions or within 3 s
    of it, explains it.
    """
    latest = marks[-1]["time"]
    closing = max((mark["time"] for mark in marks if mark["kind"] in CLOSING), default=None)
    active = max((m["time"] for m in marks if m["kind"] in BEGINS | {"rearrest"}), default=latest)
    end = closing if closing is not None and closing > active else latest
    interruptions = [mark["time"] for mark in marks if mark["kind"] in STOPS | {"pause"}]
    near, found = 3 * TICKS, []
    for source in dict.fromkeys(mark["source"] for mark in marks):
        mine = [mark for mark in marks if mark["source"] == source]
        singles = [mark for mark in mine if mark["kind"] == "compression"]
        if singles:
            whole = all(mark["cell"] == TICKS for mark in singles)
            fine = all(mark["cell"] <= min_pause / 4 for mark in singles)
            runs = [[m["time"], m["time"] + TICKS if whole else m["time"]] for m in singles]
            joined = runs[:1]
            for start, stop in runs[1:]:
                if start - joined[-1][1] < min_pause:
                    joined[-1][1] = max(stop, joined[-1][1])
                else:
                    joined.append([start, stop])
            cover = set(range(joined[0][0], joined[-1][1]))
            for (_, gap_start), (gap_end, _) in pairwise(joined):
                explained = any(gap_start - near <= time <= gap_end + near for time in interruptions)
                if gap_end - gap_start > 120 * TICKS and not explained:
                    cover -= set(range(gap_start, gap_end))
            found.append((not (whole or fine), 0, [tuple(run) for run in joined], cover, source))
        if begun := [mark["time"] for mark in mine if mark["kind"] in STARTS]:
            measures = any(m["kind"] in STOPS | {"pause"} and m["time"] < end for m in mine)
            rank = 1 if mine[0]["source_kind"] == "device" else 2
            cover = set(range(begun[0], latest + 1))
            found.append((not measures, rank, runs_of_starts(mine, marks), cover, source))
    return sorted(found, key=lambda channel: channel[:2])


def resolve(chosen, min_pause):
    """Return what the best source at each tick says: hands-on ticks, covered ticks, instants without length.

    A gap shorter than the least pause counts as hands-on.
    """
    hands, covered, instants = set(), set(), set()
    for _, _, runs, cover, _ in chosen:
        on = {tick for start, end in runs for tick in range(start, end)}
        hands |= (on & cover) - covered
        instants |= {start for start, end in runs if start == end and start not in covered}
        covered |= cover
    for start, end in stretches(covered - hands, instants):
        held = (start - 1 in hands or start in instants) and (end in hands or end in instants)
        if held and end - start < min_pause:
            hands |= set(range(start, end))
    return hands, covered, instants


def unheard(marks, deaf, covered):
    """Return the instants at which a source that measures nothing marks compressions.

    Reading: they count for structure where no source covers; where one covers, it alone is heard.
    """
    return {mark["time"] for mark in marks if mark["kind"] in BEGINS and mark["source"] in deaf} - covered


def episodes(marks, runs, begins):
    """Return the stretches of arrest from time zero (0): start, end, opened by, closed by, whether implied.

    Reading: compressions across a ROSC close the episode at their end however long they go on; "end within
    60 s" belongs to those that resume, and both are counted from the ROSC. Reading: a re-arrest is implied
    where a ROSC was the last close before it; it is closed by any ROSC, flow or end of efforts after it.
    Reading: a loss of pulse marked after a close is a re-arrest. Reading: a start of a source that measures
    nothing has no known end, so it never is a resumption in passing. Reading: what comes after a marked
    re-arrest belongs to it.
    """
    shocks = [mark["time"] for mark in marks if mark["kind"] == "shock"]
    rearrests = [mark["time"] for mark in marks if mark["kind"] in ("rearrest", "pulseless")]
    closings = [mark for mark in marks if mark["kind"] in CLOSING and mark["time"] >= 0]
    found = []
    start, opened_by, implied, left = 0, "time_zero", False, closings
    while True:
        if not left:
            end = max([end for _, end in runs] + shocks + list(begins)) if implied else marks[-1]["time"]
            closed_by = "last_compression_or_shock" if implied else "last_mark"
            found.append((start, end, opened_by, closed_by, implied))
            return found
        end, closed_by = left[0]["time"], left[0]["kind"]
        if closed_by == "rosc":
            rosc = end
            for run_start, run_end in runs:
                across = run_start < rosc < run_end
                resumed = rosc <= run_start <= rosc + 30 * TICKS and run_end <= rosc + 60 * TICKS
                if across or resumed:
                    end = max(end, run_end)
            end = min([end, *(time for time in rearrests if time >= rosc)])
        found.append((start, end, opened_by, closed_by, implied))
        again = [(time, 0, "rearrest", False) for time in rearrests if time >= end]
        works = [(start, 1, "compressions") for start, _ in runs] + [(at, 1, "compressions") for at in begins]
        for time, rank, name in works + [(at, 2, "shock") for at in shocks]:
            before = [mark for mark in closings if mark["time"] <= time]
            if time > end and before[-1]["kind"] == "rosc":
                again.append((time, rank, name, True))
        if not again:
            return found
        start, _, opened_by, implied = min(again)
        left = [mark for mark in closings if mark["time"] > start]


def windows(marks, found, runs, first_compression):
    """Return the stretch of each episode over which hands-on is judged, or None. Runs here include instants.

    Reading: where compressions began before time zero the first window opens at time zero.
    """
    answer = []
    for number, (start, end, _, closed_by, _) in enumerate(found):
        opens = start if number else max(start, first_compression) if first_compression is not None else None
        lasts = [min(e, end) for s, e in runs if s <= end and e >= start]
        lasts += [mark["time"] for mark in marks if mark["kind"] == "shock" and start <= mark["time"] <= end]
        closes = end if closed_by == "ecls_flow" else max(lasts, default=None)
        answer.append(None if opens is None or closes is None or closes <= opens else (opens, closes))
    return answer


def cause_of(pause, marks):
    """Return the cause of a pause by the order of the table, and what else fits.

    Reading: a mechanical device is a cause where it was put on: at a start of it that follows no other.
    Breaths that nobody marked are not looked for here, and no event made for this has their pattern.
    """
    fits = set()
    starts = [mark for mark in marks if mark["kind"] in STARTS]
    going = [b for a, b in pairwise(starts) if a["kind"] == b["kind"] == "mechanical_start"]
    for mark in marks:
        if mark in going:
            continue
        reach = max(3 * TICKS, mark["cell"] / 2)
        if mark["time"] - reach > pause[1] or mark["time"] + (mark["length"] or 0) + reach < pause[0]:
            continue
        if mark["kind"] == "pause" and mark["detail"] in CAUSES:
            fits.add(mark["detail"])
        for name, cause in CAUSES.items():
            if mark["kind"] in cause.kinds and (not cause.details or (mark["detail"] or "") in cause.details):
                fits.add(name)
    ordered = [name for name in CAUSES if name in fits and name != "unexplained"] or ["unexplained"]
    return ordered[0], ordered[1:]


def ticks(seconds, exactly=True):
    """Return seconds as ticks, which must be whole where asked."""
    count = round(seconds * TICKS)
    assert not exactly or abs(count - seconds * TICKS) < 1e-9, (
        f"{seconds} s is no whole number of half seconds"
    )
    return count if exactly else seconds * TICKS


def episode_of(time, found):
    """Return which episode holds a time, its ends included; the earlier one where two touch."""
    return next((n for n, (start, end, *_) in enumerate(found) if start <= time <= end), None)


def laid_out(marks, min_pause, window_s=None):
    """Return the structure of one event, its times in ticks from time zero.

    Reading: a window asked for, so long from the first compression, cuts `asked`; each episode keeps its own
    window in `windows`.
    """
    marks = [
        mark
        | {
            "time": ticks(mark["time"]),
            "length": mark["length"] and ticks(mark["length"], exactly=mark["kind"] != "compression"),
            "cell": mark["cell"] * TICKS,
        }
        for mark in marks
    ]
    marks = once(sorted(marks, key=lambda mark: mark["time"]))
    origin, basis = time_zero(marks)
    marks = [mark | {"time": mark["time"] - origin} for mark in marks]

    measuring = [channel for channel in channels(marks, min_pause) if not channel[0]]
    hands, covered, instants = resolve(measuring, min_pause)
    deaf = {mark["source"] for mark in marks} - {channel[-1] for channel in measuring}
    runs = sorted(stretches(hands) + [(at, at) for at in instants])
    begins = unheard(marks, deaf, covered)
    begun = first(marks, *STARTS, "compression")
    if begun is not None:
        hands = {tick for tick in hands if tick >= begun}
        # Before the first compression of the event nothing is hands-on, and that is known.
        covered |= set(range(min(0, marks[0]["time"]), begun))
    found = episodes(marks, runs, begins)
    whole = windows(marks, found, runs + [(at, at) for at in begins], begun)
    until = None if window_s is None or begun is None else begun + window_s * TICKS
    asked = [w and (w[0], w[1] if until is None else min(w[1], until)) for w in whole]
    return SimpleNamespace(
        marks=marks,
        origin=origin,
        basis=basis,
        measuring=measuring,
        hands=hands,
        covered=covered,
        instants=instants,
        deaf=deaf,
        runs=runs,
        first_compression=begun,
        episodes=found,
        windows=whole,
        until=until,
        asked=[w if w and w[1] > w[0] else None for w in asked],
    )
