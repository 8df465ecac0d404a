"""What a person asked to keep of looks at own frames. It is no evidence and counts for nothing."""

from __future__ import annotations

import uuid
from typing import ClassVar

from django.conf import settings
from django.db import models


class Look(models.Model):
    """The numbers of one look and, if asked for, the picture made anew from its pixels. Seen by its person alone."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="looks")
    note = models.CharField(max_length=80, blank=True)
    """In the person's own words, to know it again."""
    body = models.JSONField()
    """What the child process found, as `trainer.looks.child` writes it."""
    picture = models.BinaryField(null=True)
    """JPEG of at most 2048 px across, with no metadata; nothing when only the numbers are kept."""
    made_at = models.DateTimeField()

    objects: ClassVar[models.Manager[Look]] = models.Manager()

    class Meta:
        indexes = [models.Index(fields=["person", "made_at"], name="looks_of_a_person")]

    def __str__(self) -> str:
        return f"look {self.id}"


__all__ = ["Look"]
