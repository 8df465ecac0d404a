"""Of which firm a page is, where somebody may be of several: a list to choose from, the likeliest first."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import QuerySet
from django.http import Http404, HttpRequest

from trainer.people.models import Firm


@dataclass(frozen=True, slots=True)
class OneFirm:
    """The firm that a page is about, and whether the visitor may change what stands there."""

    firm: Firm
    decides: bool
    others: tuple[Firm, ...]
    """The other firms whose page this may be."""


def one_firm(request: HttpRequest, seen: QuerySet[Firm], decided: QuerySet[Firm]) -> OneFirm:
    """The firm named as ``firm`` in the address, one of ``seen``; else the oldest of ``decided``, then of ``seen``.

    Raises Http404 for a name that is none of these, be it that of another firm or of none.
    """
    deciding = set(decided.values_list("pk", flat=True))
    firms = sorted(seen.order_by("made_at", "pk"), key=lambda one: one.pk not in deciding)
    named = request.GET.get("firm")
    found = [one for one in firms if named is None or str(one.pk) == named]
    if not found:
        raise Http404("There is no such firm for this visitor.")
    firm = found[0]
    return OneFirm(firm, firm.pk in deciding, tuple(one for one in firms if one != firm))


__all__ = ["OneFirm", "one_firm"]
