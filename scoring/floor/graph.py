"""The graph of stations and links: islands, and the stations that hold one together."""

from __future__ import annotations

from collections.abc import Iterable, Sequence


def islands(count: int, pairs: Iterable[tuple[int, int]]) -> tuple[tuple[int, ...], ...]:
    """The sets of stations joined by links, each in order, by their first station."""
    root = list(range(count))

    def find(i: int) -> int:
        while root[i] != i:
            root[i] = root[root[i]]
            i = root[i]
        return i

    for a, b in pairs:
        ra, rb = find(a), find(b)
        root[max(ra, rb)] = min(ra, rb)
    groups: dict[int, list[int]] = {}
    for i in range(count):
        groups.setdefault(find(i), []).append(i)
    return tuple(tuple(group) for _, group in sorted(groups.items()))


def cut_stations(count: int, pairs: Iterable[tuple[int, int]]) -> tuple[int, ...]:
    """Stations whose loss breaks their island apart (articulation points), in order.

    One depth-first walk; a station is cut when some branch below it reaches no station above it
    (Hopcroft and Tarjan, 1973).
    """
    near: list[list[int]] = [[] for _ in range(count)]
    for a, b in pairs:
        near[a].append(b)
        near[b].append(a)
    order = [-1] * count
    low = [0] * count
    cut: set[int] = set()
    clock = 0
    for start in range(count):
        if order[start] >= 0:
            continue
        order[start] = low[start] = clock
        clock += 1
        branches = 0
        walk = [(start, -1, iter(near[start]))]
        while walk:
            here, above, rest = walk[-1]
            for there in rest:
                if order[there] < 0:
                    order[there] = low[there] = clock
                    clock += 1
                    branches += here == start
                    walk.append((there, here, iter(near[there])))
                    break
                if there != above:
                    low[here] = min(low[here], order[there])
            else:
                walk.pop()
                if above >= 0:
                    low[above] = min(low[above], low[here])
                    if above != start and low[here] >= order[above]:
                        cut.add(above)
        if branches > 1:
            cut.add(start)
    return tuple(sorted(cut))


def island_count(stations: Sequence[int], pairs: Iterable[tuple[int, int]]) -> int:
    """Into how many islands the given stations fall when only they remain."""
    place = {station: i for i, station in enumerate(stations)}
    kept = [(place[a], place[b]) for a, b in pairs if a in place and b in place]
    return len(islands(len(stations), kept))


__all__ = ["cut_stations", "island_count", "islands"]
