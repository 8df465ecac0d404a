"""The days of a plan as a calendar file (iCalendar, RFC 5545): whole-day entries that any calendar takes in.

The name of an entry stays the same when the file is taken in again, so that nothing stands there twice. It holds no
figure about the person.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from icalendar import Calendar, Event

from trainer.progress.own_plan import OwnPlan

MAKER = "-//Levelhead//plan//EN"
PARKED = "Only parked, engine off. You can stop at any time; what is done stays."


def calendar_of(plan: OwnPlan, address: str, now: datetime) -> bytes:
    """The sittings that are still to come and the day itself. ``address`` is the page of the plan."""
    calendar = Calendar()
    calendar.add("prodid", MAKER)
    calendar.add("version", "2.0")
    days = [sitting.on for sitting in plan.sittings if sitting.on >= now.date()]
    for number, day in enumerate(days, 1):
        words = f"Sitting {number} of {len(days)}. {PARKED}\n{address}"
        part = f"sitting-{day:%Y%m%d}"
        calendar.add_component(_event(plan, part, day, f"Practise: {plan.title}", words, address, now))
    title = f"Be ready: {plan.title}"
    calendar.add_component(_event(plan, "ready", plan.ready_on, title, address, address, now))
    return bytes(calendar.to_ical())


def _event(plan: OwnPlan, part: str, day: date, title: str, words: str, address: str, now: datetime) -> Event:
    event = Event()
    event.add("uid", f"{part}-{plan.refresher_id}@levelhead")
    event.add("dtstamp", now.astimezone(UTC).replace(microsecond=0))
    event.add("dtstart", day)
    event.add("dtend", day + timedelta(days=1))
    event.add("summary", title)
    event.add("description", words)
    event.add("url", address)
    event.add("transp", "TRANSPARENT")
    event.add("class", "PRIVATE")
    return event


__all__ = ["MAKER", "calendar_of"]
