"""What the ledger adds up to. These tables may be dropped: catching up from zero makes them again, equal."""

from __future__ import annotations

import uuid
from typing import ClassVar

from django.conf import settings
from django.db import models

from trainer.progress.schedule import Spaced


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
    stability_days = models.FloatField(null=True)
    hardness = models.FloatField(null=True)
    due_at = models.DateTimeField(null=True)
    """When it is best practised again, with the two numbers behind it (see schedule); it says nothing of readiness."""

    objects: ClassVar[models.Manager[Record]] = models.Manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["person", "skill"], name="one_record_of_a_skill")]

    def __str__(self) -> str:
        return f"{self.skill}: {self.credit_sum:.2f} of {self.n}"

    @property
    def mean_credit(self) -> float:
        """Mean credit, 0..1."""
        return self.credit_sum / self.n if self.n else 0.0

    @property
    def spaced(self) -> Spaced | None:
        """The spacing so far; None before the first answer."""
        if self.stability_days is None or self.hardness is None or self.due_at is None:
            return None
        return Spaced(self.stability_days, self.hardness, self.last_at, self.due_at)


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


class Judgement(models.Model):
    """One graded verdict on a frame: whether it had to be redone, and whether the person would redo it."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="judgements")
    entry = models.BigIntegerField()
    """Number of the ledger's entry that it was folded from."""
    faulty = models.BooleanField()
    redone = models.BooleanField()
    at = models.DateTimeField()

    objects: ClassVar[models.Manager[Judgement]] = models.Manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["person", "entry"], name="judgement_once")]

    def __str__(self) -> str:
        return f"{'faulty' if self.faulty else 'good'}, {'redo' if self.redone else 'keep'}"


class Standing(models.Model):
    """Where one person stood on the last day on which something happened, by the rule; it moves on by its two dates.

    Made again from evidence and from what trainers entered, whenever either is newer (see standings).
    """

    person = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, primary_key=True, related_name="standing"
    )
    folded = models.BigIntegerField(default=0)
    """The last entry of the ledger about this person that was folded into evidence."""
    voids = models.PositiveIntegerField(default=0)
    """Voids folded; each of them changes days that are gone."""
    made_to = models.BigIntegerField(default=-1)
    """The value of ``folded`` when the columns below were made; -1 before that."""
    made_voids = models.PositiveIntegerField(default=0)
    entered = models.PositiveIntegerField(default=0)
    """So many entries of trainers (shoots, strikes, kit changes) were read."""
    rule = models.CharField(max_length=40, default="")
    set_version = models.CharField(max_length=60, default="")
    population = models.CharField(max_length=60, default="")
    """Version of what is assumed of people and cases: spreads, novice level, half-lives."""
    day = models.DateField(null=True)
    """The last day with an entry."""
    state = models.CharField(max_length=12, default="untried")
    since = models.DateField(null=True)
    """The day on which that state began."""
    before = models.CharField(max_length=12, default="untried")
    """The state before that day."""
    before_since = models.DateField(null=True)
    score = models.FloatField(default=0.0)
    low = models.FloatField(default=0.0)
    high = models.FloatField(default=100.0)
    chance = models.FloatField(default=0.0)
    n = models.PositiveIntegerField(default=0)
    due_on = models.DateField(null=True)
    """The first day on which somebody who is ready now is due, if nothing more happens."""
    lapsed_on = models.DateField(null=True)
    gaps = models.JSONField(default=list)
    """What is missing for ready: [{what, skill, found, asked}]."""
    later = models.JSONField(default=dict)
    """What will be missing on the two days: {"due": gaps, "lapsed": gaps}; the overall one with its day and the figures
    of that day: {on, score, low, more}."""
    causes = models.JSONField(default=dict)
    """What ended ready (see ended): {"told": of the state, "before": of the one before, "due" and "lapsed": of the two
    days}, each a list of {what, skill, found, asked, before, before_on, parts}."""
    skills = models.JSONField(default=dict)
    """{skill code: score, low, high, chance, count, counted, right, call, more, newest}; {shown} where only a signed
    shoot can show it. ``counted`` leaves out what came before a change of kit."""
    more = models.PositiveSmallIntegerField(null=True)
    """By about so many more cases somebody like this is ready four times of five; null where by no number."""

    objects: ClassVar[models.Manager[Standing]] = models.Manager()

    def __str__(self) -> str:
        return f"{self.state} on {self.day}"


class DaySet(models.Model):
    """The drills chosen for one person for one day, and why each; kept, so that a reload shows the same ones."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="day_sets")
    day = models.DateField()
    picks = models.JSONField()
    """[{recipe, skill, reason, words}], in order; {since} besides for those kept when the rest was chosen anew."""
    made_at = models.DateTimeField()
    """When it was chosen, or chosen anew."""

    objects: ClassVar[models.Manager[DaySet]] = models.Manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["person", "day"], name="one_set_a_day")]

    def __str__(self) -> str:
        return f"{len(self.picks)} drills for {self.day}"


class ReadinessRecord(models.Model):
    """What was true of one person on one day, as the person chose to let others check it, until it expires."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="readiness_records")
    code = models.CharField(max_length=16, unique=True)
    """Random; whoever has it may ask whether the record stands."""
    body = models.JSONField()
    """All that it says: name, firm, state, figures, rule, dates, shoot, check."""
    made_at = models.DateTimeField()
    expires_on = models.DateField()
    revoked_at = models.DateTimeField(null=True)
    revoked_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")

    objects: ClassVar[models.Manager[ReadinessRecord]] = models.Manager()

    def __str__(self) -> str:
        return f"record of {self.made_at:%Y-%m-%d}"


__all__ = ["Cursor", "DaySet", "Evidence", "Judgement", "ReadinessRecord", "Record", "Standing"]
