"""An instant written as text, as a count of days: the only clock that the sun needs is one that is given."""

from __future__ import annotations

import re

J2000_JD = 2451545.0
"""Julian day of 2000-01-01 12:00."""

_FORM = re.compile(r"(\d{4})-(\d\d)-(\d\d)T(\d\d):(\d\d)(?::(\d\d(?:\.\d{1,6})?))?(Z|[+-]\d\d:\d\d)?", re.ASCII)
_MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def days_from_civil(year: int, month: int, day: int) -> int:
    """Days from 1970-01-01 to a date of the Gregorian calendar."""
    from_march = year if month > 2 else year - 1
    leap_days = from_march // 4 - from_march // 100 + from_march // 400
    in_year = (153 * (month - 3 if month > 2 else month + 9) + 2) // 5 + day - 1
    return 365 * from_march + leap_days + in_year - 719468


def civil_from_days(days: int) -> tuple[int, int, int]:
    """Year, month and day of the date that lies so many days after 1970-01-01: the inverse of `days_from_civil`."""
    year = 1970 + days // 366
    while days_from_civil(year + 1, 1, 1) <= days:
        year += 1
    month = 12
    while days_from_civil(year, month, 1) > days:
        month -= 1
    return year, month, days - days_from_civil(year, month, 1) + 1


def julian_day(when_iso: str) -> float:
    """Julian day (UTC) of an instant in ISO 8601: ``2025-12-21T12:00``, and ``:00``, ``Z`` or ``+01:00`` after it.

    An instant without offset is universal time. ValueError names what cannot be read.
    """
    match = _FORM.fullmatch(when_iso)
    if match is None:
        raise ValueError(f"{when_iso!r} is no instant; write 2025-12-21T12:00 or 2025-12-21T12:00:00+01:00")
    year, month, day, hour, minute = (int(part) for part in match.groups()[:5])
    second = float(match[6] or 0.0)
    if not 1 <= month <= 12 or not 1 <= day <= _MONTH_DAYS[month - 1] + (month == 2 and _leap(year)):
        raise ValueError(f"{when_iso!r}: there is no such date")
    if hour > 23 or minute > 59 or second >= 60.0:
        raise ValueError(f"{when_iso!r}: there is no such time of day")
    offset_min = 0
    if match[7] and match[7] != "Z":
        offset_min = int(match[7][1:3]) * 60 + int(match[7][4:6])
        if offset_min > 14 * 60:
            raise ValueError(f"{when_iso!r}: no clock is that far from universal time")
        offset_min = -offset_min if match[7][0] == "-" else offset_min
    of_day = (hour * 60 + minute - offset_min) / 1440.0 + second / 86400.0
    return days_from_civil(year, month, day) + 2440587.5 + of_day


def _leap(year: int) -> bool:
    return year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)


__all__ = ["J2000_JD", "civil_from_days", "days_from_civil", "julian_day"]
