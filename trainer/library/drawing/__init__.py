"""A plan as a measured drawing: ink walls, pencilled furniture, numbered diamonds, hatched sight.

Metres in, SVG out. The paper's unit is the centimetre with y down the sheet, so north on the drawing is up.
Looks come from classes alone (static/look/drawing.css); nothing carries a style attribute.
"""

from __future__ import annotations

from trainer.library.drawing.sheet import draw_outline, draw_plan
from trainer.library.drawing.units import area_words, in_units, kept_together, length_words

__all__ = ["area_words", "draw_outline", "draw_plan", "in_units", "kept_together", "length_words"]
