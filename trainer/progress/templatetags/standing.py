"""What templates need for records: the sign that goes with a skill's state, and a figure's interval as an ink bar."""

from __future__ import annotations

from django import template
from django.utils.safestring import SafeString, mark_safe

from trainer.progress.cells import Says

register = template.Library()

_PLATE = '<path d="M3 3H21V21H3Z"/>'
_DASHED = '<path stroke-dasharray="3 3" d="M3 3H21V21H3Z"/>'
SIGNS: dict[Says, str] = {
    "ready": '<path class="full" d="M3 3H21V21H3Z"/>',
    "not ready": _PLATE + '<path d="M3 21L21 3"/>',
    "not enough evidence": _PLATE + '<path class="full" d="M3 13H21V21H3Z"/>',
    "not practised": _DASHED,
    "shown": _PLATE + '<path class="full" d="M8 8H16V16H8Z"/>',
    "not shown": _DASHED + '<path d="M8 12H16"/>',
    "no drill": '<path d="M6 12H18"/>',
}
WIDE, PAD, MIDDLE = 200.0, 4.0, 9.0


@register.simple_tag
def state_sign(says: Says) -> SafeString:
    """The sign of a skill's state, decorative: its words stand beside it."""
    return mark_safe(  # noqa: S308
        f'<svg class="sign" viewBox="0 0 24 24" aria-hidden="true" focusable="false">{SIGNS[says]}</svg>'
    )


@register.simple_tag
def ink_bar(score: float, low: float, high: float, cut: float) -> SafeString:
    """An expected score on a rule from 0 to 100: the interval as a bar, the score as a tick through it, the cut as a
    longer one below; decorative, its figures stand beside it."""
    x, a, b, c = (round(PAD + WIDE * value / 100.0, 1) for value in (score, low, high, cut))
    end = PAD + WIDE
    return mark_safe(  # noqa: S308
        f'<svg class="ink-bar" viewBox="0 0 {WIDE + 2 * PAD:g} 22" aria-hidden="true" focusable="false">'
        f'<path class="rule" d="M{PAD:g} {MIDDLE:g}H{end:g}M{PAD:g} 6V12M{end:g} 6V12"/>'
        f'<path class="between" d="M{a:g} 5.5H{b:g}V12.5H{a:g}Z"/>'
        f'<path class="score" d="M{x:g} 1.5V16.5"/>'
        f'<path class="cut" d="M{c:g} 14L{c - 3.5:g} 21H{c + 3.5:g}Z"/></svg>'
    )
