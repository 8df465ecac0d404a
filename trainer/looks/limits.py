"""What a frame's file may cost: bytes, pixels, memory and time. None of it judges a frame.

The pixel limits hold everywhere. The limits of the child process are kept by the system where it can: Linux keeps
all of them, macOS keeps time and file size but may let memory pass, so the pixel limits are set to suffice alone.
"""

from __future__ import annotations

FILE_MAX_BYTES = 100_000_000
JPEG_MAX_PX = 80_000_000
"""JPEG is decoded at a half, a quarter or an eighth of its size when it is larger than `DECODED_MAX_PX`."""
DECODED_MAX_PX = 36_000_000
"""PNG and WebP cannot be decoded at a smaller scale, so this is their limit."""
WIDTH_MIN_PX = 512
EXIF_MAX_BYTES = 65_536
COARSE_PX = 2048

PROGRESSIVE_MAX_BYTES = 300_000_000
"""A progressive JPEG is held whole, two bytes a sample, before the first row is decoded."""

CHILD_DATA_BYTES = 530_000_000
CHILD_DATA_WEBP_BYTES = 640_000_000
"""Memory that the child may ask for. The WebP decoder asks for a second picture that a still one never fills, so
what is really taken stays under 600 MB there too."""
CHILD_CPU_S = 30
CHILD_WALL_S = 45.0
CHILD_OUT_BYTES = 4_000_000
CHILD_FILES = 64

AT_ONCE = 2
"""Children of one web process at the same time; whoever has sent a frame meanwhile waits so long:"""
WAIT_S = 20.0
TAKEN_IN = AT_ONCE + 1
"""Frames that one web process takes in at the same time, from the first byte to the look: the rest of its threads
answer everything else, however slowly frames come."""
HELD_S = 600
"""A look that nobody asked to keep is held in memory so long, for the page that shows it."""
KEPT_MAX = 100
"""Looks that one person may keep."""
