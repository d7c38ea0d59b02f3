"""A slow, obvious second reading of the definitions: what sensors, capnographs and sheets add to an event.

`more` measures what `tests/reference_course.py` has structured: compressions by hand one by one, rhythm
checks, airway, breaths and ETCO2, doses and energies by weight, registry minutes, and what if. Times are
whole ticks.

Where the definitions leave a choice, the reading taken stands at a comment that begins with "Reading:".
"""

from itertools import pairwise
from statistics import median

from debrief.words import ADVANCED_AIRWAYS, CAUSES, SHOCKABLE_RHYTHMS
from tests.reference_course import CLOSING, LABELS, STARTS, TICKS, episode_of

MINUTE = 60 * TICKS
KPA_IN_MMHG = 1000 / 133.322387415
PERCENT_IN_MMHG = 760 / 100
MILLIMETRES = {"mm": 1, "cm": 10, "in": 25.4}


def of(laid, *kinds):
    """Return the marks of these kinds."""
    return [mark for mark in laid.marks if mark["kind"] in kinds]


def mechanical(laid):
    """Return the ticks in which a machine compresses: from its start to its stop, or to a start by hand.

    Reading: whoever says so is heard, also a source that measures nothing. Reading: what nobody stops goes on
    until the next ROSC or end of efforts (past extracorporeal flow), else for good.
    """
    ticks, since = set(), None
    for mark in of(
        laid, "mechanical_start", "mechanical_stop", "compressions_start", "rosc", "efforts_ended"
    ):
        if mark["kind"] == "mechanical_start":
            since = mark["time"] if since is None else since
        elif since is not None:
            ticks |= set(range(since, mark["time"]))
            since = None
    return ticks if since is None else ticks | set(range(since, laid.marks[-1]["time"] + 2 * TICKS))


def by_hand(laid):
    """Return the single compressions by hand inside episodes, as far as asked, of sources that measure."""
    machine, last = mechanical(laid), laid.marks[-1]["time"] if laid.until is None else laid.until
    return [
        mark
        for mark in of(laid, "compression")
        if mark["time"] <= last
        and mark["source"] not in laid.deaf
        and mark["time"] not in machine
        and episode_of(mark["time"], laid.episodes) is not None
    ]


def compression_figures(figures, laid, population, min_pause):
    """Add rate, count, depth, leaning and duty cycle.

    Reading: the rate is sixty by the mean step between compressions of one run; a run goes on while no pause
    stands between. Reading: compressions are counted over the covered windows of the source that tells them,
    the machine's time left out. Reading: a duty cycle is that of compressions with a length and a next one in
    the same run: their lengths by their steps, added up.
    """
    singles = by_hand(laid)
    whole = TICKS if singles and all(mark["cell"] == TICKS for mark in singles) else 0
    steps = [
        (a, b["time"] - a["time"]) for a, b in pairwise(singles) if b["time"] - a["time"] - whole < min_pause
    ]
    took = sum(step for _, step in steps)
    figures["compression_rate"] = len(steps) / took * MINUTE if took else None
    seen = {tick for window in laid.asked if window for tick in range(*window)}
    seen &= {tick for _, rank, _, cover, _ in laid.measuring if rank == 0 for tick in cover}
    seen -= mechanical(laid)
    figures["compressions_per_minute"] = len(singles) / len(seen) * MINUTE if singles and seen else None
    depths = [mark["amount"] * MILLIMETRES[mark["unit"]] for mark in singles if mark["amount"] is not None]
    figures["compression_depth_median"] = median(depths) if depths else None
    in_range = [50 <= depth <= 60 for depth in depths]
    adult = population == "adult"
    figures["depth_in_range"] = sum(in_range) / len(in_range) if in_range and adult else None
    recoils = [mark["detail"] for mark in singles if mark["detail"]]
    figures["leaning"] = recoils.count("leaning") / len(recoils) if recoils else None
    cycles = [(a["length"], step) for a, step in steps if a["length"]]
    whole = sum(step for _, step in cycles)
    figures["duty_cycle"] = sum(length for length, _ in cycles) / whole if whole else None


def gaps(laid, rows):
    """Return the seconds from each mark to the next in the same episode."""
    placed = [(mark["time"], episode_of(mark["time"], laid.episodes)) for mark in rows]
    return [(b - a) / TICKS for (a, m), (b, n) in pairwise(placed) if m == n and m is not None]


def rhythm_figures(figures, laid, pauses):
    """Add rhythm checks, changes of compressor, and how long a shockable rhythm stood.

    Reading: an automated analysis is a rhythm check. Reading: a pause holds a check whose time lies in it,
    its ends included. Reading: a gap in which a machine ran is no gap between two people.
    """
    checks = of(laid, "rhythm_check", "analysis")
    between = gaps(laid, checks)
    figures["rhythm_check_interval"] = median(between) if between else None
    held = [end - start for start, end in pauses if any(start <= mark["time"] <= end for mark in checks)]
    figures["rhythm_check_pause"] = median(held) / TICKS if held else None
    machine = mechanical(laid)
    changes = [mark["time"] for mark in of(laid, "compressor_change")]
    changed = [
        (b - a) / TICKS
        for a, b in pairwise(changes)
        if episode_of(a, laid.episodes) == episode_of(b, laid.episodes) is not None
        and not machine & set(range(a, b))
    ]
    figures["compressor_change_interval"] = median(changed) if changed else None
    figures["shockable_unshocked"] = unshocked(laid)


def unshocked(laid):
    """Return the longest stretch of arrest in which a shockable rhythm stood without a shock. [s]

    Reading: a label from before the arrest stands on into it, and what lies outside of arrest is cut off.
    Reading: a label without a rhythm, or of an unknown one, says nothing.
    """
    found, since = [], None
    for mark in of(laid, *LABELS, "shock", *CLOSING):
        name = None if mark["kind"] in ("shock", *CLOSING) else mark["detail"] or "unknown"
        if name in SHOCKABLE_RHYTHMS or name == "advised":
            since = mark["time"] if since is None else since
        elif since is not None and name != "unknown":
            found.append((since, mark["time"]))
            since = None
    if since is not None:
        found.append((since, laid.episodes[-1][1]))
    lengths = [
        sum(max(0, min(end, e) - max(start, s)) for s, e, *_ in laid.episodes)
        for start, end in found
        if any(max(start, s) < min(end, e) or s <= start <= e for s, e, *_ in laid.episodes)
    ]
    return max(lengths) / TICKS if lengths else None


def weight_figures(figures, laid, doses, population, weight):
    """Add the first antiarrhythmic, and dose and energy by weight: those of children of a known weight.

    Reading: a weight under 0.2 kg or over 300 kg is a slip. Reading: a newborn's are by weight as well.
    """
    small = population != "adult" and weight is not None and 0.2 <= weight <= 300
    counted = [row for row in doses if row["counted"]]
    first = [row["dose"] for row in counted if row["drug"] in ("amiodarone", "lidocaine")]
    figures["antiarrhythmic_dose"] = first[0] if first else None
    first = [row["dose"] for row in counted if row["drug"] == "epinephrine"]
    figures["dose_per_kg"] = first[0] / weight if first and first[0] is not None and small else None
    energy = figures["first_shock_energy"]
    figures["energy_per_kg"] = energy / weight if energy is not None and small else None
    again = [row["time"] for row in counted if row["drug"] == "epinephrine" and row["episode"] == 1]
    opened = laid.episodes[1][0] / TICKS if len(laid.episodes) > 1 else None
    figures["rearrest_to_first_epinephrine"] = again[0] - opened if again else None


def mmhg(mark):
    """Return an ETCO2 reading in mmHg; None where its unit is not known."""
    factor = {"mmHg": 1, "kPa": KPA_IN_MMHG, "percent": PERCENT_IN_MMHG}.get(mark["unit"])
    return None if factor is None or mark["amount"] is None else mark["amount"] * factor


def airway_figures(figures, laid):
    """Add breaths, ETCO2 and confirmation: asked of an advanced airway, from when it is in.

    Reading: an airway that was in before the arrest is in, and an airway of no named sort is an advanced
    one. Reading: not marked as confirmed is not known. Reading: minutes of breaths run from the airway, or
    from the episode's start where it was in before; those before the minute of the first breath and after
    that of the last are not covered. Reading: a reading at the very ROSC is one after it; the lowest is
    that of the arrest; at 20 min the event must go on, be it in arrest or not.
    """
    names = ("etco2_lowest", "etco2_at_20_min", "etco2_rise_at_rosc", "ventilation_rate", "airway_confirmed")
    figures |= dict.fromkeys(names)
    airways = [mark["time"] for mark in of(laid, "airway") if mark["detail"] in (None, *ADVANCED_AIRWAYS)]
    if not airways:
        return
    placed = airways[0]
    figures["airway_confirmed"] = True if of(laid, "airway_confirmed") else None
    readings = [
        (mark["time"], mmhg(mark))
        for mark in of(laid, "etco2")
        if mark["time"] >= placed and mmhg(mark) is not None
    ]
    arrest = [value for time, value in readings if episode_of(time, laid.episodes) is not None]
    figures["etco2_lowest"] = min(arrest, default=None)
    about = [value for time, value in readings if 19 * MINUTE <= time <= 21 * MINUTE]
    if about and laid.episodes[-1][1] >= 20 * MINUTE:
        figures["etco2_at_20_min"] = median(about)
    if roscs := [mark["time"] for mark in of(laid, "rosc") if mark["time"] >= 0]:
        before = [value for time, value in readings if roscs[0] - MINUTE <= time < roscs[0]]
        after = [value for time, value in readings if roscs[0] <= time <= roscs[0] + MINUTE]
        if before and after:
            figures["etco2_rise_at_rosc"] = max(after) - median(before)
    breaths = [mark["time"] for mark in of(laid, "ventilation")]
    counts = []
    for start, end, *_ in laid.episodes:
        for at in range(max(start, placed), end - MINUTE + 1, MINUTE):
            counts.append(sum(at <= time < at + MINUTE for time in breaths))
    while counts and not counts[-1]:
        counts.pop()
    while counts and not counts[0]:
        counts.pop(0)
    figures["ventilation_rate"] = median(counts) if counts else None


def registry_figures(figures, laid, answer, population):
    """Add registry measures: whole minutes between times as written, for those the registry counts.

    Reading: from the mark that is time zero; from an assumed one nothing is counted. Reading: the first of
    the first episode. Reading: the first shock is asked of a shockable first rhythm, epinephrine of any
    other that is known, the first compression of those who are no adults.
    """

    def minute(tick):
        return (tick + laid.origin) // MINUTE

    rhythm, end = answer["first_rhythm"], laid.episodes[0][1]

    def minutes(times, included):
        times = [time for time in times if 0 <= time <= end]
        known = laid.basis != "assumed" and included and times
        return minute(min(times)) - minute(0) if known else None

    shocks = [mark["time"] for mark in of(laid, "shock")]
    doses = [row for row in answer["doses"] if row["counted"] and row["drug"] == "epinephrine"]
    doses = [round(row["time"] * TICKS) for row in doses]
    compressions = [mark["time"] for mark in of(laid, *STARTS, "compression")]
    figures["registry_first_shock"] = minutes(shocks, rhythm and rhythm["shockable"])
    figures["registry_epinephrine"] = minutes(doses, rhythm and not rhythm["shockable"])
    figures["registry_first_compression"] = minutes(compressions, population != "adult")
    figures["registry_airway_confirmed"] = figures["airway_confirmed"]


def breaths(laid, pauses):
    """Return the pauses that look like two breaths: short, with no airway in, after 30 compressions or 15.

    Reading: at most 10 s; two more or fewer than 30, one more or fewer than 15; three such pauses in the
    event.
    """
    airways = [mark["time"] for mark in of(laid, "airway") if mark["detail"] in (None, *ADVANCED_AIRWAYS)]
    placed, singles = min(airways, default=None), [mark["time"] for mark in by_hand(laid)]
    found = set()
    for around, give in ((30, 2), (15, 1)):
        fits = set()
        for start, end in pauses:
            opened = max(w[0] for w in laid.asked if w and w[0] <= start)
            since = max([opened, *(e for _, e in pauses if e <= start)])
            run = sum(since <= time <= start for time in singles)
            if abs(run - around) <= give and end - start <= 10 * TICKS and (placed is None or start < placed):
                fits.add((start, end))
        found |= fits if len(fits) >= 3 else set()
    return found


def what_if(pauses, covered, longest):
    """Return the fraction had no pause been longer, the arrest as long as it was; None where none is seen."""
    off = sum(min(end - start, longest) for start, end in pauses)
    return 1 - off / covered if covered else None


def flags(laid):
    """Return which source tells hands-on in each tick, and whether it is by hand; short gaps stay open."""
    machine, heard, taken = mechanical(laid), {}, set()
    for _, _, runs, cover, source in laid.measuring:
        for tick in {tick for start, end in runs for tick in range(start, end)} & cover - taken:
            heard[tick] = (source, tick not in machine)
        taken |= cover
    return heard


HANDS = (
    "chest_compression_fraction",
    "chest_compression_fraction_from_recognition",
    "hands_off_time",
    "compression_coverage",
    "longest_pause",
    "median_pause",
    "pauses_over_10_s",
    "pauses_over_20_s",
    "last_compression_to_end",
    "compression_rate",
    "compressions_per_minute",
    "compression_depth_median",
    "depth_in_range",
    "leaning",
    "duty_cycle",
    "time_to_first_compression",
    "rearrest_to_first_compression",
    *(f"{name}_shock_pause_{of_all}" for name in ("pre", "post", "peri") for of_all in ("median", "max")),
    "hands_off_before_shock_median",
    "hands_off_before_shock_max",
    "rhythm_check_pause",
    "compressor_change_interval",
    "registry_first_compression",
)
"""Figures of compressions, rate and pauses, which a newborn at birth does not have.

Reading: when compressions began is one of compressions."""


def more(answer, laid, min_pause, population, weight):
    """Add to what was measured of an event all that this half reads."""
    figures = answer["figures"]
    pauses = [(round(row["start"] * TICKS), round(row["end"] * TICKS)) for row in answer["pauses"]]
    covered = len(laid.covered & {tick for window in laid.asked if window for tick in range(*window)})
    compression_figures(figures, laid, population, min_pause)
    rhythm_figures(figures, laid, pauses)
    weight_figures(figures, laid, answer["doses"], population, weight)
    airway_figures(figures, laid)
    registry_figures(figures, laid, answer, population)
    born = population == "newborn_at_birth"
    seen = laid.measuring and laid.first_compression is not None and not born
    answer["what_if_fraction"] = what_if(pauses, covered, 10 * TICKS) if seen else None
    answer["hands_on"] = flags(laid)
    inferred = breaths(laid, pauses)
    for row, pause in zip(answer["pauses"], pauses, strict=True):
        if pause in inferred:
            fits = {row["cause"], *row["also"], "ventilation"} - {"unexplained"}
            row["cause"], *row["also"] = [name for name in CAUSES if name in fits]
    if born:
        figures |= dict.fromkeys(HANDS)
