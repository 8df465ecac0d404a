"""The worker makes the year as soon as the stock has cases of every recipe; until then the boards say so."""

from __future__ import annotations

from django.conf import settings
from django.utils import timezone
from django_tasks import task
from django_tasks.base import TaskResultStatus
from django_tasks_db.models import DBTaskResult

from trainer.people.models import Firm
from trainer.progress.demo.cast import firm_of_demo, is_cast
from trainer.progress.demo.pool import stocked_share
from trainer.progress.demo.year import make_year


@task()
def fill_demo() -> int:
    """Make the year, or queue up again behind whatever fills the stock; the number of answers made."""
    if settings.PRODUCTION or not settings.DEMO:
        return 0
    if stocked_share() < 1.0 and _others_wait():
        fill_demo.enqueue()
        return 0
    return make_year(timezone.now())


def ask_for_year() -> bool:
    """Queue the making of the year unless it is there or queued already; says whether it was queued."""
    firm = firm_of_demo()
    if firm is None or is_cast(firm):
        return False
    waiting = DBTaskResult.objects.filter(status=TaskResultStatus.READY, task_path=fill_demo.module_path)
    if waiting.exists():
        return False
    fill_demo.enqueue()
    return True


def being_made(firms: list[Firm]) -> bool:
    """Whether one of these firms is the invented one and its year is still to come."""
    return any(firm.invented and not is_cast(firm) for firm in firms) and settings.DEMO


def _others_wait() -> bool:
    rows = DBTaskResult.objects.filter(status=TaskResultStatus.READY)
    return bool(rows.exclude(task_path=fill_demo.module_path).exists())


__all__ = ["ask_for_year", "being_made", "fill_demo"]
