"""What a worker does beside the requests. Every task may run twice or be cut off: what is stored stays stored."""

from __future__ import annotations

from django.utils import timezone
from django_tasks import task
from django_tasks.base import TaskResultStatus
from django_tasks_db.models import DBTaskResult

from trainer.library.shelf import NotOnShelf, basis
from trainer.renders import stock


@task()
def keep_ready(recipe: str, wanted: int, kit: str = "", standard_address: str = "") -> int:
    """Make one variation of the recipe, and queue up again while fewer than ``wanted`` are stored.

    With another kit than the recipe's, or by a firm's own standard, where they are named.
    """
    try:
        made_of = basis(recipe, kit=kit, standard_address=standard_address)
    except NotOnShelf:
        return 0
    missing = stock.make_ready(made_of, wanted, timezone.now(), at_most=1)
    if missing:
        ask_for(recipe, wanted, kit=kit, standard_address=standard_address)
    return missing


def ask_for(recipe: str, wanted: int, *, kit: str = "", standard_address: str = "") -> bool:
    """Queue the making of variations, unless that very work is queued already; says whether it was queued."""
    own = (kit, standard_address) if kit or standard_address else ()
    waiting = DBTaskResult.objects.filter(
        status=TaskResultStatus.READY,
        task_path=keep_ready.module_path,
        args_kwargs={"args": [recipe, wanted, *own], "kwargs": {}},
    )
    if waiting.exists():
        return False
    keep_ready.enqueue(recipe, wanted, *own)
    return True


__all__ = ["ask_for", "keep_ready"]
