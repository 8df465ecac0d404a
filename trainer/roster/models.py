"""What people decide and enter. Rows are added; what was wrong is struck by another row, never changed.

ObservedShoot  a trainer watched a job          Struck       ... and took the entry back
Decision       hold, release, send anyway       Appeal       the person asks to look again; Reply answers
KitChange      which kit from when, what parts  KitCheck     a trainer signs the check list of those parts
Assignment     a drill given to a person        Withdrawal   ... and taken back
Remark         words on an attempt              Reminded     a mail went out that day
Refresher      a date to be ready by            Plan         what one person is asked for; RefresherEnd ends it
Reshoot        a real one, with its cause       StruckReshoot, ReshootImport (a file that was taken in, once)
JobCount       jobs shot in a month, to count reshoots against
"""

from __future__ import annotations

import uuid
from typing import Any, ClassVar

from django.conf import settings
from django.db import models

from trainer.people.access import DECIDING, LEADING, firm_between
from trainer.people.models import Firm, Role, Team

PERSON = settings.AUTH_USER_MODEL


class EnteredFor(models.Model):
    """A row about a person. It stays with the firm that it was entered for when the person works for another."""

    firm = models.ForeignKey(Firm, on_delete=models.CASCADE, null=True, related_name="+")
    """Empty where the person worked for none."""
    person_id: uuid.UUID
    ENTERED_AS: ClassVar[tuple[str, ...]] = LEADING
    """The roles in which somebody enters such a row; an owner enters every kind."""

    class Meta:
        abstract = True

    def save(self, *args: Any, **fields: Any) -> None:
        """Store it; a firm that was not given is the one in which ``by`` may enter it about the person."""
        if self.firm_id is None:
            self.firm_id = firm_between(self.person_id, getattr(self, "by_id", None), self.ENTERED_AS)
        super().save(*args, **fields)


class ObservedShoot(EnteredFor):
    """A trainer watched somebody shoot a home, skill by skill."""

    class Seen(models.TextChoices):
        """What was seen of one skill."""

        DONE = "done"
        NOT_DONE = "not done"
        NOT_SEEN = "not seen"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    person = models.ForeignKey(PERSON, on_delete=models.CASCADE, related_name="observed_shoots")
    by = models.ForeignKey(PERSON, on_delete=models.SET_NULL, null=True, related_name="+")
    shot_on = models.DateField()
    seen = models.JSONField()
    """{skill code: one of Seen}, for every starred skill."""
    signed = models.BooleanField()
    """Whether the trainer would send this person alone."""
    words = models.TextField(blank=True, max_length=2000)
    client_key = models.UUIDField(unique=True)
    """Made on the phone, so that sending again cannot count twice."""
    made_at = models.DateTimeField()
    ENTERED_AS = (Role.TRAINER,)

    objects: ClassVar[models.Manager[ObservedShoot]] = models.Manager()

    def __str__(self) -> str:
        return f"shoot of {self.shot_on}"


class Struck(models.Model):
    """An observed shoot that was entered in error, and why."""

    shoot = models.OneToOneField(ObservedShoot, on_delete=models.CASCADE, related_name="struck")
    by = models.ForeignKey(PERSON, on_delete=models.SET_NULL, null=True, related_name="+")
    reason = models.CharField(max_length=300)
    made_at = models.DateTimeField()

    objects: ClassVar[models.Manager[Struck]] = models.Manager()

    def __str__(self) -> str:
        return f"struck: {self.reason}"


class Decision(EnteredFor):
    """A named person decides about somebody, with a reason that is kept. The newest one stands."""

    class What(models.TextChoices):
        """hold: not to be sent. release: the rule's word counts again. send: may be sent until a day all the same."""

        HOLD = "hold"
        RELEASE = "release"
        SEND = "send"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    person = models.ForeignKey(PERSON, on_delete=models.CASCADE, related_name="decisions")
    by = models.ForeignKey(PERSON, on_delete=models.SET_NULL, null=True, related_name="+")
    what = models.CharField(max_length=10, choices=What.choices)
    reason = models.CharField(max_length=500)
    until = models.DateField(null=True)
    """Last day of a send; empty for the others."""
    made_at = models.DateTimeField()
    ENTERED_AS = DECIDING

    objects: ClassVar[models.Manager[Decision]] = models.Manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(what="send", until__isnull=False)
                | models.Q(what__in=["hold", "release"], until__isnull=True),
                name="only_a_send_has_an_end",
            )
        ]

    def __str__(self) -> str:
        return f"{self.what}: {self.reason}"


class Appeal(EnteredFor):
    """A person asks to have the own state looked at again."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    person = models.ForeignKey(PERSON, on_delete=models.CASCADE, related_name="appeals")
    state = models.CharField(max_length=20)
    """The state as it was shown."""
    words = models.TextField(max_length=1000)
    made_at = models.DateTimeField()

    objects: ClassVar[models.Manager[Appeal]] = models.Manager()

    def __str__(self) -> str:
        return f"appeal against {self.state}"


class Reply(models.Model):
    """The answer to an appeal."""

    appeal = models.OneToOneField(Appeal, on_delete=models.CASCADE, related_name="reply")
    by = models.ForeignKey(PERSON, on_delete=models.SET_NULL, null=True, related_name="+")
    words = models.TextField(max_length=1000)
    made_at = models.DateTimeField()

    objects: ClassVar[models.Manager[Reply]] = models.Manager()

    def __str__(self) -> str:
        return self.words[:40]


class KitChange(EnteredFor):
    """From a day on a person works with a kit; skills tagged with a changed part are due again."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    person = models.ForeignKey(PERSON, on_delete=models.CASCADE, related_name="kit_changes")
    by = models.ForeignKey(PERSON, on_delete=models.SET_NULL, null=True, related_name="+")
    kit = models.CharField(max_length=60)
    """Name of a kit on the shelf."""
    parts = models.JSONField()
    """List of the parts that changed (``kit_parts`` of the skill map); empty for a first kit."""
    made_at = models.DateTimeField()

    objects: ClassVar[models.Manager[KitChange]] = models.Manager()

    def __str__(self) -> str:
        return f"{self.kit} from {self.made_at:%Y-%m-%d}"


class KitCheck(models.Model):
    """A trainer went through the check list of the changed parts with the person, without photos."""

    change = models.OneToOneField(KitChange, on_delete=models.CASCADE, related_name="check_list")
    by = models.ForeignKey(PERSON, on_delete=models.SET_NULL, null=True, related_name="+")
    made_at = models.DateTimeField()

    objects: ClassVar[models.Manager[KitCheck]] = models.Manager()

    def __str__(self) -> str:
        return f"checked {self.made_at:%Y-%m-%d}"


class Assignment(EnteredFor):
    """A drill that a trainer or manager gives to a person."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    person = models.ForeignKey(PERSON, on_delete=models.CASCADE, related_name="assignments")
    by = models.ForeignKey(PERSON, on_delete=models.SET_NULL, null=True, related_name="+")
    recipe = models.CharField(max_length=60)
    count = models.PositiveSmallIntegerField(default=1)
    words = models.CharField(max_length=300, blank=True)
    due_on = models.DateField(null=True)
    made_at = models.DateTimeField()

    objects: ClassVar[models.Manager[Assignment]] = models.Manager()

    def __str__(self) -> str:
        return f"{self.recipe} for {self.person_id}"


class Withdrawal(models.Model):
    """An assignment that need not be done after all."""

    assignment = models.OneToOneField(Assignment, on_delete=models.CASCADE, related_name="withdrawal")
    by = models.ForeignKey(PERSON, on_delete=models.SET_NULL, null=True, related_name="+")
    made_at = models.DateTimeField()

    objects: ClassVar[models.Manager[Withdrawal]] = models.Manager()

    def __str__(self) -> str:
        return f"withdrawn {self.made_at:%Y-%m-%d}"


class Remark(EnteredFor):
    """A trainer's words on an attempt, for whoever made it."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    person = models.ForeignKey(PERSON, on_delete=models.CASCADE, related_name="remarks")
    attempt = models.UUIDField()
    by = models.ForeignKey(PERSON, on_delete=models.SET_NULL, null=True, related_name="+")
    words = models.TextField(max_length=1000)
    made_at = models.DateTimeField()

    objects: ClassVar[models.Manager[Remark]] = models.Manager()

    class Meta:
        indexes = [models.Index(fields=["attempt"], name="remarks_on_an_attempt")]

    def __str__(self) -> str:
        return self.words[:40]


class Refresher(models.Model):
    """A day by which a team's people should be ready again."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    team = models.ForeignKey(Team, on_delete=models.CASCADE, related_name="refreshers")
    by = models.ForeignKey(PERSON, on_delete=models.SET_NULL, null=True, related_name="+")
    ready_on = models.DateField()
    title = models.CharField(max_length=120)
    made_at = models.DateTimeField()

    objects: ClassVar[models.Manager[Refresher]] = models.Manager()

    def __str__(self) -> str:
        return f"{self.title}, by {self.ready_on}"


class RefresherEnd(models.Model):
    """A refresher that asks nothing of anybody any more."""

    refresher = models.OneToOneField(Refresher, on_delete=models.CASCADE, related_name="end")
    by = models.ForeignKey(PERSON, on_delete=models.SET_NULL, null=True, related_name="+")
    made_at = models.DateTimeField()

    objects: ClassVar[models.Manager[RefresherEnd]] = models.Manager()

    def __str__(self) -> str:
        return f"ended {self.made_at:%Y-%m-%d}"


class Plan(models.Model):
    """What one person is asked to practise for a refresher, as it was proposed on the day it was given."""

    refresher = models.ForeignKey(Refresher, on_delete=models.CASCADE, related_name="plans")
    person = models.ForeignKey(PERSON, on_delete=models.CASCADE, related_name="plans")
    wanted = models.JSONField()
    """{skill code: drills}."""
    minutes = models.PositiveSmallIntegerField()
    chance = models.FloatField()
    """The forecast for the day on which it was given, 0..1."""
    made_at = models.DateTimeField()

    objects: ClassVar[models.Manager[Plan]] = models.Manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["refresher", "person"], name="one_plan_each")]

    def __str__(self) -> str:
        return f"plan of {self.minutes} min"


class Reshoot(models.Model):
    """A home that had to be shot again: the cause by the fault list, what it cost, with which kit, in what place."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    firm = models.ForeignKey(Firm, on_delete=models.CASCADE, related_name="reshoots")
    team = models.ForeignKey(Team, on_delete=models.CASCADE, null=True, related_name="reshoots")
    person = models.ForeignKey(PERSON, on_delete=models.SET_NULL, null=True, related_name="+")
    """Who had shot it, where that is entered."""
    shot_on = models.DateField()
    cause = models.CharField(max_length=20)
    """A fault code (F1..F19), a skill code, or "other"."""
    cost = models.DecimalField(max_digits=9, decimal_places=2)
    """In the money of the firm."""
    kit = models.CharField(max_length=60, blank=True)
    place_type = models.CharField(max_length=40, blank=True)
    words = models.CharField(max_length=300, blank=True)
    by = models.ForeignKey(PERSON, on_delete=models.SET_NULL, null=True, related_name="+")
    made_at = models.DateTimeField()

    objects: ClassVar[models.Manager[Reshoot]] = models.Manager()

    def __str__(self) -> str:
        return f"reshoot {self.cause} of {self.shot_on}"


class StruckReshoot(models.Model):
    """A reshoot that was entered in error, and why; it counts no more."""

    reshoot = models.OneToOneField(Reshoot, on_delete=models.CASCADE, related_name="struck")
    by = models.ForeignKey(PERSON, on_delete=models.SET_NULL, null=True, related_name="+")
    reason = models.CharField(max_length=300)
    made_at = models.DateTimeField()

    objects: ClassVar[models.Manager[StruckReshoot]] = models.Manager()

    def __str__(self) -> str:
        return f"struck: {self.reason}"


class ReshootImport(models.Model):
    """A file of reshoots that a firm took in: the same content is taken in once."""

    firm = models.ForeignKey(Firm, on_delete=models.CASCADE, related_name="reshoot_imports")
    digest = models.CharField(max_length=64)
    rows = models.PositiveIntegerField()
    by = models.ForeignKey(PERSON, on_delete=models.SET_NULL, null=True, related_name="+")
    made_at = models.DateTimeField()

    objects: ClassVar[models.Manager[ReshootImport]] = models.Manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["firm", "digest"], name="each_file_once_for_a_firm")]

    def __str__(self) -> str:
        return f"{self.rows} rows"


class JobCount(models.Model):
    """How many jobs a team shot in a month; the newest entry of a month counts."""

    team = models.ForeignKey(Team, on_delete=models.CASCADE, related_name="job_counts")
    month = models.DateField()
    """Its first day."""
    jobs = models.PositiveIntegerField()
    by = models.ForeignKey(PERSON, on_delete=models.SET_NULL, null=True, related_name="+")
    made_at = models.DateTimeField()

    objects: ClassVar[models.Manager[JobCount]] = models.Manager()

    def __str__(self) -> str:
        return f"{self.jobs} jobs in {self.month:%Y-%m}"


class Reminded(models.Model):
    """A mail about what is due went out to a person on a day, so that none goes out twice."""

    person = models.ForeignKey(PERSON, on_delete=models.CASCADE, related_name="reminders")
    on = models.DateField()

    objects: ClassVar[models.Manager[Reminded]] = models.Manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["person", "on"], name="one_reminder_a_day")]

    def __str__(self) -> str:
        return f"reminded on {self.on}"


__all__ = [
    "Appeal", "Assignment", "Decision", "EnteredFor", "JobCount", "KitChange", "KitCheck", "ObservedShoot", "Plan",
    "Refresher", "RefresherEnd", "Remark", "Reminded", "Reply", "Reshoot", "ReshootImport", "Struck", "StruckReshoot",
    "Withdrawal",
]  # fmt: skip
