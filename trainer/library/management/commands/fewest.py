"""`manage.py fewest`: the fewest stations of a floor, or of a bare polygon, with what is proven about them."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from time import monotonic
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from scoring.border import FileProblems
from scoring.drill import Shape, canonical_json
from scoring.floor.fewest import fewest
from scoring.floor.findings import Reference
from scoring.floor.gallery import Gallery, GalleryError, gallery
from scoring.floor.place import prepare
from scoring.floor.plan import Station
from trainer.library.desk import DEFAULT_KIT, desk, polygon_svg, read_polygon, write_sheets


class Command(BaseCommand):
    """Print the reference of a floor in words or as JSON, and draw it if asked to. Touches no database."""

    help = "Find and prove the fewest stations of a floor that meet the house standard."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        what = parser.add_mutually_exclusive_group(required=True)
        what.add_argument("--floor", help="name in scenarios/floors, or a path ending in .json")
        what.add_argument(
            "--polygon", type=Path, metavar="FILE", help="a bare polygon with holes, whole area to be seen"
        )
        parser.add_argument("--kit", default=DEFAULT_KIT, help="name in scenarios/kits, or a path (%(default)s)")
        parser.add_argument("--standard", default="house", help="name in scenarios/standards, or a path (%(default)s)")
        parser.add_argument(
            "--company",
            choices=("none", "seen", "connected"),
            default="none",
            help="of a bare polygon: each station sees another, or sight joins them all (%(default)s)",
        )
        parser.add_argument("--limit-s", type=float, default=30.0, help="how long to search, seconds (%(default)s)")
        parser.add_argument("--json", action="store_true", help="print all of it as JSON")
        parser.add_argument("--svg", type=Path, metavar="OUT", help="draw it; a file for each level")

    def handle(self, *, floor: str | None, polygon: Path | None, limit_s: float, **options: Any) -> None:
        try:
            if floor is None:
                assert polygon is not None
                self._bare(polygon, limit_s, options)
            else:
                self._floor(floor, limit_s, options)
        except FileProblems as error:
            raise CommandError(str(error)) from None

    def _floor(self, floor: str, limit_s: float, options: dict[str, Any]) -> None:
        on = desk(floor, options["kit"], options["standard"])
        found = fewest(prepare(on.plan, on.kit, on.standard), limit_s=limit_s, clock=monotonic)
        self.stdout.write(canonical_json(as_json(found)) if options["json"] else in_words(on.plan.title, found))
        if options["svg"]:
            stations = [Station(level=level, x=x, y=y) for level, x, y in found.stations]
            shapes = [Shape("reference", "point", level, [x, y]) for level, x, y in found.stations]
            write_sheets(options["svg"], on.plan, stations, shapes)

    def _bare(self, path: Path, limit_s: float, options: dict[str, Any]) -> None:
        try:
            polygon = read_polygon(path)
        except GalleryError as error:
            raise CommandError(f"{path}: {error}") from None
        found = gallery(polygon, company=options["company"], limit_s=limit_s, clock=monotonic)
        self.stdout.write(
            canonical_json({**asdict(found), "proven": found.proven}) if options["json"] else bare_in_words(path, found)
        )
        if options["svg"]:
            options["svg"].write_text(polygon_svg(polygon, found.guards), encoding="utf-8")


def as_json(found: Reference) -> dict[str, Any]:
    """A reference as JSON, with its verdict."""
    return {**asdict(found), "proven": found.proven}


def bare_in_words(path: Path, found: Gallery) -> str:
    """What was found for a bare polygon, in lines to read."""
    proof = "proven fewest" if found.proven else f"the fewest lies between {found.lower} and {found.upper}"
    lines = [f"{path.name}: {found.upper} stations see the whole polygon, {proof}, standing anywhere."]
    lines += [f"  {number}. x {x:.3f} m, y {y:.3f} m" for number, (x, y) in enumerate(found.guards, 1)]
    return "\n".join([*lines, f"{found.rounds} rounds, {found.witnesses} witnesses."])


def in_words(title: str, found: Reference) -> str:
    """What was found and what is proven, in lines to read."""
    if not found.stations:
        return f"{title}: {found.gap_note}"
    proof = f"proven fewest of {found.listed} listed stands"
    if not found.proven:
        between = f"between {found.lower} and {found.upper}"
        proof = f"the fewest of {found.listed} listed stands lies {between}. {found.gap_note}"
    lines = [
        f"{title}: {found.upper} stations, {proof.rstrip('.')}.",
        f"Anywhere at all it takes at least {found.anywhere}.",
    ]
    lines += [
        f"  {number}. level {level}, x {x:.2f} m, y {y:.2f} m" for number, (level, x, y) in enumerate(found.stations, 1)
    ]
    return "\n".join([*lines, f"List {found.list_hash[:12]}, {found.rounds} rounds, {found.solver}."])
