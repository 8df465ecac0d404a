"""`manage.py warm`: compile the kernels now, so that the first grade after a start is quick."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from trainer.renders.kernels import warm, warm_frames
from trainer.renders.stale import drop_stale


class Command(BaseCommand):
    """Compile every numeric kernel into its cache."""

    help = "Compile the numeric kernels ahead of the first request."

    def handle(self, **options: Any) -> None:
        drop_stale()
        name = warm()
        warm_frames()
        self.stdout.write(f"Kernels compiled on {name}." if name else "The shelf is empty; nothing compiled.")
