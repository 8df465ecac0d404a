"""A bar for the total of one cause with its interval as a dimension line: ink on paper, readable without colours."""

from __future__ import annotations

from django.utils.safestring import SafeString, mark_safe

from scoring.mastery.costs import CauseCost

WIDE, HIGH = 200, 24
END = 196
MIDDLE = HIGH // 2


def cost_bar(cost: CauseCost, scale: float) -> SafeString:
    """The drawing for a full width of ``scale``; an interval that goes on beyond it ends in an arrow.

    It says nothing to those who do not see it: the figures stand beside it.
    """

    def across(value: float) -> float:
        return END * min(1.0, value / scale) if scale > 0 else 0.0

    low, high = across(cost.total_low), across(cost.total_high)
    parts = [
        f'<rect class="bar" x="1" y="5" width="{max(1.0, across(cost.total)):.1f}" height="{HIGH - 10}"/>',
        f'<path class="span" d="M{low:.1f} {MIDDLE}H{high:.1f}M{low:.1f} {MIDDLE - 5}v10"/>',
    ]
    if cost.total_high > scale:
        parts.append(f'<path class="on" d="M{END - 5} {MIDDLE - 5}l5 5l-5 5"/>')
    else:
        parts.append(f'<path class="span" d="M{high:.1f} {MIDDLE - 5}v10"/>')
    shown = f'viewBox="0 0 {WIDE} {HIGH}" preserveAspectRatio="xMinYMid" aria-hidden="true" focusable="false"'
    return mark_safe(f'<svg class="cost-bar" {shown}>{"".join(parts)}</svg>')  # noqa: S308


__all__ = ["cost_bar"]
