"""What was computed and may be asked for again, by content address; what a worker keeps ready."""

from __future__ import annotations

from typing import ClassVar

from django.db import models


class Result(models.Model):
    """One heavy computation's outcome. Losing it loses time, never an answer."""

    address = models.CharField(max_length=64, primary_key=True)
    what = models.CharField(max_length=30)
    body = models.JSONField()
    made_at = models.DateTimeField()

    objects: ClassVar[models.Manager[Result]] = models.Manager()

    def __str__(self) -> str:
        return f"{self.what} {self.address[:8]}"


class Variation(models.Model):
    """One task with its reference stored, ready to be issued. ``address`` is that of its basis."""

    address = models.CharField(max_length=64, db_index=True)
    recipe = models.CharField(max_length=60)
    kit = models.CharField(max_length=60)
    seed = models.BigIntegerField()
    task = models.JSONField()
    """The whole task, key and all: it stays on the server."""
    difficulty_logit = models.FloatField()
    fingerprint = models.CharField(max_length=128)
    made_at = models.DateTimeField()

    objects: ClassVar[models.Manager[Variation]] = models.Manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["address", "seed"], name="one_variation_of_a_seed"),
            models.UniqueConstraint(fields=["address", "fingerprint"], name="no_variation_looks_like_another"),
        ]

    def __str__(self) -> str:
        return f"{self.recipe} seed {self.seed}"


class Unfit(models.Model):
    """A seed that makes no fair variation, with the reason; it is not tried again."""

    address = models.CharField(max_length=64)
    seed = models.BigIntegerField()
    reason = models.TextField()

    objects: ClassVar[models.Manager[Unfit]] = models.Manager()

    class Meta:
        verbose_name_plural = "unfit"
        constraints = [models.UniqueConstraint(fields=["address", "seed"], name="unfit_once")]

    def __str__(self) -> str:
        return f"seed {self.seed}: {self.reason}"
