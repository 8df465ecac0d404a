"""The ledger. Rows are added, never changed or removed: the database itself refuses it (see append_only).

Attempt  --closed once by-->  Answer  --judged by-->  Grade
   \\________________________ Void (with its reason)
Entry: the order of all that counts, for whoever folds the ledger
"""

from __future__ import annotations

import uuid
from typing import ClassVar

from django.conf import settings
from django.db import models

from trainer.people.models import Firm


class Attempt(models.Model):
    """One task issued to one person, whole, so that it can be explained and computed again years later."""

    class Mode(models.TextChoices):
        """drill: explained at once. check: explained at the end. (What is tried out is never in the ledger.)"""

        DRILL = "drill"
        CHECK = "check"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="attempts")
    """Cut when a person is erased; nothing else of the row ever changes."""
    mode = models.CharField(max_length=10, choices=Mode.choices)
    kind = models.CharField(max_length=20)
    recipe = models.CharField(max_length=60)
    recipe_hash = models.CharField(max_length=64)
    kit = models.CharField(max_length=60)
    seed = models.BigIntegerField()
    engine = models.CharField(max_length=20)
    standard = models.CharField(max_length=40)
    standard_address = models.CharField(max_length=64)
    public = models.JSONField()
    key = models.JSONField()
    difficulty_logit = models.FloatField()
    difficulty_sd = models.FloatField()
    guess_floor = models.FloatField()
    fingerprint = models.CharField(max_length=128)
    issued_at = models.DateTimeField()

    objects: ClassVar[models.Manager[Attempt]] = models.Manager()

    class Meta:
        indexes = [models.Index(fields=["person", "recipe", "issued_at"], name="attempts_of_a_person")]

    def __str__(self) -> str:
        return f"attempt {self.id} at {self.recipe}"


class Answer(models.Model):
    """What was sent for an attempt, as it was sent."""

    attempt = models.OneToOneField(Attempt, on_delete=models.PROTECT, related_name="answer")
    client_key = models.UUIDField(unique=True)
    """Made by the sender, so that sending again cannot count twice."""
    body = models.JSONField()
    sureness = models.SmallIntegerField()
    """1 guessed, 2 fairly sure, 3 sure; said before the grade."""
    answered_at = models.DateTimeField()
    """By the clock of the device; may be wrong."""
    received_at = models.DateTimeField()

    objects: ClassVar[models.Manager[Answer]] = models.Manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(sureness__in=[1, 2, 3]), name="sureness_has_three_steps")
        ]

    def __str__(self) -> str:
        return f"answer to {self.attempt_id}"


class Grade(models.Model):
    """The grade as it was given, with the picture that explained it, for ever."""

    answer = models.OneToOneField(Answer, on_delete=models.PROTECT, related_name="grade")
    credit = models.FloatField()
    verdict = models.CharField(max_length=20)
    body = models.JSONField()
    """The whole grade: summary, marks with their shapes, evidence, the picture."""
    engine = models.CharField(max_length=20)
    standard = models.CharField(max_length=40)
    made_at = models.DateTimeField()

    objects: ClassVar[models.Manager[Grade]] = models.Manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(credit__gte=0.0, credit__lte=1.0), name="credit_is_a_share")
        ]

    def __str__(self) -> str:
        return f"{self.verdict} {self.credit:.2f}"


class Void(models.Model):
    """An attempt that does not count, and why."""

    attempt = models.OneToOneField(Attempt, on_delete=models.PROTECT, related_name="void")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")
    reason = models.CharField(max_length=300)
    made_at = models.DateTimeField()

    objects: ClassVar[models.Manager[Void]] = models.Manager()

    def __str__(self) -> str:
        return f"void: {self.reason}"


class Entry(models.Model):
    """One thing that happened, numbered in the order in which it was committed."""

    class What(models.TextChoices):
        """What happened."""

        GRADE = "grade"
        VOID = "void"
        ERASURE = "erasure"

    id = models.BigAutoField(primary_key=True)
    what = models.CharField(max_length=10, choices=What.choices)
    attempt = models.ForeignKey(Attempt, on_delete=models.PROTECT, null=True, related_name="entries")
    """Empty for an erasure, which names nobody."""
    made_at = models.DateTimeField()

    objects: ClassVar[models.Manager[Entry]] = models.Manager()

    class Meta:
        verbose_name_plural = "entries"
        constraints = [
            models.CheckConstraint(
                condition=models.Q(what="erasure", attempt__isnull=True)
                | models.Q(what__in=["grade", "void"], attempt__isnull=False),
                name="an_entry_names_its_attempt",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.id} {self.what}"


class Flag(models.Model):
    """Somebody says that a case is wrong, in words."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    attempt = models.ForeignKey(Attempt, on_delete=models.PROTECT, related_name="flags")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="flags")
    words = models.TextField(max_length=1000)
    made_at = models.DateTimeField()

    objects: ClassVar[models.Manager[Flag]] = models.Manager()

    def __str__(self) -> str:
        return self.words[:40]


class FlagReply(models.Model):
    """What came of a flag: the case stands, or it was voided for the firm."""

    flag = models.OneToOneField(Flag, on_delete=models.CASCADE, related_name="reply")
    firm = models.ForeignKey(Firm, on_delete=models.CASCADE, null=True, related_name="+")
    """Whose trainer settled it; another firm that the person works for sees nothing of it."""
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")
    stands = models.BooleanField()
    words = models.TextField(max_length=1000)
    made_at = models.DateTimeField()

    objects: ClassVar[models.Manager[FlagReply]] = models.Manager()

    def __str__(self) -> str:
        return self.words[:40]


class CaseVoid(models.Model):
    """A case (one variation of a recipe) that does not count for anybody of a firm, and why."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    firm = models.ForeignKey(Firm, on_delete=models.CASCADE, related_name="case_voids")
    recipe = models.CharField(max_length=60)
    fingerprint = models.CharField(max_length=128)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")
    reason = models.CharField(max_length=300)
    made_at = models.DateTimeField()

    objects: ClassVar[models.Manager[CaseVoid]] = models.Manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["firm", "fingerprint"], name="a_case_is_void_once_for_a_firm")]

    def __str__(self) -> str:
        return f"{self.recipe} void: {self.reason}"


class Check(models.Model):
    """A readiness check: cases one after the other, explained at the end, until the decision is safe."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="checks")
    rule = models.CharField(max_length=40)
    supervised_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")
    """Who said before the first answer that they sit beside; empty when nobody did."""
    opened_at = models.DateTimeField()

    objects: ClassVar[models.Manager[Check]] = models.Manager()

    def __str__(self) -> str:
        return f"check of {self.opened_at:%Y-%m-%d}"


class CheckCase(models.Model):
    """One case of a check, in its order."""

    readiness_check = models.ForeignKey(Check, on_delete=models.CASCADE, related_name="cases")
    attempt = models.OneToOneField(Attempt, on_delete=models.PROTECT, related_name="check_case")
    place = models.PositiveSmallIntegerField()

    objects: ClassVar[models.Manager[CheckCase]] = models.Manager()

    class Meta:
        ordering = ["place"]
        constraints = [models.UniqueConstraint(fields=["readiness_check", "place"], name="cases_of_a_check_in_order")]

    def __str__(self) -> str:
        return f"case {self.place}"


class CheckEnd(models.Model):
    """How a check ended, and the figures it rests on."""

    class Outcome(models.TextChoices):
        """What could be said."""

        READY = "ready"
        NOT_READY = "not ready"
        OPEN = "cannot be said"
        GIVEN_UP = "given up"

    readiness_check = models.OneToOneField(Check, on_delete=models.CASCADE, related_name="end")
    outcome = models.CharField(max_length=20, choices=Outcome.choices)
    chance = models.FloatField()
    score = models.FloatField()
    low = models.FloatField()
    high = models.FloatField()
    count = models.PositiveSmallIntegerField()
    ended_at = models.DateTimeField()

    objects: ClassVar[models.Manager[CheckEnd]] = models.Manager()

    def __str__(self) -> str:
        return self.outcome


class CheckWitness(models.Model):
    """Whoever sat beside a check says at its end whether the person answered alone; only then was it supervised."""

    readiness_check = models.OneToOneField(Check, on_delete=models.CASCADE, related_name="witness")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")
    alone = models.BooleanField()
    """Whether they stayed to the end and nobody helped."""
    made_at = models.DateTimeField()

    objects: ClassVar[models.Manager[CheckWitness]] = models.Manager()

    def __str__(self) -> str:
        return "answered alone" if self.alone else "not watched to the end"


__all__ = [
    "Answer", "Attempt", "CaseVoid", "Check", "CheckCase", "CheckEnd", "CheckWitness", "Entry", "Flag", "FlagReply",
    "Grade", "Void",
]  # fmt: skip
