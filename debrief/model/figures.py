"""What a measure answers, before anybody judges it."""

from dataclasses import dataclass
from typing import Literal

State = Literal["known", "not_seen", "ended", "no_data", "not_applicable"]


@dataclass(frozen=True)
class Finding:
    """One figure of one event, measured and bounded but not judged.

    ``state`` says what a missing value means: ``not_seen`` (its sources record such things, covered
    ``observed`` seconds and none was marked: right-censored), ``ended`` (the arrest ended after ``observed``
    seconds without one), ``no_data`` or ``not_applicable``. ``because`` is the sentence that goes with it.
    """

    name: str
    unit: str
    value: float | bool | None = None
    low: float | None = None
    high: float | None = None
    state: State = "known"
    because: str | None = None
    observed: float | None = None
    """How long was looked where nothing was seen. [s]"""
    open_above: bool = False
    """The value is a lower bound (time zero was assumed): ``high`` is null and it is never ``met``."""
    doubt: str | None = None
    """Why no verdict but ``uncertain`` can be given although a value stands, such as coverage under 0.8."""
    assessed: bool = False
    """Bounds were simulated; without, the verdict is on the value."""


@dataclass(frozen=True)
class Facts:
    """What the judge must know of the event to tell which targets speak. Null: not known.

    ``shock``: which shock of its episode a figure is about, counted from 1.
    """

    population: str = "adult"
    weight_kg: float | None = None
    first_rhythm_shockable: bool | None = None
    implanted_device_first: bool = False
    advanced_airway: bool = False
    amiodarone_first: bool = False
    lidocaine_first: bool = False
    shock: int = 1
