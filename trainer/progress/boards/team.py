"""The Team board as a value: everybody whom a visitor leads, counted, and one page of them in the order of need."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby
from math import ceil
from typing import Any

from trainer.library.own import kits_for
from trainer.people.access import Visitor
from trainer.progress.boards.chosen import STATES, Chosen, in_led_teams, led
from trainer.progress.boards.need import Group, Need, by_need
from trainer.progress.boards.running import Running, running_in
from trainer.progress.boards.skills import Sent, Weak, if_sent, unpractised, weakest
from trainer.progress.cells import Says
from trainer.progress.standings import Now, StarNow, now_of_many

PAGE = 50
"""People on one page."""
GROUP_TITLES: dict[Group, tuple[str, str]] = {
    "alone": ("Can be sent out alone", "who is due soonest first"),
    "not yet": ("Not yet", "who is nearest to ready first"),
    "held": ("Held", "a named person has to release them"),
}


@dataclass(frozen=True, slots=True)
class Cell:
    """One starred skill of one person, ready to be shown."""

    says: Says
    """Which shape."""
    words: str
    small: str
    """What stands behind it: n, or the shoot."""
    whole: str
    """The same in full words."""


@dataclass(frozen=True, slots=True)
class Line:
    """One person on the page."""

    need: Need
    team: str
    region: str
    kit: str
    """Its title."""
    cells: tuple[Cell, ...]
    ticked: bool

    @property
    def now(self) -> Now:
        """Where the person stands."""
        return self.need.now


@dataclass(frozen=True, slots=True)
class Part:
    """One group of the page."""

    group: Group
    title: str
    order: str
    count: int
    """In the whole group, on all pages."""
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class Board:
    """The whole page."""

    chosen: Chosen
    kits: tuple[tuple[str, str], ...]
    """Kits to choose from: name and title."""
    skills: tuple[str, ...]
    """Names of the starred skills, in the order of the cells."""
    by_shoot: tuple[str, ...]
    """Names of those that only a signed shoot can show."""
    people: int
    alone: int
    """Who can be sent out alone, of those people ..."""
    ready: int
    """... by the rule ..."""
    decided: int
    """... or by a named person's decision."""
    states: tuple[tuple[str, int], ...]
    weakest: tuple[Weak, ...]
    unpractised: tuple[str, ...]
    """Names of the starred skills with drills that nobody has a case of that counts."""
    sent: Sent | None
    running: tuple[Running, ...]
    parts: tuple[Part, ...]
    shown: int
    """Of the people, those in the chosen state, on all pages."""
    page: int
    pages: int
    elsewhere: tuple[Any, ...]
    """Ids of ticked people who are not on this page."""


def board_of(visitor: Visitor, choice: Chosen, now: datetime) -> Board:
    """The board for a visitor. What is new in the ledger has to be folded before."""
    everybody = now_of_many(led(visitor, choice), now, visitor)
    kits = {kit.name: kit.title for kit in kits_for(visitor)}
    if choice.kit:
        everybody = [one for one in everybody if one.kit == choice.kit]
    needs = by_need(everybody)
    shown = [need for need in needs if not choice.state or need.now.state == choice.state]
    pages = max(1, ceil(len(shown) / PAGE))
    page = min(max(1, choice.page), pages)
    on_page = shown[(page - 1) * PAGE : page * PAGE]
    ticked = set(choice.send)
    sent = [need.now for need in needs if need.now.person_id in ticked]
    here = {need.now.person_id for need in on_page}
    stars = next(iter(everybody)).stars if everybody else {}
    return Board(
        chosen=choice,
        kits=tuple(sorted(kits.items(), key=lambda kit: kit[1])),
        skills=tuple(star.name for star in stars.values()),
        by_shoot=tuple(star.name for star in stars.values() if star.by_shoot),
        people=len(everybody),
        alone=sum(need.group == "alone" for need in needs),
        ready=sum(need.group == "alone" and need.now.state == "ready" for need in needs),
        decided=sum(need.group == "alone" and need.now.state != "ready" for need in needs),
        states=tuple((state, sum(one.state == state for one in everybody)) for state in STATES),
        weakest=tuple(weakest(everybody)),
        unpractised=unpractised(everybody),
        sent=if_sent(sent),
        running=running_in([team for team in choice.teams if choice.team in {None, team.pk}], visitor, now),
        parts=_parts(shown, on_page, choice, kits, ticked, now.date()),
        shown=len(shown),
        page=page,
        pages=pages,
        elsewhere=tuple(one.person_id for one in sent if one.person_id not in here),
    )


def _parts(
    shown: Sequence[Need], on_page: Sequence[Need], choice: Chosen, kits: dict[str, str], ticked: set[Any], today: date
) -> tuple[Part, ...]:
    teams = in_led_teams([need.now.person_id for need in on_page], choice.teams)
    parts = []
    for group, needs in groupby(on_page, key=lambda need: need.group):
        title, order = GROUP_TITLES[group]
        lines = []
        for need in needs:
            team, region = teams.get(need.now.person_id, ("", ""))
            cells = tuple(cell_of(star) for star in need.now.stars.values())
            kit = kits.get(need.now.kit, need.now.kit)
            # A team named after its region is said once.
            region = "" if region in team.split(", ") else region
            lines.append(Line(need, team, region, kit, cells, need.now.person_id in ticked))
        count = sum(need.group == group for need in shown)
        parts.append(Part(group, title, order, count, tuple(lines)))
    return tuple(parts)


def cell_of(star: StarNow) -> Cell:
    """How one starred skill is shown; small samples are grey and say what is missing."""
    if star.by_shoot:
        return (
            Cell("shown", "shown", "on a shoot", f"{star.name}: shown on a signed shoot")
            if star.call == "ready"
            else Cell("not shown", "shoot", "not shown", f"{star.name}: a signed shoot has to show it")
        )
    n = f"n = {star.count}"
    if star.call == "ready":
        return Cell("ready", "ready", n, f"{star.name}: ready, {n}")
    if star.call == "not ready":
        return Cell("not ready", "not ready", n, f"{star.name}: not ready, {n}")
    if not star.more:
        return Cell("not enough evidence", "not settled", n, f"{star.name}: not enough evidence, not settled, {n}")
    whole = f"{star.name}: not enough evidence, about {star.more} more case{'' if star.more == 1 else 's'}, {n}"
    return Cell("not enough evidence", f"{star.more} more", n, whole)


__all__ = ["PAGE", "Board", "Cell", "Line", "Part", "board_of", "cell_of"]
