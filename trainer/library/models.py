"""Every edition of every recipe, floor, kit and house standard that was ever on the shelf, by its content.

Most come from the files. A firm's own kits, standards and readiness rules are editions too, under the firm's name.
"""

from __future__ import annotations

from typing import ClassVar

from django.conf import settings
from django.db import models

from trainer.people.models import Firm


class Edition(models.Model):
    """One content under its own hash; it never changes. ``current`` marks the one that is on the shelf now."""

    class What(models.TextChoices):
        """Which form of the scenario format it has."""

        RECIPE = "recipe"
        FLOOR = "floor"
        KIT = "kit"
        STANDARD = "standard"
        RULE = "rule"

    address = models.CharField(max_length=64, primary_key=True)
    what = models.CharField(max_length=10, choices=What.choices)
    name = models.CharField(max_length=60)
    body = models.JSONField()
    since = models.DateTimeField()
    current = models.BooleanField(default=True)
    firm = models.ForeignKey(Firm, on_delete=models.CASCADE, null=True, related_name="editions")
    """Whose own it is; empty for what comes from the files."""
    holds_from = models.DateField(null=True)
    """First day of a firm's own standard or rule; empty for everything else."""
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")
    """Who entered it for the firm."""

    objects: ClassVar[models.Manager[Edition]] = models.Manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["what", "name"], condition=models.Q(current=True), name="one_current_edition_of_a_name"
            )
        ]

    def __str__(self) -> str:
        return f"{self.what} {self.name} {self.address[:8]}"


class KitInUse(models.Model):
    """The kit that a person works with now: cases are made for it where they can be."""

    person = models.OneToOneField(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="kit_in_use")
    kit = models.CharField(max_length=60)
    since = models.DateTimeField()

    objects: ClassVar[models.Manager[KitInUse]] = models.Manager()

    def __str__(self) -> str:
        return self.kit


__all__ = ["Edition", "KitInUse"]
