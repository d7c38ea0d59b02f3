"""Whole microseconds: the only unit in which times are added and compared.

Seconds as floats appear where people read them (the contract, the screen) and nowhere before.
"""

US = 1_000_000
"""Microseconds in a second."""

MINUTE_US = 60 * US
HOUR_US = 3600 * US
DAY_US = 24 * HOUR_US


def to_us(seconds: float) -> int:
    """Return seconds as whole microseconds, rounded to the nearest."""
    return round(seconds * US)


def to_s(us: int) -> float:
    """Return whole microseconds as seconds."""
    return us / US


def clock(seconds: float) -> str:
    """Return seconds as minutes and seconds for reading: ``4:44``, ``1:02:03``, ``-0:30``."""
    whole = round(abs(seconds))
    hours, rest = divmod(whole, 3600)
    text = f"{hours}:{rest // 60:02}:{rest % 60:02}" if hours else f"{rest // 60}:{rest % 60:02}"
    return f"-{text}" if seconds < 0 and whole else text
