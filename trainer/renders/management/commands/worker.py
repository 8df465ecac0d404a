"""`manage.py worker`: do the queued work, and take over what a dead worker left."""

from __future__ import annotations

import logging
import secrets
import threading
from typing import Any

from django.core.management.base import BaseCommand, CommandParser
from django.db import connection
from django_tasks_db.management.commands.db_worker import Worker
from django_tasks_db.models import DBTaskResult

from trainer.renders.alive import Alive, give_back, reap
from trainer.renders.hand import Hand, Limits, serve

POLL_S = 0.2
REAP_EVERY_S = 5.0

log = logging.getLogger(__name__)


class Foreman(Worker):
    """A worker that has its tasks done by a hand, and gives back what the hand was cut off from."""

    def __init__(self, hand: Hand, **options: Any) -> None:
        super().__init__(**options)
        self.hand = hand

    def run_task(self, db_task_result: DBTaskResult[..., Any]) -> None:
        """Have one claimed task done within the limits."""
        self.running_task = True
        try:
            if cut_off := self.hand.do(db_task_result.pk):
                log.warning("task %s: %s", db_task_result.pk, cut_off)
                give_back(db_task_result, cut_off)
        finally:
            self.running_task = False


class Command(BaseCommand):
    """Run one worker until it is told to stop."""

    help = "Do the queued work beside the web process; a dead worker's work is begun again."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--until-idle", action="store_true", help="stop when nothing is left to do")
        parser.add_argument("--hand", action="store_true", help="do single tasks for the worker that began this one")

    def handle(self, *, until_idle: bool, hand: bool, **options: Any) -> None:
        worker_id = secrets.token_urlsafe(16)
        how: dict[str, Any] = {
            "queue_names": ["default"],
            "interval": POLL_S,
            "batch": until_idle,
            "backend_name": "default",
            "startup_delay": False,
            "max_tasks": None,
            "worker_id": worker_id,
            "excluded_queue_names": [],
        }
        if hand:
            serve(Limits.of_site(), **how)
        alive = Alive(worker_id)
        alive.take()
        stop = threading.Event()
        reaper = threading.Thread(target=keep_reaping, args=(stop,), name="reaper", daemon=True)
        reap()
        reaper.start()
        doing = Hand(Limits.of_site())
        worker = Foreman(doing, **how)
        worker.configure_signals()
        try:
            worker.run()
        finally:
            doing.close()
            stop.set()
            reaper.join()
            alive.drop()


def keep_reaping(stop: threading.Event) -> None:
    """Reap every few seconds until told to stop; a database that is away for a while is waited for."""
    while not stop.wait(REAP_EVERY_S):
        try:
            reap()
        except Exception:
            log.exception("could not look for work of dead workers")
        finally:
            connection.close()
