"""Boards as CSV, so that a spreadsheet reads words as words: a cell that it would compute is quoted out."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from io import StringIO
from typing import Any

from trainer.progress.boards.need import Need
from trainer.progress.boards.skills import holds
from trainer.progress.standings import Now
from trainer.roster.reshoot_file import RISKY

COMPUTED = (*RISKY, "\n")


def plain(value: Any) -> Any:
    """A cell that no spreadsheet takes for a formula; numbers stay numbers."""
    return f"'{value}" if isinstance(value, str) and value.startswith(COMPUTED) else value


def csv_text(rows: Iterable[Sequence[Any]]) -> str:
    """Rows as CSV by RFC 4180, every text neutral."""
    out = StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerows([plain(cell) for cell in row] for row in rows)
    return out.getvalue()


def team_rows(needs: Sequence[Need], teams: dict[Any, tuple[str, str]]) -> Iterable[list[Any]]:
    """The Team board, one person a line, in the order of the board."""
    stars = list(needs[0].now.stars.items()) if needs else []
    head = [
        "name", "team", "region", "kit", "state", "since", "can be sent alone", "sent by decision until",
        "held because",
        "due on", "lapsed on", "ready ended because", "missing", "about minutes", "minutes are enough",
        "expected score of 100", "90 % from", "90 % to", "n", "figures of",
    ]  # fmt: skip
    yield [*head, *(cell for _, star in stars for cell in (star.name, f"{star.name}: n"))]
    for need in needs:
        now = need.now
        team, region = teams.get(now.person_id, ("", ""))
        yield [
            now.name, team, region, now.kit, now.state, _day(now.since), "yes" if need.group == "alone" else "no",
            _day(now.sent_until), now.held_reason, _day(now.due_on), _day(now.lapsed_on),
            now.ended_line, "; ".join(gap.words for gap in now.gaps), need.minutes,
            "four times of five" if need.promised else "not promised", *_figures(now),
            *(cell for code, _ in stars for cell in _star(now, code)),
        ]  # fmt: skip


def _figures(now: Now) -> tuple[Any, ...]:
    """Score with its interval, n and their day; of whom nothing was graded only n, as on the person's page."""
    if not now.count:
        return "", "", "", 0, ""
    return round(now.score), round(now.low), round(now.high), now.count, _day(now.figured_on)


def _star(now: Now, code: str) -> tuple[str, Any]:
    star = now.stars[code]
    if star.by_shoot:
        return ("shown on a signed shoot" if holds(star) else "a signed shoot has to show it"), ""
    return star.call, star.count


def _day(day: Any) -> str:
    return "" if day is None else day.isoformat()


__all__ = ["csv_text", "plain", "team_rows"]
