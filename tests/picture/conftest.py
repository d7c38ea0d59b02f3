"""An invented event as the contract tells it, built by hand: adult, VF, four shocks, three doses, an airway pause."""

import pytest

SHOCKS = ((284.0, 200.0), (525.0, 200.0), (898.0, 300.0), (1248.0, 360.0))
DOSES = (
    (330.0, "epinephrine", 1.0),
    (560.0, "amiodarone", 300.0),
    (585.0, "epinephrine", 1.0),
    (930.0, "epinephrine", 1.0),
    (985.0, "amiodarone", 150.0),
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
FIRST, ROSC, END = 70.0, 1310.0, 1420.0


def occurrence(
    number, kind, time, detail=None, amount=None, unit=None, *, spread=1.0, lead=None, length=None
):
    lead = lead or f"log:line {number}"
    return {
        "id": f"o{number}",
        "kind": kind,
        "detail": detail,
        "amount": amount,
        "unit": unit,
        "route": None,
        "length": length,
        "time": time,
        "low": time - spread / 2,
        "high": time + spread / 2,
        "lead": lead,
        "marks": [lead],
    }


def target(
    rule, verdict, *, low=None, high=None, unit="1", edition="AHA 2020", kind="guideline", basis="seen"
):
    return {
        "id": f"{edition}.{rule}",
        "rule": rule,
        "low": low,
        "low_included": True,
        "high": high,
        "high_included": True,
        "unit": unit,
        "kind": kind,
        "edition": edition,
        "citation": "an invented citation",
        "basis": basis,
        "judged": basis != "memory",
        "verdict": verdict,
    }


def figure(
    name,
    value,
    unit="s",
    low=None,
    high=None,
    verdict="no_target",
    because=None,
    aim=None,
    others=(),
    window=(),
):
    return {
        "name": name,
        "value": value,
        "unit": unit,
        "low": low,
        "high": high,
        "certainty": "assessed",
        "verdict": verdict,
        "because": because,
        "target": aim,
        "other_targets": list(others),
        "window": [list(span) for span in window],
        "marks": [],
    }


def _hands_on(pauses, first, last):
    edges = [first, *(at for start, end, _ in pauses for at in (start, end)), last]
    spans = zip(edges[::2], edges[1::2], strict=True)
    return [{"start": a, "end": b, "source_id": "log", "manual": True} for a, b in spans]


def _minutes(hands_on, first, last):
    made, at = [], first
    while at < last:
        end = min(at + 60.0, last)
        on = sum(max(0.0, min(end, one["end"]) - max(at, one["start"])) for one in hands_on)
        made.append(
            {
                "start": at,
                "end": end,
                "fraction": on / (end - at),
                "delivered": None,
                "longest_pause": None,
                "coverage": 1.0,
            }
        )
        at += 60.0
    return made


def _occurrences():
    made = [
        occurrence(1, "recognition", 0.0),
        occurrence(2, "call", 24.0),
        occurrence(3, "team_arrival", 118.0),
        occurrence(4, "airway", 668.0, "tube"),
        occurrence(5, "airway_confirmed", 690.0, "capnography"),
        occurrence(6, "rhythm", 150.0, "vf"),
        occurrence(7, "rhythm", 525.0, "vf"),
        occurrence(8, "rhythm", 898.0, "pea"),
        occurrence(9, "rhythm", 1140.0, "vf"),
        occurrence(10, "rhythm", 1310.0, "perfusing"),
        occurrence(11, "rosc", ROSC),
        occurrence(12, "access", 250.0, "io"),
    ]
    made += [occurrence(20 + n, "shock", at, None, joules, "J") for n, (at, joules) in enumerate(SHOCKS)]
    made += [
        occurrence(30 + n, "drug", at, drug, mg, "mg", spread=60.0, lead=f"sheet:line {n + 2}")
        for n, (at, drug, mg) in enumerate(DOSES)
    ]
    readings = ((700, 22), (760, 22), (820, 21), (900, 19), (1000, 18), (1100, 19), (1200, 24), (1290, 27))
    readings += ((1320, 34), (1360, 38), (1410, 39))
    made += [
        occurrence(50 + n, "etco2", float(at), None, float(v), "mmHg") for n, (at, v) in enumerate(readings)
    ]
    made += [
        occurrence(80, "vital", 1345.0, "systolic", 92.0, "mmHg"),
        occurrence(81, "vital", 1345.0, "spo2", 94.0, "percent"),
    ]
    return sorted(made, key=lambda one: one["time"])


def _figures():
    window = [(FIRST, ROSC)]
    early = target("within 2 min", "not_met", high=120.0, unit="s", edition="registry", kind="registry")
    fraction = target("at least 80 %", "uncertain", low=0.8, edition="2013", kind="consensus")
    gaps = target("every 3 to 5 min", "uncertain", low=180.0, high=300.0, unit="s")
    return [
        figure("chest_compression_fraction", 0.88, "1", 0.78, 0.89, "uncertain", None, fraction, window=window),
        figure("compression_coverage", 1.0, "1", window=window),
        figure("longest_pause", 61.0, "s", 60.0, 62.0, "not_met", None, target("under 10 s", "not_met", high=10.0, unit="s"), window=[(612.0, 673.0)]),
        figure("pauses_over_10_s", 5.0, "1"),
        figure("time_to_first_shock", 284.0, "s", 283.0, 285.0, "not_met", None, early, window=[(0.0, 284.0)]),
        figure("pre_shock_pause_median", 10.0, "s", 9.0, 11.0, "no_target", None, None, [target("under 10 s", "no_target", high=10.0, unit="s", basis="memory")], window=[(273.0, 284.0), (519.0, 525.0)]),
        figure("peri_shock_pause_median", 14.0, "s"),
        figure("peri_shock_pause_max", 18.0, "s"),
        figure("epinephrine_interval_median", 300.0, "s", 240.0, 360.0, "no_target", None, None, window=[(330.0, 930.0)]),
        figure("epinephrine_interval_in_range", 0.5, "1", 0.0, 1.0, "uncertain", None, gaps, window=[(330.0, 585.0), (585.0, 930.0)]),
        figure("time_to_first_compression", 70.0, "s", 70.0, 70.0),
        figure("time_to_first_epinephrine", 330.0, "s", 300.0, 360.0, "not_applicable", "The first rhythm was shockable, so this does not apply."),
        figure("time_to_rosc", ROSC, "s", ROSC - 1, ROSC + 1),
        figure("any_rosc", True, "1"),
        figure("sustained_rosc", None, "1", None, None, "no_data", "Only 1:50 was seen after ROSC."),
        figure("compression_rate", None, "1/min", None, None, "no_data", "No source holds single compressions."),
        figure("compression_depth_median", None, "mm", None, None, "no_data", "No source holds single compressions."),
        figure("completeness", 0.83, "1"),
    ]  # fmt: skip


def report(**changes):
    """Return the invented event; each change replaces one key of the contract."""
    hands_on = _hands_on(PAUSES, FIRST, ROSC)
    occurrences = _occurrences()
    drugs = [one for one in occurrences if one["kind"] == "drug"]
    made = {
        "format": "debrief-1",
        "software": "debrief 0",
        "definitions": 1,
        "inputs": [{"file": "log.csv", "sha256": "0" * 64}, {"file": "sheet.csv", "sha256": "1" * 64}],
        "event": {
            "event_id": "heron-0007",
            "population": "adult",
            "date": "2026-03-14",
            "unit": "Heron ward",
            "setting": None,
        },
        "edition": "AHA 2020",
        "parameters": {"min_pause": 1.0},
        "time_zero": {"wall": "2026-03-14T03:12:20", "basis": "recognition", "marks": ["log:line 1"]},
        "end": {"time": END, "basis": "last mark", "marks": []},
        "first_rhythm": {"rhythm": "vf", "shockable": True, "marks": ["log:line 6"]},
        "episodes": [
            {"start": 0.0, "end": ROSC, "opened_by": "time_zero", "closed_by": "rosc", "implied": False}
        ],
        "hands_on": hands_on,
        "covered": [[FIRST, END]],
        "occurrences": occurrences,
        "figures": _figures(),
        "by_minute": _minutes(hands_on, FIRST, ROSC),
        "pauses": [
            {"start": a, "end": b, "length": b - a, "cause": cause, "also": [], "episode": 0, "marks": []}
            for a, b, cause in PAUSES
        ],
        "shocks": [
            {
                "time": at,
                "energy": joules,
                "rhythm": "vf",
                "episode": 0,
                "pre_shock_pause": 8.0,
                "post_shock_pause": 6.0,
                "peri_shock_pause": 14.0,
                "verdicts": {},
                "marks": [f"log:line {20 + n}"],
            }
            for n, (at, joules) in enumerate(SHOCKS)
        ],
        "doses": [
            {
                "time": one["time"],
                "drug": one["detail"],
                "dose": one["amount"],
                "unit": "mg",
                "route": None,
                "counted": True,
                "why_not": None,
                "gap": gap,
                "verdict": verdict,
                "episode": 0,
                "marks": one["marks"],
            }
            for one, (gap, verdict) in zip(
                drugs, ((None, None), (None, None), (255.0, "met"), (345.0, "uncertain"), (None, None)), strict=True
            )
        ],
        "sources": [
            {"source_id": "log", "file": "log.csv", "kind": "device", "group": 1, "clock": {"offset": 0.0, "at": 0.0, "rate": 1.0, "low": 0.0, "high": 0.0, "evidence": []}},
            {"source_id": "sheet", "file": "sheet.csv", "kind": "person", "group": 1, "clock": {"offset": 137.0, "at": 0.0, "rate": 1.0, "low": 130.0, "high": 140.0, "evidence": []}},
        ],
        "problems": [],
    }  # fmt: skip
    return {**made, **changes}


@pytest.fixture
def make_report():
    """The builder of the invented event."""
    return report


@pytest.fixture
def make_occurrence():
    """The builder of one occurrence."""
    return occurrence
