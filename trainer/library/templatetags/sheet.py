"""What templates need for sheets: icons, measures in the reader's units, the import map."""

from __future__ import annotations

import json
import re
from functools import cache
from pathlib import Path
from typing import Any

from django import template
from django.conf import settings
from django.contrib.staticfiles.storage import staticfiles_storage
from django.http import QueryDict
from django.utils.html import conditional_escape
from django.utils.safestring import SafeString, mark_safe

from scoring.kinds import LOOKED_AT
from trainer.library.drawing import area_words, in_units, kept_together, length_words
from trainer.library.icons import ICONS, VERDICTS
from trainer.library.terms import Explained

register = template.Library()
AT_LEAST = {"floor", "clearance", "islands", "stand", "hazard"}
AT_MOST = {"count", "link", "spot", "marked"}
COUNTED = {"stand", "spare", "keep"}
"""Criteria whose bare numbers are so many of so many."""
BETWEEN = {"tiny", "choice"}
"""Criteria whose limit parts two right ways."""
STATIC = Path(__file__).resolve().parents[2] / "static"


@register.simple_tag
def icon(name: str) -> SafeString:
    """One line icon, decorative: its button or link carries the words."""
    return mark_safe(  # noqa: S308
        f'<svg class="icon" viewBox="0 0 24 24" aria-hidden="true" focusable="false">{ICONS[name]}</svg>'
    )


@register.simple_tag
def verdict_shape(verdict: str) -> SafeString:
    """The plate with tick, half bar or cross that goes with a verdict's word."""
    return mark_safe(  # noqa: S308
        f'<svg class="shape" viewBox="0 0 44 44" aria-hidden="true" focusable="false">{VERDICTS[verdict]}</svg>'
    )


@register.simple_tag
def typed(posted: QueryDict, name: str, row: int | None = None) -> str:
    """What a form that came back holds in a field, "x" of row 2 being "x-2"; "" in a fresh form."""
    return str(posted.get(name if row is None else f"{name}-{row}", ""))


@register.filter
def all_typed(posted: QueryDict, name: str) -> list[str]:
    """All that a form that came back holds under one name."""
    return list(posted.getlist(name))


@register.filter
def verdict_word(verdict: str) -> str:
    """The word of a verdict."""
    return {"holds": "Holds", "look-again": "Look again", "fails": "Fails"}.get(verdict, verdict)


@register.filter
def mark_verdict(credit: float) -> str:
    """How one mark stands: whole credit holds, none fails, the rest asks to look again."""
    return "holds" if credit >= 1 - 1e-9 else "fails" if credit <= 1e-9 else "look-again"


@register.filter
def measures(text: str, units: str = "m") -> str:
    """Words written in metres, in the reader's units."""
    return in_units(text, units)


@register.simple_tag(takes_context=True)
def explained(context: dict[str, Any], text: str, units: str = "m") -> str:
    """Words in the reader's units; where the page lists terms, each is linked to the list where it is first used."""
    words, page = in_units(text, units), context.get("terms")
    return page.linked(words) if isinstance(page, Explained) else words


@register.simple_tag
def measure(value: float | None, unit: str = "", units: str = "m") -> str:
    """A mark's number with its unit: lengths and areas in the reader's units, shares in whole per cent."""
    if value is None:
        return ""
    if unit == "m":
        return kept_together(length_words(value, units)).replace("-", "−")
    if unit == "m²":
        return kept_together(area_words(value, units))
    if unit == "%":
        return kept_together(f"{value:.0f} %" if abs(value - round(value)) < 0.05 else f"{value:.1f} %")
    figure = f"{value:g}".replace("-", "−")
    return f"{figure}\u00a0{unit}" if unit and unit != "°" else f"{figure}{unit}"


@register.simple_tag
def bound(mark: dict[str, Any], units: str = "m") -> str:
    """What a mark's number is held against, with the side on which it holds; empty where that would mislead."""
    value, limit, criterion = mark["value"], mark["limit"], mark["criterion"]
    if value is None or limit is None:
        return ""
    figure = measure(limit, mark["unit"], units)
    if criterion in BETWEEN:
        return f"the line is at {figure}"
    if criterion in COUNTED and not mark["unit"]:
        return f"of {figure}" if value <= limit else f"at most {figure}"
    side = "at least" if criterion in AT_LEAST else "at most" if criterion in AT_MOST else ""
    if mark["title"] == "Spot inside":
        side = "at least"
    short = mark["credit"] < 1 - 1e-9
    if (side == "at least" and short and value >= limit) or (side == "at most" and short and value <= limit):
        return ""
    return f"{side or 'limit'} {figure}"


@register.filter
def parted(marks: list[dict[str, Any]]) -> dict[str, list[tuple[int, dict[str, Any]]]]:
    """The marks with their numbers: those to look at again, worst loss first, and those that hold."""
    numbered = list(enumerate(marks, 1))
    mend = [pair for pair in numbered if mark_verdict(pair[1]["credit"]) != "holds"]
    mend.sort(key=lambda pair: -(1 - pair[1]["credit"]) * pair[1]["weight"])
    return {"mend": mend, "hold": [pair for pair in numbered if pair not in mend]}


@register.simple_tag
def points(credit: float, weight: float) -> str:
    """What a mark earned of what it can earn, in points of 100."""
    return f"{_plain(100 * credit * weight)} of {_plain(100 * weight)} points"


def _plain(value: float) -> str:
    return f"{round(value, 1):g}"


@register.filter
def in_general(text: str) -> str:
    """A recipe's task before it has become a case: «{room}» is a room, whichever it will be."""
    return re.sub(r"\{(\w+)\}", r"a \1", text)


@register.filter
def minus(value: float) -> str:
    """A whole number with a true minus sign."""
    return f"{value:.0f}".replace("-", "\u2212")


@register.filter
def true_minus(figure: str) -> str:
    """A figure as it is, with a true minus sign."""
    return figure.replace("-", "\u2212")


@register.filter
def looked_at(kind: str) -> bool:
    """Whether cases of that kind are frames."""
    return kind in LOOKED_AT


@register.filter
def percent(share: float) -> str:
    """A share 0..1 as whole per cent."""
    return kept_together(f"{100 * share:.0f} %")


@register.filter
def chance(share: float) -> str:
    """A chance 0..1 as whole per cent; no estimate is certain, so its ends are told as over 99 and under 1."""
    if share > 0.99:
        return kept_together("over 99 %")
    return kept_together("under 1 %") if share < 0.01 else percent(share)


@register.simple_tag(takes_context=True)
def import_map(context: dict[str, Any]) -> SafeString:
    """The one inline element: which built file each module name stands for, under the page's nonce."""
    if settings.DEBUG or not hasattr(staticfiles_storage, "manifest_name"):
        pairs: dict[str, str] = {}
    else:
        pairs = _built()
    nonce = conditional_escape(str(context.get("CSP_NONCE", "")))
    body = json.dumps({"imports": pairs}, sort_keys=True).replace("<", "\\u003c")
    return mark_safe(f'<script type="importmap" nonce="{nonce}">{body}</script>')  # noqa: S308


@cache
def _built() -> dict[str, str]:
    """Plain address -> hashed address of every module; relative imports resolve to plain ones first."""
    names = (str(path.relative_to(STATIC)) for path in sorted(STATIC.rglob("*.js")))
    return {f"{settings.STATIC_URL}{name}": staticfiles_storage.url(name) for name in names}
