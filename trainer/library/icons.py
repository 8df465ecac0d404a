"""Line icons on a 24 grid and the plates of verdicts, our own drawings; always shown with words."""

from __future__ import annotations

ICONS = {
    "add": '<path d="M12 4L20 12L12 20L4 12Z"/><path d="M12 9V15M9 12H15"/>',
    "delete": '<path d="M12 4L20 12L12 20L4 12Z"/><path d="M3 17L21 7"/>',
    "undo": '<path d="M9 6L4 11L9 16"/><path d="M4 11H15A5 5 0 0 1 15 20H10"/>',
    "redo": '<path d="M15 6L20 11L15 16"/><path d="M20 11H9A5 5 0 0 0 9 20H14"/>',
    "answer": '<path d="M4 5H20V16H12L7 20V16H4Z"/><path d="M8 10.5L11 13L16 8"/>',
    "zoom-in": '<path d="M12 5V19M5 12H19"/>',
    "zoom-out": '<path d="M5 12H19"/>',
    "fit": '<path d="M4 9V4H9M15 4H20V9M20 15V20H15M9 20H4V15"/>',
    "show": '<path d="M4 8V4H8M16 4H20V8M20 16V20H16M8 20H4V16"/><path d="M12 9L15 12L12 15L9 12Z"/>',
    "next": '<path d="M5 12H19M13 6L19 12L13 18"/>',
    "sheet": '<path d="M4 3H20V21H4Z"/><path d="M4 17H20M13 17V21"/><path d="M8 8H16V13"/>',
    "list": '<path d="M8 6H20M8 12H20M8 18H20"/><path d="M4 5V7M4 11V13M4 17V19"/>',
    "what-if": '<path d="M7 4L12 9L7 14L2 9Z"/><path d="M17 10L22 15L17 20L12 15Z"/><path d="M10 17H6V15"/>',
    "left": '<path d="M15 5L8 12L15 19"/>',
    "right": '<path d="M9 5L16 12L9 19"/>',
    "up": '<path d="M5 15L12 8L19 15"/>',
    "down": '<path d="M5 9L12 16L19 9"/>',
    "home": '<path d="M12 3V7M12 17V21M3 12H7M17 12H21"/><path d="M12 9L15 12L12 15L9 12Z"/>',
    "plumb": '<path d="M3 12H7M10 12H14M17 12H21"/><path d="M6 5H18M6 19H18"/>',
    "zebra": '<path d="M4 4H20V20H4Z"/><path d="M4 12L12 4M4 20L20 4M12 20L20 12"/>',
    "compare": '<path d="M4 5H20V19H4Z"/><path d="M12 3V21"/><path d="M15 9L17 12L15 15M9 9L7 12L9 15"/>',
    "flat": '<path d="M3 7H21V17H3Z"/><path d="M3 12H21M9 17V20M15 17V20"/>',
    "motion": '<path d="M8 5H16V19H8Z"/><path d="M4 8L2 12L4 16M20 8L22 12L20 16"/>',
    "mark": '<path d="M4 8V4H8M16 4H20V8M20 16V20H16M8 20H4V16"/><path d="M12 9V15M9 12H15"/>',
    "bench": '<path d="M3 9H21M5 9V20M19 9V20M9 9V5H15V9"/>',
    "back": '<path d="M19 12H5M11 6L5 12L11 18"/>',
}

_PLATE = '<path class="plate" d="M3 3H41V41H3Z"/>'
VERDICTS = {
    "holds": _PLATE + '<path d="M11 23L19 31L33 13"/>',
    "look-again": _PLATE + '<path d="M10 22H25M30 22H34"/>',
    "fails": _PLATE + '<path d="M12 12L32 32M32 12L12 32"/>',
}

__all__ = ["ICONS", "VERDICTS"]
