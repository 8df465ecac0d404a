"""Who is here: a person signs in by e-mail, works in teams of a firm, and holds roles there."""

from __future__ import annotations

import uuid
from typing import Any, ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models.functions import Lower
from django.utils import timezone
from django.utils.crypto import salted_hmac


class People(BaseUserManager["Person"]):
    """How persons are made and found: the e-mail address in small letters."""

    def create_user(self, email: str, password: str | None = None, **fields: Any) -> Person:
        """Make a person who signs in with this address. Raises ValueError without one."""
        if not email:
            raise ValueError("a person needs an e-mail address to sign in with")
        person = self.model(email=email.strip().lower(), **fields)
        person.set_password(password)
        person.save(using=self._db)
        return person

    def get_by_natural_key(self, username: str | None) -> Person:
        return self.get(email=(username or "").strip().lower())


class Person(AbstractBaseUser):
    """Someone who signs in. The id is random, so that it says nothing about how many there are."""

    class Units(models.TextChoices):
        """In which units lengths are shown."""

        METRES = "m", "metres"
        FEET = "ft", "feet and inches"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    email = models.EmailField("e-mail address", max_length=254, unique=True)
    name = models.CharField("name", max_length=80)
    units = models.CharField("lengths in", max_length=2, choices=Units.choices, default=Units.METRES)
    reminded = models.BooleanField("remind me by mail of what is due", default=False)
    is_active = models.BooleanField("may sign in", default=True)
    joined_at = models.DateTimeField(default=timezone.now, editable=False)
    sessions = models.PositiveIntegerField(default=0, editable=False)
    """Raised to end every session that is open."""

    objects: ClassVar[People] = People()

    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS = ["name"]

    class Meta:
        verbose_name_plural = "people"
        constraints = [models.UniqueConstraint(Lower("email"), name="one_person_per_address")]

    def __str__(self) -> str:
        return self.name or "someone"

    def get_full_name(self) -> str:
        """The name as shown to others."""
        return self.name

    def get_session_auth_hash(self) -> str:
        """What a session must hold to go on: it changes with the password, and when all sessions are ended."""
        held: str = super().get_session_auth_hash()
        return salted_hmac("sessions of a person", f"{held} {self.sessions}", algorithm="sha256").hexdigest()

    def get_short_name(self) -> str:
        """The first word of the name."""
        return self.name.split(" ", 1)[0]


class Firm(models.Model):
    """A firm that sends operators out."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    name = models.CharField(max_length=120)
    """Not unique: whether another firm has a name must not be found out by trying it."""
    invented = models.BooleanField(default=False)
    """Made up to show the site; never mixed with real ones."""
    keeps_evidence = models.BooleanField("keep answers of erased people, without their name", default=True)
    made_at = models.DateTimeField(default=timezone.now, editable=False)
    closed_at = models.DateTimeField(null=True, editable=False)
    """From then on nobody works here; only an invented firm is closed."""

    def __str__(self) -> str:
        return self.name


class Team(models.Model):
    """A team of a firm. A team sees only itself."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    firm = models.ForeignKey(Firm, on_delete=models.PROTECT, related_name="teams")
    name = models.CharField(max_length=120)
    region = models.CharField(max_length=80, blank=True)
    made_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["firm", "name"], name="one_team_of_a_name_per_firm")]

    def __str__(self) -> str:
        return self.name


class Role(models.TextChoices):
    """What somebody is to a team; one person may hold several."""

    OPERATOR = "operator", "operator"
    TRAINER = "trainer", "trainer"
    MANAGER = "manager", "manager"
    OWNER = "owner", "owner"


class Membership(models.Model):
    """One role of one person in one team, from one day to another. It ends and is never removed."""

    class End(models.TextChoices):
        """How it ended."""

        LEFT = "left"
        TAKEN = "taken"
        MOVED = "moved"
        DEACTIVATED = "deactivated"
        CLOSED = "closed"

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="memberships")
    team = models.ForeignKey(Team, on_delete=models.CASCADE, related_name="memberships")
    role = models.CharField(max_length=10, choices=Role.choices)
    since = models.DateTimeField(default=timezone.now, editable=False)
    until = models.DateTimeField(null=True, blank=True)
    """Empty while it lasts."""
    given_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    """Empty for the first owner, and for what was made by a command."""
    ended_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    ended_how = models.CharField(max_length=12, choices=End.choices, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["person", "team", "role"], condition=models.Q(until__isnull=True), name="each_role_once"
            ),
            models.CheckConstraint(condition=models.Q(role__in=Role.values), name="role_is_known"),
        ]

    def __str__(self) -> str:
        return f"{self.person} is {self.role} of {self.team}"


class Invitation(models.Model):
    """Leave to join a team in some roles, once, until a day. Only the digest of its code is kept."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    team = models.ForeignKey(Team, on_delete=models.CASCADE, related_name="invitations")
    roles = models.JSONField()
    """List of roles."""
    email = models.EmailField("e-mail address", max_length=254, blank=True)
    """When given, only this address may use it."""
    code_digest = models.CharField(max_length=64, unique=True)
    made_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    made_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    used_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    used_at = models.DateTimeField(null=True)
    withdrawn_at = models.DateTimeField(null=True)

    def __str__(self) -> str:
        return f"invitation to {self.team}"


class Founding(models.Model):
    """Leave to enter a new firm and become its first owner, once, until a day. Only the digest of its code is kept."""

    code_digest = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True)
    firm = models.ForeignKey(Firm, on_delete=models.SET_NULL, null=True, related_name="+")

    def __str__(self) -> str:
        return f"founding until {self.expires_at:%Y-%m-%d}"


__all__ = ["Firm", "Founding", "Invitation", "Membership", "People", "Person", "Role", "Team"]
