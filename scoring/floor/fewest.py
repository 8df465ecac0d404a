"""The fewest stations of a place: a reference that passes the grade, and how far it is proven.

Two problems over one named list of stands (``listing``)::

    U  the reference     firm links (the placement error to spare), targets on exact area, every stand allowed
    L  the lower bound   links with the benefit of the placement error, cells counted at their most (``demand``)

Whatever meets the standard from listed stands meets the demand of L too, so no such set has fewer than L stations:
links count with their benefit there. The benefit of a floor that misses its target by a hair is not in L; a set
that passes on that alone may be smaller. U asks for more than the standard does, so U >= L; where they are equal
the reference is proven. Where not, a gap may be real (fewer stations would do on links that hang on a few
centimetres) or left by a search that was cut short; ``gap_note`` says which. Stands off the list are bounded by
``bound`` alone.

Where some floor hangs on a link that nobody can make firm (a narrow door), links without that spare join what
firm links leave apart, and the note says so.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np

from scoring.floor.bound import anywhere
from scoring.floor.demand import Bools
from scoring.floor.exact import ExactArea
from scoring.floor.findings import Reference
from scoring.floor.greedy import greedy
from scoring.floor.links import link
from scoring.floor.listing import TARGET, list_hash, listed_stands
from scoring.floor.offer import Offer, best_of, offer, views_of
from scoring.floor.overlay import quiet
from scoring.floor.place import Place
from scoring.floor.plan import Station
from scoring.floor.prove import SOLVER, Untrue, prove
from scoring.floor.sightings import Sightings, sightings

MARGIN = 0.01
"""Without a proof, a set is looked for with this share of each floor to spare."""

UNWATCHED = 4.0
"""Without a clock every single solve gets the limit over this."""

NO_SET = "No set of the listed stands meets the standard."

Clock = Callable[[], float]


@quiet
def fewest(
    place: Place,
    *,
    limit_s: float = 30.0,
    spacing_m: float | None = None,
    target_stands: int = TARGET,
    clock: Clock | None = None,
) -> Reference:
    """The fewest stations of the place's listed stands that meet the standard, connected, with what is proven.

    ``limit_s`` bounds the search [s]: each solve of it, and all together when a running ``clock`` is given.
    ``spacing_m`` and ``target_stands`` choose the list. A place whose list does not meet the standard at all
    gets no stations, upper and lower 0, and a note.
    """
    stands = listed_stands(place, spacing_m, target_stands=target_stands)
    views = views_of(place, stands)
    best = best_of(place, views)
    offered = offer(place, views, best)
    sights = sightings(place, stands)
    start = clock() if clock else 0.0

    def left(share: float) -> float:
        if clock is None:
            return share * limit_s / UNWATCHED
        return max(1.0, share * (limit_s - (clock() - start)))

    links, weak = _reference_links(offered, sights)
    if links is None:
        return _reference(place, stands, best, (), 0, 0, 0, NO_SET)
    exact = ExactArea(offered)
    first = prove(
        offered.likely(links.copy(), 0.0),
        check=exact.check,
        limit_s=left(0.5),
        clock=clock,
        raising=True,
        sharp=4,
    )
    chosen, rounds, cut_short = first.chosen, first.rounds, False
    if chosen is None:
        chosen, cut_short = _first_found(offered, links, exact), True
    upper = len(chosen) if chosen else None
    bound = prove(
        offered.demand(sights.forgiving.copy()),
        at_most=None if upper is None else upper - 1,
        limit_s=left(0.9),
        clock=clock,
        untrue=_untrue(place, stands, sights),
    )
    lower, rounds = bound.lower, rounds + bound.rounds
    cut_short = cut_short or bound.status == "limit"
    if chosen is None or upper is None:
        return _reference(place, stands, best, (), 0, max(lower, 0), rounds, "No set was found within the limit.")
    note = _note(upper, lower, cut_short, weak)
    return _reference(place, stands, best, tuple(stands[s] for s in chosen), upper, lower, rounds, note)


@quiet
def sound_sets(
    place: Place, *, target_stands: int = TARGET, most: int = 1
) -> tuple[list[tuple[Station, ...]], dict[str, float]]:
    """Connected sets of listed stands that meet the standard, found fast and not proven to be the fewest, with the
    best share of each floor: one grown from the stand that shows most, the others from the best stand of some room.
    Empty when this way finds none."""
    stands = listed_stands(place, target_stands=target_stands)
    views = views_of(place, stands)
    best = best_of(place, views)
    offered = offer(place, views, best)
    sights = sightings(place, stands)
    links, _ = _reference_links(offered, sights)
    found: list[tuple[int, ...]] = []
    if links is not None:
        exact = ExactArea(offered)
        starts = offered.demand(links).alone_m2.argmax(axis=0).tolist()
        for first in [None, *dict.fromkeys(starts)][: 1 if most == 1 else None]:
            chosen = _first_found(offered, links, exact, first) if len(found) < most else None
            if chosen and chosen not in found:
                found.append(chosen)
    return [tuple(stands[s] for s in chosen) for chosen in found], best


def _first_found(offered: Offer, links: Bools, exact: ExactArea, first: int | None = None) -> tuple[int, ...] | None:
    """The first set that growing finds, with a share of each floor to spare if it can be had."""
    return greedy(offered.likely(links.copy(), MARGIN), exact.check, first=first) or greedy(
        offered.likely(links.copy(), 0.0), exact.check, first=first
    )


@quiet
def best_shares(place: Place, listed: Sequence[Station]) -> dict[str, float]:
    """Per "level/space": the most of its floor that these stands can show together, 0..1, on exact area."""
    return best_of(place, views_of(place, listed))


def _untrue(place: Place, stands: Sequence[Station], sights: Sightings) -> Untrue | None:
    """A test of the estimated links among an answer's stands; None when no link is estimated."""
    if not sights.guessed.any():
        return None
    known: dict[tuple[int, int], bool] = {}

    def false_ones(chosen: Sequence[int]) -> list[tuple[int, int]]:
        pairs = [(a, b) for a in chosen for b in chosen if a < b and sights.guessed[a, b]]
        for a, b in pairs:
            if (a, b) not in known:
                known[a, b] = link(place, stands[a], stands[b]).holds
        return [pair for pair in pairs if not known[pair]]

    return false_ones


def _reference_links(offered: Offer, sights: Sightings) -> tuple[Bools | None, bool]:
    """The links a reference may stand on, and whether some of them have not the placement error to spare."""
    links = sights.firm
    everyone = np.ones(links.shape[0], dtype=bool)
    if not offered.demand(links).hopeless(everyone):
        return links.copy(), False
    for wider in (sights.plain, sights.forgiving & ~sights.guessed):
        part = np.full(links.shape[0], -1)
        for k, island in enumerate(offered.demand(links).islands(range(links.shape[0]))):
            part[island] = k
        links = links | (wider & (part[:, None] != part[None, :]))
        if not offered.demand(links).hopeless(everyone):
            return links, True
    return None, True


def _note(upper: int, lower: int, cut_short: bool, weak: bool) -> str:
    """Why upper and lower differ, and what the reference leans on, in words."""
    if upper == lower:
        return ""
    words = [f"Between {lower} and {upper}."]
    if cut_short:
        words.append("The search was cut short by its limit.")
    else:
        words.append("Fewer may do on links that count only with the benefit of the placement error.")
    if weak:
        words.append("Some floor can only be reached over a link without that spare.")
    return " ".join(words)


def _reference(
    place: Place,
    stands: Sequence[Station],
    best: Mapping[str, float],
    chosen: Sequence[Station],
    upper: int,
    lower: int,
    rounds: int,
    note: str,
) -> Reference:
    least = anywhere(place, best) if chosen else 0
    return Reference(
        stations=tuple((s.level, s.x, s.y) for s in chosen),
        upper=upper,
        lower=lower,
        anywhere=min(least, lower) if chosen else 0,
        best_share=dict(best),
        listed=len(stands),
        list_hash=list_hash(stands),
        rounds=rounds,
        solver=SOLVER,
        gap_note=note,
    )


__all__ = ["best_shares", "fewest", "sound_sets"]
