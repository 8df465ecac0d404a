"""Every edition of every recipe, floor, kit and house standard that was ever on the shelf, by its content."""

from __future__ import annotations

from typing import ClassVar

from django.db import models


class Edition(models.Model):
    """One content under its own hash; it never changes. ``current`` marks the one that is on the shelf now."""

    class What(models.TextChoices):
        """Which form of the scenario format it has."""

        RECIPE = "recipe"
        FLOOR = "floor"
        KIT = "kit"
        STANDARD = "standard"

    address = models.CharField(max_length=64, primary_key=True)
    what = models.CharField(max_length=10, choices=What.choices)
    name = models.CharField(max_length=60)
    body = models.JSONField()
    since = models.DateTimeField()
    current = models.BooleanField(default=True)

    objects: ClassVar[models.Manager[Edition]] = models.Manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["what", "name"], condition=models.Q(current=True), name="one_current_edition_of_a_name"
            )
        ]

    def __str__(self) -> str:
        return f"{self.what} {self.name} {self.address[:8]}"
