"""What leaves the ledger, field by field: nothing is sent because it happens to be in a row.

Before its grade an attempt shows the public part of its task and nothing that was derived from its key; the
grade shows everything. The field lists below are the whole of it, and the API describes itself by them.
"""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from trainer.drills.models import Attempt, Grade
from trainer.drills.reading import is_explained


class StationSerializer(serializers.Serializer[Any]):
    """A place on the plan [m]."""

    level = serializers.IntegerField(min_value=0, max_value=9)
    x = serializers.FloatField()
    y = serializers.FloatField()


class AttemptSerializer(serializers.Serializer[Attempt]):
    """An attempt before or after its grade: the task as the person sees it."""

    id = serializers.UUIDField()
    recipe = serializers.CharField()
    kind = serializers.CharField()
    mode = serializers.ChoiceField(choices=Attempt.Mode.choices)
    kit = serializers.CharField()
    issued_at = serializers.DateTimeField()
    graded = serializers.SerializerMethodField()
    task = serializers.JSONField(source="public")

    def get_graded(self, attempt: Attempt) -> bool:
        """Whether its grade can be read: answered, and not in a check that goes on."""
        return is_explained(attempt)


class ShapeSerializer(serializers.Serializer[Any]):
    """One thing to draw on the plan."""

    role = serializers.CharField()
    form = serializers.ChoiceField(choices=["point", "line", "area"])
    level = serializers.IntegerField()
    at = serializers.JSONField()
    label = serializers.CharField(allow_blank=True)  # type: ignore[assignment]


class SpotSerializer(serializers.Serializer[Any]):
    """One region of a frame to point at: a box on the sphere [degrees]."""

    role = serializers.CharField()
    frame = serializers.CharField()
    azimuth_deg = serializers.FloatField()
    elevation_deg = serializers.FloatField()
    width_deg = serializers.FloatField()
    height_deg = serializers.FloatField()
    label = serializers.CharField(allow_blank=True)  # type: ignore[assignment]


class MarkSerializer(serializers.Serializer[Any]):
    """One criterion: its number, its words, its geometry."""

    criterion = serializers.CharField()
    title = serializers.CharField()
    credit = serializers.FloatField()
    weight = serializers.FloatField()
    value = serializers.FloatField(allow_null=True)
    limit = serializers.FloatField(allow_null=True)
    unit = serializers.CharField(allow_blank=True)
    words = serializers.CharField()
    mend = serializers.CharField(allow_blank=True)
    shapes = ShapeSerializer(many=True)
    firm = serializers.BooleanField()
    spots = SpotSerializer(many=True, default=list)
    """Empty in grades that were stored before there were frames."""


class EvidenceSerializer(serializers.Serializer[Any]):
    """What the grade says about one skill."""

    skill = serializers.CharField()
    credit = serializers.FloatField()
    difficulty_logit = serializers.FloatField()
    difficulty_sd = serializers.FloatField()
    guess_floor = serializers.FloatField()


class JudgedSerializer(serializers.Serializer[Any]):
    """A grade as a value: what an answer is worth, wherever it was computed for."""

    credit = serializers.FloatField()
    verdict = serializers.ChoiceField(choices=["holds", "look-again", "fails"])
    summary = serializers.CharField()
    marks = MarkSerializer(many=True)
    evidence = EvidenceSerializer(many=True)
    shapes = ShapeSerializer(many=True)
    spots = SpotSerializer(many=True, default=list)


class GradeSerializer(serializers.Serializer[Grade]):
    """A stored grade, with the answer it was given for."""

    attempt = serializers.UUIDField(source="answer.attempt_id")
    answer = serializers.JSONField(source="answer.body")
    sureness = serializers.IntegerField(source="answer.sureness")
    answered_at = serializers.DateTimeField(source="answer.answered_at")
    received_at = serializers.DateTimeField(source="answer.received_at")
    engine = serializers.CharField()
    standard = serializers.CharField()
    grade = JudgedSerializer(source="body")


class InCheckSerializer(serializers.Serializer[Any]):
    """An answer of a check was taken; its grade comes when the check is over."""

    attempt = serializers.UUIDField()
    detail = serializers.CharField()


class RefusalSerializer(serializers.Serializer[Any]):
    """Why something was refused, in words."""

    detail = serializers.CharField()


class ConflictSerializer(serializers.Serializer[Any]):
    """Why an answer was refused, with the grade that stands."""

    detail = serializers.CharField()
    stands = GradeSerializer(allow_null=True)


__all__ = [
    "AttemptSerializer",
    "ConflictSerializer",
    "GradeSerializer",
    "InCheckSerializer",
    "JudgedSerializer",
    "RefusalSerializer",
    "ShapeSerializer",
    "SpotSerializer",
    "StationSerializer",
]  # fmt: skip
