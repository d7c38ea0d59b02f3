"""Invented events as the contract tells them, built by hand; the first: adult, VF, four shocks, ROSC."""

import sys

import pytest

SHOCKS = ((284.0, 200.0), (525.0, 200.0), (898.0, 300.0), (1248.0, 360.0))
DOSES = (
    (330.0, "epinephrine", 1.0, None, None),
    (560.0, "amiodarone", 300.0, None, None),
    (585.0, "epinephrine", 1.0, 255.0, "met"),
    (930.0, "epinephrine", 1.0, 345.0, "uncertain"),
    (985.0, "amiodarone", 150.0, None, None),
)
PAUSES = (
    (150.0, 157.0, "rhythm_or_pulse_check"),
    (273.0, 291.0, "shock"),
    (400.0, 406.0, "rhythm_or_pulse_check"),
    (519.0, 530.0, "shock"),
    (612.0, 673.0, "advanced_airway"),
    (764.0, 769.0, "rhythm_or_pulse_check"),
    (889.0, 905.0, "shock"),
    (1013.0, 1018.0, "compressor_change"),
    (1136.0, 1142.0, "unexplained"),
    (1242.0, 1254.0, "shock"),
)
ETCO2 = ((700, 22), (820, 21), (900, 19), (1000, 18), (1200, 24), (1290, 27), (1320, 34), (1410, 39))
FIRST, ROSC, END = 70.0, 1310.0, 1420.0


def occurrence(number, kind, time, detail=None, amount=None, unit=None, *, spread=1.0, source="log", **more):
    lead = f"{source}:{number}"
    made = {
        "id": f"o{number}",
        "kind": kind,
        "detail": detail,
        "amount": amount,
        "unit": unit,
        "route": None,
        "length": None,
        "time": float(time),
        "low": time - spread / 2,
        "high": time + spread / 2,
        "lead": lead,
        "marks": [lead],
    }
    return {**made, **more}


def target(rule, verdict, *, edition="AHA 2020", kind="guideline", basis="seen", judged=None):
    return {
        "id": f"{edition}.{rule}",
        "rule": rule,
        "low": None,
        "low_included": True,
        "high": None,
        "high_included": True,
        "unit": "s",
        "kind": kind,
        "edition": edition,
        "citation": "an invented citation",
        "basis": basis,
        "judged": basis != "memory" if judged is None else judged,
        "verdict": verdict,
    }


def figure(name, value, unit="s", low=None, high=None, verdict="no_target", because=None, **more):
    made = {
        "name": name,
        "value": value,
        "unit": unit,
        "low": low,
        "high": high,
        "certainty": "assessed",
        "verdict": verdict,
        "because": because,
        "settled_by": None,
        "target": None,
        "other_targets": [],
        "window": [],
        "marks": [],
    }
    return {**made, **more}


def pause(start, end, cause="unexplained", episode=0):
    length = end - start
    also = []
    return {
        "start": start,
        "end": end,
        "length": length,
        "cause": cause,
        "also": also,
        "episode": episode,
        "marks": [],
    }


def runs(pauses, first, last, *, manual=True):
    edges = [first, *(at for start, end, _ in pauses for at in (start, end)), last]
    spans = zip(edges[::2], edges[1::2], strict=True)
    return [{"start": a, "end": b, "source_id": "log", "manual": manual} for a, b in spans]


def minutes(hands_on, first, last):
    made, at = [], first
    while at < last:
        end = min(at + 60.0, last)
        on = sum(max(0.0, min(end, one["end"]) - max(at, one["start"])) for one in hands_on)
        share = on / (end - at)
        made.append(
            {
                "start": at,
                "end": end,
                "fraction": share,
                "delivered": None,
                "longest_pause": None,
                "coverage": 1.0,
            }
        )
        at += 60.0
    return made


def episode(start, end, closed_by="rosc", opened_by="time_zero", implied=False):
    return {"start": start, "end": end, "opened_by": opened_by, "closed_by": closed_by, "implied": implied}


def shock(time, energy=200.0):
    return {
        "time": time,
        "energy": energy,
        "rhythm": "vf",
        "episode": 0,
        "pre_shock_pause": 8.0,
        "post_shock_pause": 6.0,
        "peri_shock_pause": 14.0,
        "verdicts": {},
        "marks": [],
    }


def source(source_id, file, kind, offset=0.0, spread=0.0):
    by = {"kind": "stated" if offset else "reference", "text": "An invented reason.", "pairs": []}
    clock = {"offset": offset, "at": 0.0, "rate": 1.0, "low": offset - spread, "high": offset + spread}
    clock |= {"lag": [0.0, 60.0 if kind == "person" else 0.0], "evidence": [by], "others": []}
    named = {"source_id": source_id, "file": file, "name": "", "kind": kind, "scale": "clock"}
    return {**named, "group": 1, "clock": clock, "offers": []}


def _occurrences():
    made = [
        occurrence(1, "recognition", 0),
        occurrence(2, "call", 24),
        occurrence(3, "team_arrival", 118),
        occurrence(4, "airway", 668, "tube"),
        occurrence(5, "airway_confirmed", 690, "capnography"),
        occurrence(6, "rhythm", 150, "vf"),
        occurrence(7, "rhythm", 525, "vf"),
        occurrence(8, "rhythm", 898, "pea"),
        occurrence(9, "rhythm", 1140, "vf"),
        occurrence(10, "rhythm", 1310, "perfusing"),
        occurrence(11, "rosc", ROSC),
        occurrence(12, "access", 250, "io"),
    ]
    made += [occurrence(20 + n, "shock", at, None, joules, "J") for n, (at, joules) in enumerate(SHOCKS)]
    made += [
        occurrence(30 + n, "drug", at, drug, mg, "mg", spread=60.0, source="sheet")
        for n, (at, drug, mg, *_) in enumerate(DOSES)
    ]
    made += [occurrence(50 + n, "etco2", at, None, float(mmhg), "mmHg") for n, (at, mmhg) in enumerate(ETCO2)]
    made += [
        occurrence(80, "vital", 1345, "systolic", 92.0, "mmHg"),
        occurrence(81, "vital", 1345, "spo2", 94.0, "percent"),
    ]
    return sorted(made, key=lambda one: one["time"])


def _doses():
    return [
        {
            "time": at,
            "drug": drug,
            "dose": mg,
            "unit": "mg",
            "route": None,
            "counted": True,
            "why_not": None,
            "gap": gap,
            "verdict": verdict,
            "episode": 0,
            "marks": [f"sheet:{30 + n}"],
        }
        for n, (at, drug, mg, gap, verdict) in enumerate(DOSES)
    ]


def _figures():
    window = [[FIRST, ROSC]]
    airway = [[612.0, 673.0]]
    fraction = target("at least 80 %", "uncertain", edition="2013 consensus", kind="consensus")
    no_singles = {"verdict": "no_data", "because": "No source holds single compressions."}
    from_memory = target("under 10 s", "no_target", basis="memory")
    gaps = target("3 min to 5 min", "uncertain")
    return [
        figure(
            "chest_compression_fraction", 0.88, "1", 0.78, 0.89, "uncertain", target=fraction, window=window
        ),
        figure("compression_coverage", 1.0, "1", window=window),
        figure(
            "longest_pause",
            61.0,
            "s",
            60,
            62,
            "not_met",
            target=target("under 10 s", "not_met"),
            window=airway,
        ),
        figure("pauses_over_10_s", 5.0, "count"),
        figure(
            "time_to_first_shock", 284.0, "s", 283, 285, "not_met", target=target("at most 2 min", "not_met")
        ),
        figure("pre_shock_pause_median", 10.0, "s", 9, 11),
        figure("pre_shock_pause_max", 12.0, "s", 11, 13, other_targets=[from_memory]),
        figure("peri_shock_pause_median", 14.0),
        figure("peri_shock_pause_max", 18.0),
        figure("epinephrine_interval_median", 300.0, other_targets=[gaps]),
        figure("epinephrine_interval_in_range", 0.5, "1", 0.0, 1.0),
        figure("time_to_first_compression", 70.0, "s", 70, 70),
        figure(
            "time_to_first_epinephrine", 330.0, "s", 300, 360, "not_applicable", "The rhythm was shockable."
        ),
        figure("time_to_rosc", ROSC, "s", ROSC - 1, ROSC + 1),
        figure("any_rosc", True, ""),
        figure("sustained_rosc", None, "", None, None, "no_data", "Only 1:50 was seen after ROSC."),
        figure("compression_rate", None, "/min", **no_singles),
        figure("compression_depth_median", None, "mm", **no_singles),
        figure("completeness", 0.83, "1"),
    ]


def report(**changes):
    """Return the invented event; each change replaces one key of the contract."""
    hands_on = runs(PAUSES, FIRST, ROSC)
    made = {
        "format": "debrief-1",
        "software": "debrief 0",
        "definitions": 1,
        "inputs": [],
        "event": {"event_id": "heron-0007", "population": "adult", "date": "2026-03-14"},
        "edition": "AHA 2020",
        "parameters": {"what_if_longest_pause_s": 10, "what_if_fraction": 0.93},
        "time_zero": {"wall": "2026-03-14T03:12:20", "basis": "recognition", "marks": ["log:1"]},
        "end": {"time": END, "basis": "last_mark", "marks": []},
        "first_rhythm": {"rhythm": "vf", "shockable": True, "marks": ["log:6"]},
        "episodes": [episode(0.0, ROSC)],
        "hands_on": hands_on,
        "covered": [[FIRST, END]],
        "occurrences": _occurrences(),
        "figures": _figures(),
        "by_minute": minutes(hands_on, FIRST, ROSC),
        "pauses": [pause(*one) for one in PAUSES],
        "shocks": [shock(*one) for one in SHOCKS],
        "doses": _doses(),
        "sources": [source("log", "log.csv", "device"), source("sheet", "sheet.csv", "person", 137.0)],
        "problems": [],
        "apart": [],
    }
    return {**made, **changes}


def starts_alone():
    """A sheet whose compressions start and never stop."""
    return report(
        occurrences=[
            occurrence(1, "recognition", 0),
            occurrence(2, "compressions_start", 60),
            occurrence(3, "drug", 300, "epinephrine", 1.0, "mg", spread=60, source="sheet"),
        ],
        episodes=[episode(0.0, 900.0, "last_mark")],
        end={"time": 900.0, "basis": "last_mark", "marks": []},
        time_zero={"wall": None, "basis": "recognition", "marks": ["log:1"]},
        first_rhythm=None,
        **{key: [] for key in ("hands_on", "covered", "pauses", "by_minute", "shocks", "doses")},
    )


def nothing():
    """An event that holds nothing at all."""
    lists = (
        "hands_on",
        "covered",
        "pauses",
        "by_minute",
        "shocks",
        "doses",
        "occurrences",
        "episodes",
        "figures",
    )
    return report(
        end={"time": 0.0, "basis": "last_mark", "marks": []},
        time_zero={"wall": None, "basis": "assumed", "marks": []},
        first_rhythm=None,
        **{key: [] for key in lists},
    )


def rearrest():
    """ROSC, an implied re-arrest, a mechanical device, a gap in what was seen, marks before time zero."""
    spans = [
        (40.0, 150.0),
        (158.0, 300.0),
        (345.0, 420.0),
        (560.0, 700.0),
        (1000.0, 1100.0),
        (1112.0, 1210.0),
    ]
    hands_on = [{"start": a, "end": b, "source_id": "log", "manual": not 345 <= a <= 560} for a, b in spans]
    strip = minutes(hands_on, 40.0, 700.0)
    strip[7] |= {"fraction": None, "coverage": 0.0}
    made = [
        occurrence(1, "rhythm", -95, "bradycardia"),
        occurrence(2, "drug", -60, "atropine", 0.5, "mg", spread=60, source="sheet"),
        occurrence(3, "rhythm", 35, "pea"),
        occurrence(4, "compressions_start", 40),
        occurrence(5, "drug", 120, "epinephrine", 1.0, "mg", spread=60, source="sheet"),
        occurrence(6, "analysis", 155, "not_advised"),
        occurrence(7, "compressor_change", 200),
        occurrence(8, "airway_attempt", 250, "tube"),
        occurrence(9, "note", 400, 'family <b>present</b> & "told" %{x} $y$'),
        occurrence(10, "etco2", 500, None, 2.1, "kPa"),
        *(occurrence(100 + n, "ventilation", 520 + n * 6) for n in range(30)),
        occurrence(11, "etco2", 640, None, 3.2, "kPa"),
        occurrence(12, "rosc", 700),
        occurrence(13, "etco2", 720, None, 4.0, "percent"),
        occurrence(14, "vital", 800, "systolic", 84.0, "mmHg"),
        occurrence(15, "cardioversion", 860, None, 100.0, "J"),
        occurrence(16, "charge", 1090, None, 200.0, "J"),
        occurrence(17, "rhythm", 1095, "vf"),
        occurrence(18, "shock", 1106, None, 200.0, "J"),
        occurrence(19, "efforts_ended", 1300, "died"),
    ]
    second = episode(1000.0, 1300.0, "efforts_ended", "compressions", implied=True)
    return report(
        occurrences=sorted(made, key=lambda one: one["time"]),
        hands_on=hands_on,
        covered=[[40.0, 420.0], [560.0, 1300.0]],
        by_minute=[*strip, *minutes(hands_on, 1000.0, 1210.0)],
        pauses=[
            pause(150.0, 158.0, "rhythm_or_pulse_check"),
            pause(300.0, 345.0, "mechanical_device"),
            pause(1100.0, 1112.0, "shock", 1),
        ],
        shocks=[shock(1106.0)],
        doses=[],
        end={"time": 1300.0, "basis": "efforts_ended", "marks": []},
        time_zero={"wall": "23:58:10", "basis": "assumed", "marks": ["log:4"]},
        episodes=[episode(0.0, 700.0), second],
    )


def long(hours=2.6, wanted=300, singles=15_000, shocks=12, doses=20):
    """A long event: some 300 runs of compressions, every single one of 15,000 among its occurrences."""
    end = hours * 3600
    step = (end - 200) / wanted
    pauses = [(100 + n * step, 100 + n * step + 3 + n % 14, "ventilation") for n in range(wanted - 1)]
    hands_on = runs(pauses, 70.0, end - 20)
    made = [occurrence(1, "recognition", 0)]
    made += [occurrence(100 + n, "shock", 300 + n * end / 15, None, 200.0, "J") for n in range(shocks)]
    made += [
        occurrence(200 + n, "drug", 330 + n * end / 25, "epinephrine", 1.0, "mg", spread=60, source="sheet")
        for n in range(doses)
    ]
    made += [occurrence(300 + n, "rhythm", 100 + n * 240, "pea") for n in range(int(end // 240))]
    made += [occurrence(1000 + n, "etco2", 900 + n * 29, None, 20.0 + n % 7, "mmHg") for n in range(280)]
    made += [
        occurrence(5000 + n, "compression", 70 + n * (end - 90) / singles, "released", 50.0, "mm")
        for n in range(singles)
    ]
    return report(
        occurrences=sorted(made, key=lambda one: one["time"]),
        hands_on=hands_on,
        covered=[[70.0, end]],
        by_minute=minutes(hands_on, 70.0, end - 20),
        pauses=[pause(*one) for one in pauses],
        shocks=[shock(300 + n * end / 15) for n in range(shocks)],
        doses=[],
        episodes=[episode(0.0, end, "efforts_ended")],
        end={"time": end, "basis": "efforts_ended", "marks": []},
    )


EVENTS = {
    "vf": report,
    "starts_alone": starts_alone,
    "nothing": nothing,
    "rearrest": rearrest,
    "long": long,
}


@pytest.fixture(params=EVENTS)
def any_report(request):
    """Each of the invented events in turn."""
    return EVENTS[request.param]()


@pytest.fixture
def events():
    """The builders of the invented events, by name."""
    return EVENTS


@pytest.fixture
def make():
    """The builders of the contract's parts, as attributes."""
    return sys.modules[__name__]
