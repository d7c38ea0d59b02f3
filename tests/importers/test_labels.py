"""What labels are taken for, and that nothing is guessed."""

import pytest

from debrief.importers.labels import key_of, phrases, suggestions, understand
from debrief.words import DRUGS, KINDS, RHYTHMS


@pytest.mark.parametrize(
    ("label", "kind", "detail"),
    [
        ("CPR started", "compressions_start", None),
        ("VF", "rhythm", "vf"),
        ("rhythm check: VF", "rhythm_check", "vf"),
        ("Pulse check - no pulse", "pulse_check", None),
        ("PEA on monitor", "rhythm", "pea"),
        ("LMA placed", "airway", "supraglottic"),
        ("intubated with ETT", "airway", "tube"),
        ("IO access left tibia", "access", "io"),
        ("Access: IV", "access", "iv"),
        ("No shock advised", "analysis", "not_advised"),
        ("analysis: shock advised", "analysis", "advised"),
        ("pause for intubation", "pause", "advanced_airway"),
        ("Time of death", "efforts_ended", "died"),
        ("HR 120", "vital", "heart_rate"),
        ("VF/VT", "rhythm", "shockable"),
        ("sinus rhythm", "rhythm", "perfusing"),
        ("ROSC", "rosc", None),
        ("Team arrives", "team_arrival", None),
        ("vt with a pulse", "rhythm", "vt_with_pulse"),
    ],
)
def test_words_of_the_trade(label, kind, detail):
    meant = understand(label)

    assert (meant.kind, meant.detail) == (kind, detail)


@pytest.mark.parametrize(
    ("label", "detail", "value", "unit", "route"),
    [
        ("Epinephrine 1 mg IV", "epinephrine", 1, "mg", "iv"),
        ("1mg adrenaline given", "epinephrine", 1, "mg", None),
        ("amiodarone 300", "amiodarone", 300, None, None),
        ("dose 2 adrenaline 1mg IO", "epinephrine", 1, "mg", "io"),
        ("Adrenaline #2", "epinephrine", None, None, None),
        ("2nd epi 1mg ivp", "epinephrine", 1, "mg", "iv"),
        ("Adrenaline 500 µg IM", "epinephrine", 500, "mcg", "im"),
        ("bicarb 50 mmol", "sodium_bicarbonate", 50, "mmol", None),
    ],
)
def test_drugs_with_dose_and_route(label, detail, value, unit, route):
    meant = understand(label)

    assert (meant.kind, meant.detail, meant.reading.value, meant.reading.unit, meant.route) == (
        "drug",
        detail,
        value,
        unit,
        route,
    )


@pytest.mark.parametrize(
    ("label", "value"),
    [
        ("Shock 200J", 200),
        ("Shock #1 200 J", 200),
        ("shock 200", 200),
        ("3rd shock 360 J", 360),
        ("shock 3", None),
        ("Defib 150 J biphasic", 150),
    ],
)
def test_shocks_count_and_carry_energy(label, value):
    meant = understand(label)

    assert (meant.kind, meant.reading.value) == ("shock", value)


@pytest.mark.parametrize(
    "label",
    [
        "epinephrine drawn up",
        "no shock given",
        "shock pads on",
        "intubation failed",
        "CPR discussed with family",
        "CPR resumed after shock",
        "VF shock 200 J",
        "IV attempted",
        "amiodarone ready",
        "Epinepherine 1 mg",
        "adrenaline x2",
        "Whistle blown",
        "?",
        "not VF",
    ],
)
def test_a_word_that_is_not_known_stops_a_label(label):
    meant = understand(label)

    assert (meant.kind, meant.known) == ("unmapped", False)


def test_suggestions_name_what_is_close():
    assert suggestions("Epinepherine 1 mg")[0].detail == "epinephrine"
    assert suggestions("VF shock 200 J")[0].detail == "vf"
    assert suggestions("Shok")[0].kind == "shock"


@pytest.mark.parametrize("name", [*KINDS, *RHYTHMS, *DRUGS])
def test_every_name_of_the_tables_is_understood_as_itself(name):
    if name == "unmapped":
        assert name not in phrases()
        return
    meant = understand(name)

    assert name in (meant.kind, meant.detail)


@pytest.mark.parametrize("kind", [kind for kind in KINDS.values() if kind.also], ids=lambda kind: kind.name)
def test_every_word_of_a_kind_means_it(kind):
    assert [word for word in kind.also if understand(word).kind != kind.name] == []


def test_answers_are_kept_under_the_label_without_amounts_and_counts():
    assert key_of("Kick #2 200 J") == key_of("kick 300J") == "kick"
