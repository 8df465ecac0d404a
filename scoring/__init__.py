"""Numbers in, numbers out: what a photographer's decision is worth, computed.

Nothing here knows a clock, a disk, a network or Django; every function can be used from a notebook.
Lengths are metres, angles degrees, x runs east on the drawing, y north, z up from each level's floor.
"""

ENGINE_VERSION = "7"
"""Changes whenever the same task and answer could get another grade."""
