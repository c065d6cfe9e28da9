"""The programme as a calendar file (iCalendar, RFC 5545), one event for each piece of a day's work."""

from __future__ import annotations

from hashlib import sha256

from takeoff import __version__
from takeoff.programme.list_schedule import Programme


def calendar_bytes(programme: Programme, job: str) -> bytes:
    """The file's bytes; the same programme gives the same bytes. Moments have no zone: the site's own time."""
    from icalendar import Calendar, Event

    calendar = Calendar()
    calendar.add("prodid", f"-//takeoff//{__version__}//EN")
    calendar.add("version", "2.0")
    for planned in programme.planned:
        for number, (start, end) in enumerate(planned.parts):
            event = Event()
            name = f"{job}|{planned.activity.id}|{number}|{start:%Y%m%dT%H%M}"
            event.add("uid", f"{sha256(name.encode()).hexdigest()[:24]}@takeoff")
            event.add("dtstamp", programme.begins)
            event.add("dtstart", start)
            event.add("dtend", end)
            event.add("summary", f"{planned.activity.room}: {planned.activity.what}".strip(": "))
            event.add("description", job)
            calendar.add_component(event)
    return bytes(calendar.to_ical())
