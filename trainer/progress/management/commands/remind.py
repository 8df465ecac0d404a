"""`manage.py remind`: end checks that were left open, and mail what is due to those who asked to be reminded; run it
once a day, or more often."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage, get_connection
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from trainer.progress.check_next import end_overdue
from trainer.progress.reminders import remind, those_who_asked


class Command(BaseCommand):
    """One mail a person a day at most, however often this is run."""

    help = "End checks that were left open; mail what is due to those who asked: one mail a person a day at most."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--site", default="", help="address of the site, like https://levelhead.example")

    def handle(self, **options: Any) -> None:
        site = options["site"] or default_site()
        if not site.startswith(("http://", "https://")):
            raise CommandError("Say where the site is: --site https://levelhead.example")
        now = timezone.now()
        ended = end_overdue(now)
        people = those_who_asked()
        with get_connection() as line:

            def send(mail: EmailMessage) -> None:
                line.send_messages([mail])

            sent = remind(people, now, site=site, send=send)
        if ended:
            self.stdout.write(f"{ended} check{'' if ended == 1 else 's'} left open too long ended.")
        self.stdout.write(f"{sent} of {len(people)} people who asked for it were sent a mail.")


def default_site() -> str:
    """The first host that the site answers to; empty where that is a pattern."""
    host = next((host for host in settings.ALLOWED_HOSTS if not host.startswith((".", "*"))), "")
    if not host:
        return ""
    return f"https://{host}" if settings.PRODUCTION else f"http://{host}:8000"
