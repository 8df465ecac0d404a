"""The API of the ledger: open an attempt, answer it once, read its grade, ask what another answer would be worth."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.urls import path
from django.utils import timezone
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.exceptions import NotAuthenticated, NotFound, ValidationError
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.throttling import ScopedRateThrottle, UserRateThrottle
from rest_framework.views import APIView

from scoring.drill import AnswerError
from trainer.drills import shown
from trainer.drills.answer import AlreadyAnswered, KeyTaken, Voided, answer
from trainer.drills.check_case import CheckOver
from trainer.drills.check_open import open_check_of
from trainer.drills.issue import CheckGoesOn, NotReady, issue
from trainer.drills.ledger import grade_json, judge
from trainer.drills.models import Attempt, Grade
from trainer.drills.reading import is_explained
from trainer.library.shelf import standard_at
from trainer.people.access import own
from trainer.people.models import Person
from trainer.renders import seats

RETRY_AFTER_S = 3
TAKEN = "Taken. The check is explained when it is over."
CONFLICT = OpenApiResponse(shown.ConflictSerializer, description="Another answer stands, or none is there yet.")


class OpenSerializer(serializers.Serializer[Any]):
    """Which recipe to open an attempt at."""

    recipe = serializers.SlugField(max_length=60)
    mode = serializers.ChoiceField(choices=["drill"], default="drill")


class AnswerSerializer(serializers.Serializer[Any]):
    """An answer with the key that its sender made for it."""

    client_key = serializers.UUIDField()
    answer = serializers.DictField()
    sureness = serializers.ChoiceField(choices=[1, 2, 3])
    answered_at = serializers.DateTimeField()


class WhatIfSerializer(serializers.Serializer[Any]):
    """Another answer to an attempt that has been graded."""

    answer = serializers.DictField()


def signed_in(request: Request) -> Person:
    """The person who asks; the permission of every view here has seen to it that there is one."""
    if not isinstance(request.user, Person):
        raise NotAuthenticated
    return request.user


def own_attempt(request: Request, attempt_id: UUID) -> Attempt:
    """The visitor's own attempt of that id. Raises NotFound for anybody else's."""
    mine = own(Attempt.objects.select_related("answer", "void"), request.user)
    attempt = mine.filter(pk=attempt_id).first()
    if attempt is None:
        raise NotFound("You have no attempt of that id.")
    return attempt


def checked(serializer: serializers.Serializer[Any]) -> dict[str, Any]:
    """The fields of a request. Raises ValidationError with the place of each fault."""
    serializer.is_valid(raise_exception=True)
    return dict(serializer.validated_data)


class OpenView(APIView):
    """Opening attempts."""

    throttle_classes = [UserRateThrottle, ScopedRateThrottle]
    throttle_scope = "issue"

    @extend_schema(
        operation_id="open_attempt",
        request=OpenSerializer,
        responses={
            200: OpenApiResponse(shown.AttemptSerializer, description="The one that is still open."),
            201: OpenApiResponse(shown.AttemptSerializer, description="A new one."),
            409: CONFLICT,
            503: OpenApiResponse(shown.RefusalSerializer, description="A new case is being made."),
        },
    )
    def post(self, request: Request) -> Response:
        """Open an attempt at a recipe; while one is open, the same one comes back."""
        fields = checked(OpenSerializer(data=request.data))
        try:
            issued = issue(signed_in(request), fields["recipe"], fields["mode"], timezone.now())
        except NotReady as wait:
            return Response({"detail": str(wait)}, status=503, headers={"Retry-After": str(RETRY_AFTER_S)})
        except CheckGoesOn as first:
            return conflict(str(first), None)
        return Response(shown.AttemptSerializer(issued.attempt).data, status=201 if issued.fresh else 200)


class AttemptView(APIView):
    """One attempt."""

    @extend_schema(operation_id="read_attempt", responses={200: shown.AttemptSerializer})
    def get(self, request: Request, attempt_id: UUID) -> Response:
        """The task of an attempt, as the person sees it."""
        return Response(shown.AttemptSerializer(own_attempt(request, attempt_id)).data)


class AnswerView(APIView):
    """The answer to an attempt."""

    @extend_schema(
        operation_id="answer_attempt",
        request=AnswerSerializer,
        responses={
            200: shown.GradeSerializer,
            202: OpenApiResponse(shown.InCheckSerializer, description="Taken in a check; explained at its end."),
            409: CONFLICT,
        },
    )
    def put(self, request: Request, attempt_id: UUID) -> Response:
        """Answer an attempt once; sent again with the same key, it gives the same grade again."""
        attempt = own_attempt(request, attempt_id)
        fields = checked(AnswerSerializer(data=request.data))
        try:
            answered = answer(
                attempt,
                client_key=fields["client_key"],
                body=fields["answer"],
                sureness=fields["sureness"],
                answered_at=fields["answered_at"],
                now=timezone.now(),
            )
        except AnswerError as error:
            raise ValidationError({"answer": [str(error)]}) from None
        except AlreadyAnswered as already:
            return conflict(str(already), already.grade if is_explained(already.grade.answer.attempt) else None)
        except (KeyTaken, Voided, CheckOver) as refusal:
            return conflict(str(refusal), None)
        if not is_explained(answered.grade.answer.attempt):
            return Response({"attempt": attempt.pk, "detail": TAKEN}, status=202)
        return Response(shown.GradeSerializer(answered.grade).data)


class GradeView(APIView):
    """The grade of an attempt."""

    @extend_schema(operation_id="read_grade", responses={200: shown.GradeSerializer, 409: CONFLICT})
    def get(self, request: Request, attempt_id: UUID) -> Response:
        """The grade as it was given; there is none before an answer."""
        attempt = own_attempt(request, attempt_id)
        grade = stored_grade(attempt)
        if grade is None:
            return conflict("This attempt has not been answered yet.", None)
        if not is_explained(attempt):
            return conflict(TAKEN, None)
        return Response(shown.GradeSerializer(grade).data)


class WhatIfView(APIView):
    """Other answers to a graded attempt."""

    @extend_schema(
        operation_id="ask_what_if",
        request=WhatIfSerializer,
        responses={
            200: shown.JudgedSerializer,
            409: CONFLICT,
            503: OpenApiResponse(shown.RefusalSerializer, description="Others are trying things out; come again."),
        },
    )
    def post(self, request: Request, attempt_id: UUID) -> Response:
        """What another answer would be worth. Nothing is kept; the grade that was given stands."""
        attempt = own_attempt(request, attempt_id)
        if stored_grade(attempt) is None:
            return conflict("Answer it first; then you can try other answers.", None)
        if not is_explained(attempt) or open_check_of(signed_in(request)) is not None:
            return conflict("A check is open. Other answers can be tried when it is over.", None)
        body = checked(WhatIfSerializer(data=request.data))["answer"]
        try:
            with seats.seat():
                value = judge(attempt, body, standard_at(attempt.standard_address))
        except AnswerError as error:
            raise ValidationError({"answer": [str(error)]}) from None
        except seats.NoSeat as full:
            return Response({"detail": str(full)}, status=503, headers={"Retry-After": str(seats.RETRY_AFTER_S)})
        return Response(shown.JudgedSerializer(grade_json(value)).data)


def stored_grade(attempt: Attempt) -> Grade | None:
    """The grade in the ledger; None before the answer."""
    return Grade.objects.select_related("answer").filter(answer__attempt=attempt).first()


def conflict(detail: str, stands: Grade | None) -> Response:
    """409, with the grade that stands if there is one."""
    grade = None if stands is None else shown.GradeSerializer(stands).data
    return Response({"detail": detail, "stands": grade}, status=409)


urlpatterns = [
    path("attempts/", OpenView.as_view(), name="api_attempts"),
    path("attempts/<uuid:attempt_id>/", AttemptView.as_view(), name="api_attempt"),
    path("attempts/<uuid:attempt_id>/answer/", AnswerView.as_view(), name="api_answer"),
    path("attempts/<uuid:attempt_id>/grade/", GradeView.as_view(), name="api_grade"),
    path("attempts/<uuid:attempt_id>/what-if/", WhatIfView.as_view(), name="api_what_if"),
]
