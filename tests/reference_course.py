"""A slow, obvious second reading of the definitions: one event, half a second at a time.

Nothing is shared with what it checks but the table of words. This half decides structure: hands-on, episodes,
windows. A mark is a dict with the keys `source`, `source_kind` (device, person or sensor), `kind`, `detail`,
`amount`, `unit`, `route`, `time`, `length` and `cell`; times here are whole ticks, and a stretch is a set of
ticks: tick `i` is the half second from `i` to `i + 1`.

Where the definitions leave a choice, the reading taken stands at a comment that begins with "Reading:".
"""

from itertools import pairwise

from debrief.words import ARREST_RHYTHMS, CAUSES

TICKS = 2  # in a second
STARTS = {"compressions_start": True, "mechanical_start": False}  # value: by hand
STOPS = {"compressions_stop", "mechanical_stop"}
CLOSING = {"rosc", "ecls_flow", "efforts_ended"}
LABELS = {"rhythm", "rhythm_check", "pulse_check"}


def stretches(chosen):
    """Return a set of ticks as sorted (start, end) pairs."""
    found = []
    for tick in sorted(chosen):
        if found and found[-1][1] == tick:
            found[-1][1] = tick + 1
        else:
            found.append([tick, tick + 1])
    return [tuple(pair) for pair in found]


def once(marks):
    """Leave out what one source wrote twice: the same shock within 3 s, the same dose within 10 s.

    Reading: what is within reach of the row that was kept is the same; a third press 4 s after the first is
    not.
    """
    kept = []
    for mark in marks:
        reach = {"shock": 3, "drug": 10}.get(mark["kind"])
        same = [
            other
            for other in kept
            if reach is not None
            and all(other[key] == mark[key] for key in ("source", "kind", "detail", "amount", "unit"))
            and mark["time"] - other["time"] <= reach * TICKS
        ]
        if not same:
            kept.append(mark)
    return kept


def first(marks, *kinds):
    """Return the time of the first mark of these kinds, or None."""
    return min((mark["time"] for mark in marks if mark["kind"] in kinds), default=None)


def arrest_labels(marks):
    """Return the marks that carry an arrest rhythm."""
    return [mark for mark in marks if mark["kind"] in LABELS and mark["detail"] in ARREST_RHYTHMS]


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


# Hands-on --------------------------------------------------------------------------------


def runs_of_starts(mine, marks):
    """Return one source's starts and stops as (start, end, by hand).

    A run that is never stopped ends at the next ROSC, extracorporeal flow or end of efforts, else at the
    source's last mark. Reading: so does one that is followed by another start after such a mark; a second
    start with none between says nothing new. Reading: any stop means hands off, whoever or whatever was
    compressing.
    """
    explicit = [mark["time"] for mark in mine if mark["kind"] in STARTS or mark["kind"] in STOPS]
    closings = [mark["time"] for mark in marks if mark["kind"] in CLOSING]
    script = []
    for mark in mine:
        if mark["kind"] in STARTS:
            script.append((mark["time"], "on", STARTS[mark["kind"]]))
        elif mark["kind"] in STOPS:
            script.append((mark["time"], "off", None))
        elif mark["kind"] == "pause":
            script.append((mark["time"], "pause", None))
            end = mark["time"] + (mark["length"] or 0)
            if mark["length"] and not any(mark["time"] < time < end for time in explicit):
                script.append((end, "resume", None))
    script.sort(key=lambda row: row[0])

    def closed_after(time, before):
        return min((at for at in closings if time < at <= before), default=None)

    found = []
    began = by_hand = before_pause = latest = None
    for time, action, hand in script:
        if action == "on" and began is not None:
            closed = closed_after(latest, time)
            if closed is not None:
                found.append((began, closed, by_hand))
                began = time
            elif hand != by_hand:
                found.append((began, time, by_hand))
                began = time
            by_hand, latest = hand, time
        elif action == "on":
            began, by_hand, latest = time, hand, time
        elif action == "resume" and before_pause is not None and began is None:
            began, by_hand, latest = time, before_pause, time
        elif action in ("off", "pause"):
            before_pause = by_hand if began is not None else None
            if began is not None:
                found.append((began, time, by_hand))
            began = None
    if began is not None:
        closed = closed_after(latest, float("inf"))
        found.append((began, mine[-1]["time"] if closed is None else closed, by_hand))
    return found


def channels(marks, min_pause):
    """Return what each source says of compressions, best first: measures not, rank, runs, cover.

    Reading: a single compression written to the second is there for that second, whatever the least pause.
    Reading: "a stop or pause before the end" lies at or after the source's first start, and before the last
    ROSC, extracorporeal flow or end of efforts where no start, single compression or shock comes after it;
    else before the last mark of all. Reading: a stop or pause of any source inside a long gap between single
    compressions explains it.
    """
    latest = marks[-1]["time"]
    closing = max((mark["time"] for mark in marks if mark["kind"] in CLOSING), default=None)
    active = max((m["time"] for m in marks if m["kind"] in (*STARTS, "compression", "shock")), default=latest)
    end = closing if closing is not None and closing >= active else latest
    interruptions = [mark["time"] for mark in marks if mark["kind"] in STOPS | {"pause"}]
    found = []
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
                explained = any(gap_start <= time <= gap_end for time in interruptions)
                if gap_end - gap_start > 120 * TICKS and not explained:
                    cover -= set(range(gap_start, gap_end))
            found.append((not (whole or fine), 0, [(*run, True) for run in joined], cover))
        if begun := [mark["time"] for mark in mine if mark["kind"] in STARTS]:
            measures = any(m["kind"] in STOPS | {"pause"} and begun[0] <= m["time"] < end for m in mine)
            rank = 1 if mine[0]["source_kind"] == "device" else 2
            cover = set(range(begun[0], latest + 1))
            found.append((not measures, rank, runs_of_starts(mine, marks), cover))
    return sorted(found, key=lambda channel: channel[:2])


def resolve(chosen, min_pause):
    """Return what the best source at each tick says: hands-on ticks, covered ticks, instants without length.

    A gap shorter than the least pause counts as hands-on.
    """
    hands, covered, instants = set(), set(), set()
    for _, _, runs, cover in chosen:
        on = {tick for start, end, _ in runs for tick in range(start, end)}
        hands |= (on & cover) - covered
        instants |= {start for start, end, _ in runs if start == end and start not in covered}
        covered |= cover
    for start, end in stretches(covered - hands):
        held = (start - 1 in hands or start in instants) and (end in hands or end in instants)
        if held and end - start < min_pause:
            hands |= set(range(start, end))
    return hands, covered, instants


# Episodes and windows --------------------------------------------------------------------


def episodes(marks, zero, runs):
    """Return the stretches of arrest: start, end, what opened and closed them, whether implied.

    Reading: compressions across a ROSC close the episode at their end however long they go on; "end within
    60 s" belongs to those that resume, and both are counted from the ROSC. Reading: a resumption after an
    explicit `rearrest` is that episode's. Reading: an implied episode is closed by any ROSC, flow or end of
    efforts that is marked after it.
    """
    shocks = [mark["time"] for mark in marks if mark["kind"] == "shock"]
    rearrests = [mark["time"] for mark in marks if mark["kind"] == "rearrest"]
    found = []
    start, opened_by, implied = zero, "time_zero", False
    while True:
        closing = next((mark for mark in marks if mark["kind"] in CLOSING and mark["time"] > start), None)
        if closing is None:
            lasts = [end for _, end in runs if end >= start] + [time for time in shocks if time >= start]
            end = max(lasts) if implied else marks[-1]["time"]
            found.append((start, end, opened_by, "last_activity" if implied else "last_mark", implied))
            return found
        end = closing["time"]
        if closing["kind"] == "rosc":
            rosc = end
            again = min((time for time in rearrests if time >= rosc), default=float("inf"))
            for run_start, run_end in runs:
                across = run_start < rosc < run_end
                resumed = rosc <= run_start <= rosc + 30 * TICKS and run_end <= rosc + 60 * TICKS
                if across or (resumed and run_start < again):
                    end = max(end, run_end)
        found.append((start, end, opened_by, closing["kind"], implied))
        explicit = [(time, 0, "rearrest", False) for time in rearrests if time >= end]
        later = []
        if closing["kind"] == "rosc":
            later += [(s, 1, "compressions", True) for s, e in runs if s >= end and (e > end or s > end)]
            later += [(time, 2, "shock", True) for time in shocks if time > end]
        if not explicit + later:
            return found
        start, _, opened_by, implied = min(explicit + later)


def windows(marks, found, runs, first_compression):
    """Return the stretch of each episode over which hands-on is judged, or None.

    Reading: where compressions began before time zero the first window opens at time zero.
    """
    answer = []
    for number, (start, end, _, closed_by, _) in enumerate(found):
        opens = start if number else max(start, first_compression) if first_compression is not None else None
        lasts = [min(e, end) for s, e in runs if s <= end and e >= start]
        lasts += [mark["time"] for mark in marks if mark["kind"] == "shock" and start <= mark["time"] <= end]
        closes = end if closed_by == "ecls_flow" else max(lasts, default=None)
        answer.append(None if opens is None or closes is None or closes < opens else (opens, closes))
    return answer


def cause_of(pause, marks):
    """Return the cause of a pause by the order of the table, and what else fits.

    Reading: a drug, rhythm label or energy speaks for nothing; breaths that nobody marked are not looked for.
    """
    fits = set()
    for mark in marks:
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
