"""What the ledger adds up to. These tables may be dropped: catching up from zero makes them again, equal."""

from __future__ import annotations

from typing import ClassVar

from django.conf import settings
from django.db import models


class Cursor(models.Model):
    """How far the ledger has been folded: the number of the last entry."""

    name = models.CharField(max_length=20, primary_key=True)
    entry = models.BigIntegerField(default=0)

    objects: ClassVar[models.Manager[Cursor]] = models.Manager()

    def __str__(self) -> str:
        return f"{self.name} at {self.entry}"


class Record(models.Model):
    """What one person's ledger says about one skill."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="records")
    skill = models.CharField(max_length=4)
    n = models.PositiveIntegerField(default=0)
    credit_sum = models.FloatField(default=0.0)
    last_at = models.DateTimeField()

    objects: ClassVar[models.Manager[Record]] = models.Manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["person", "skill"], name="one_record_of_a_skill")]

    def __str__(self) -> str:
        return f"{self.skill}: {self.credit_sum:.2f} of {self.n}"

    @property
    def mean_credit(self) -> float:
        """Mean credit, 0..1."""
        return self.credit_sum / self.n if self.n else 0.0


class Evidence(models.Model):
    """One piece of evidence on one skill, as the ability model reads it, in the order of the ledger."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="evidence")
    entry = models.BigIntegerField()
    """Number of the ledger's entry that it was folded from."""
    skill = models.CharField(max_length=4)
    recipe = models.CharField(max_length=60)
    credit = models.FloatField()
    difficulty_logit = models.FloatField()
    difficulty_sd = models.FloatField()
    guess_floor = models.FloatField()
    at = models.DateTimeField()

    objects: ClassVar[models.Manager[Evidence]] = models.Manager()

    class Meta:
        verbose_name_plural = "evidence"
        constraints = [models.UniqueConstraint(fields=["person", "entry", "skill"], name="evidence_once")]

    def __str__(self) -> str:
        return f"{self.skill} {self.credit:.2f}"
