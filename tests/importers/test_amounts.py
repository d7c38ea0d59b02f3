"""Amounts, their units, and what is odd about them."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from debrief.importers import amounts, read_event
from debrief.importers import rows as reading_of_rows
from debrief.words import UNITS


def settled(text, unit="", kind="drug", detail="epinephrine", comma=False):
    found = amounts.read(text, unit, comma)
    return amounts.settle(found, kind, detail)


def codes(amount):
    return [each.code for each in amount.notices]


@given(st.integers(1, 10**9), st.integers(0, 4), st.sampled_from(sorted(set(UNITS) - {"in"})), st.booleans())
def test_a_number_with_any_unit_comes_back(digits, decimals, name, comma):
    """Whatever the number, the unit and the decimal sign."""
    text = f"{digits / 10**decimals:.{decimals}f}"
    written = text.replace(".", ",") if comma else text

    found = amounts.scan(f"{written} {name}", decimal_comma=comma)

    assert (found.value, found.unit, found.rest.strip()) == (float(text), name, "")


@given(st.floats(0.001, 1000), st.sampled_from([1000, 10_000, 100_000]))
def test_volume_by_strength_is_mass(volume_ml, parts):
    found = settled(f"{volume_ml:.3f} mL 1:{parts}")

    assert found.unit == "mg"
    assert found.value == pytest.approx(float(f"{volume_ml:.3f}") * 1000 / parts, rel=1e-9)


@pytest.mark.parametrize(
    ("text", "unit", "value_mg"),
    [
        ("10 mL of 0.1 mg/mL", "", 1),
        ("10", "mL of 0.1 mg/mL", 1),
        ("1 mL 1:1000", "", 1),
        ("10 mL 1:10 000", "", 1),
        ("10 mL 1:10,000", "", 1),
        ("10 mL 1 in 10000", "", 1),
        ("10 mL of 1 mg/10 mL", "", 1),
        ("500", "mcg", 0.5),
        ("500", "µg", 0.5),
        ("0.01 g", "", 10),
        ("0,5", "mg", 0.5),
        ("1 mg", "", 1),
        ("1 mg 1:1000", "", 1),
        ("1mg", "", 1),
    ],
)
def test_doses_become_milligrams(text, unit, value_mg):
    found = settled(text, unit)

    assert (found.value, found.unit, found.notices) == (value_mg, "mg", ())


@pytest.mark.parametrize(
    ("text", "comma", "value"),
    [
        ("1,000", False, 1000),
        ("1,000", True, 1),
        ("0,500", False, 0.5),
        ("1 000", False, 1000),
        ("1.234,5", True, 1234.5),
        ("1,234.5", False, 1234.5),
        ("0,5", False, 0.5),
    ],
)
def test_commas_and_points(text, comma, value):
    assert amounts.number(text, comma) == value


@pytest.mark.parametrize("text", ["5 mcg/min", "0.1 mcg/kg/min", "6 mg/h", "10 mL/h"])
def test_a_rate_is_an_infusion(text):
    assert settled(text).infusion


def test_a_rate_by_weight_is_never_turned_into_milligrams():
    found = settled("0.1 mcg/kg/min")

    assert (found.value, found.unit) == (0.1, "mcg/kg/min")


@pytest.mark.parametrize(
    ("text", "unit", "kind", "detail", "code"),
    [
        ("1", "", "drug", "epinephrine", "unit_missing"),
        ("35", "", "etco2", None, "unit_missing"),
        ("50", "", "compression", None, "unit_missing"),
        ("1", "spoon", "drug", "epinephrine", "unit_unknown"),
        ("1 spoon", "", "drug", "epinephrine", "unit_unknown"),
        ("10", "mL", "drug", "epinephrine", "strength_missing"),
        ("100", "mg", "drug", "epinephrine", "amount_large"),
        ("5000", "J", "shock", None, "amount_large"),
        ("0", "mg", "drug", "epinephrine", "amount_not_positive"),
        ("-1", "mg", "drug", "amiodarone", "amount_not_positive"),
        ("200", "mg", "shock", None, "unit_odd"),
        ("12", "J", "etco2", None, "unit_odd"),
    ],
)
def test_what_is_odd_is_told_and_kept_as_read(text, unit, kind, detail, code):
    found = settled(text, unit, kind, detail)

    assert codes(found) == [code]
    assert abs(found.value) == float(text.split()[0].lstrip("-"))


def test_energy_without_a_unit_is_in_joules():
    found = settled("200", kind="shock", detail=None)

    assert (found.value, found.unit, found.notices) == (200.0, "J", ())


@pytest.mark.parametrize("detail", ["saline", "blood"])
def test_fluids_are_given_by_volume(detail):
    assert settled("250 mL", detail=detail).notices == ()


@pytest.mark.parametrize("text", ["forty", "1 mg x2", "1-2 mg", "?", "half a syringe"])
def test_what_is_no_amount_is_not_read(text):
    assert amounts.read(text, "mg") is None


@pytest.mark.parametrize(
    ("text", "seconds"),
    [("12", 12), ("0:12", 12), ("1:05", 65), ("12 s", 12), ("1 min", 60), ("2.5", 2.5), ("long", None)],
)
def test_lengths(text, seconds):
    assert amounts.length_us(text) == (None if seconds is None else seconds * 1_000_000)


AMOUNT = st.one_of(
    st.floats(0.001, 900).map(lambda value: f"{value:.3f}"),
    st.integers(0, 500).map(str),
    st.sampled_from(
        ["", "0", "-1", "52 mm", "1,5", "1,000", "5.1 cm", "2.1 in", "much", "1e3", "007", "5.", ".5"]
    ),
)


@settings(deadline=None)
@given(
    rows=st.lists(
        st.tuples(st.sampled_from(["compression", "shock", "epinephrine", "etco2 2 kPa"]), AMOUNT),
        max_size=20,
    ),
    heading=st.sampled_from(
        ["amount", "depth (mm)", "dose (mg)", "energy (J)", "depth (in)", "value (spoons)"]
    ),
    comma=st.booleans(),
)
def test_many_different_amounts_are_read_like_each_by_itself(tmp_path_factory, rows, heading, comma):
    """Reading numbers of a column together changes no amount, unit or note, and tells of the same rows."""
    sign = ";" if comma else ","
    lines = [sign.join(["time", "mark", heading])]
    lines += [
        sign.join(["14:03", mark, amount if comma else amount.replace(",", " ")]) for mark, amount in rows
    ]
    path = tmp_path_factory.mktemp("amounts") / "log.csv"
    path.write_text("\n".join([*lines, f"14:04{sign}ROSC{sign}"]) + "\n", encoding="utf-8")

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(reading_of_rows, "MANY", 10_000)
        apart = read_event([path])
        patch.setattr(reading_of_rows, "MANY", 0)
        together = read_event([path])

    assert together.marks.equals(apart.marks)
    assert places(together) == places(apart)


def places(event):
    """Return all rows that are told, by code."""
    found = {}
    for each in event.problems:
        for run in (each.place or "").split(", "):
            first, _, last = run.partition("-")
            rows = range(int(first), int(last or first) + 1) if first.isdecimal() else [first]
            found.setdefault(each.code, set()).update(rows)
    return found


@pytest.mark.parametrize("text", ["192.0.2.44", "1.2.3 mg", "1.000.000", "shock 1.2.3 J", "1.2.3 mg/mL 3 mL"])
def test_digits_with_several_dots_are_no_amount(text):
    """An address or a date in a column of marks; which of its parts would be the amount nobody can say."""
    reading = amounts.scan(text)

    assert (reading.value, reading.mg_per_ml) == ((3.0, None) if text.endswith("3 mL") else (None, None))
