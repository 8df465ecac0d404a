"""`manage.py frame`: the frame of a station on a floor, with any fault, as a file; and its raw headings."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from PIL import Image

from scoring.border import FileProblems
from scoring.floor.plan import Station
from scoring.frame.encode import encode_frame, encode_picture
from scoring.frame.faults import FAULTS
from scoring.frame.hours import HourError
from scoring.frame.picture import heading_picture
from scoring.frame.shoot import check_width, shoot
from scoring.frame.spin import PlaceError, spin_of
from scoring.frame.stage import stage
from scoring.frame.take import Fault, Take
from trainer.library.desk import DEFAULT_KIT, desk

HEADING_PX = 1024


class Command(BaseCommand):
    """Shoot one frame and write it. Touches no database."""

    help = "Compute the frame of one station: what this kit would bring home from there, with the faults it is given."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--floor", required=True, help="name in scenarios/floors, or a path ending in .json")
        parser.add_argument("--station", required=True, metavar="X,Y[,LEVEL]", help="metres on the plan, level from 0")
        parser.add_argument("--kit", default=DEFAULT_KIT, help="name in scenarios/kits, or a path (%(default)s)")
        parser.add_argument(
            "--fault", action="append", default=[], metavar="CODE:NAME=VALUE,...",
            help="a fault of the catalogue, like F1:offset_mm=20; may be given up to three times",
        )  # fmt: skip
        parser.add_argument("--when", default="2025-03-20T12:00", metavar="ISO", help="date and hour (%(default)s)")
        parser.add_argument("--latitude", type=float, default=45.0, metavar="DEG")
        parser.add_argument("--longitude", type=float, default=0.0, metavar="DEG")
        parser.add_argument("--sky", choices=["clear", "overcast"], default="clear")
        parser.add_argument("--no-lamps", action="store_true", help="lamps off")
        parser.add_argument(
            "--facing", type=float, default=0.0, metavar="DEG", help="of heading 1, counter-clockwise from east"
        )
        parser.add_argument("--seed", type=int, default=0, help="of colours, patterns and all that is irregular")
        parser.add_argument("--size", type=int, default=2048, metavar="W", help="width in pixels (%(default)s)")
        parser.add_argument("--out", required=True, type=Path, metavar="FILE", help=".jpg, or .png without metadata")
        parser.add_argument("--headings", type=Path, metavar="DIR", help="write the raw headings there as well")

    def handle(self, *, out: Path, headings: Path | None, size: int, **options: Any) -> None:
        if out.suffix.lower() not in (".jpg", ".jpeg", ".png"):
            raise CommandError(f"{out}: a frame is written as .jpg or .png")
        try:
            take = _take(options)
            check_width(size)
            set_up = stage(take)
            frame = shoot(set_up, take, size)
            _write(out, frame.rgb, encode_frame(frame.rgb))
            self.stdout.write(f"{out}: {size} x {size // 2} pixels, {_said(take)}")
            if headings is not None:
                headings.mkdir(parents=True, exist_ok=True)
                for heading in spin_of(take, set_up.lens_point_m).headings:
                    if heading.taken:
                        rgb = heading_picture(set_up, take, heading.index, HEADING_PX)
                        path = headings / f"heading-{heading.index + 1}.jpg"
                        _write(path, rgb, encode_picture(rgb))
                        self.stdout.write(f"{path}")
        except (FileProblems, PlaceError, HourError) as error:
            raise CommandError(str(error)) from None
        except OSError as error:
            raise CommandError(f"cannot be written: {error}") from None
        except ValueError as error:
            raise CommandError(_plain(error)) from None


def _take(options: dict[str, Any]) -> Take:
    on = desk(options["floor"], options["kit"], "house")
    return Take(
        plan=on.plan,
        kit=on.kit,
        station=_station(options["station"]),
        when_iso=options["when"],
        latitude_deg=options["latitude"],
        longitude_deg=options["longitude"],
        sky=options["sky"],
        lamps=not options["no_lamps"],
        faults=tuple(_fault(text) for text in options["fault"]),
        seed=options["seed"],
        facing_deg=options["facing"],
    )


def _station(text: str) -> Station:
    parts = text.split(",")
    try:
        if len(parts) not in (2, 3):
            raise ValueError
        return Station(x=float(parts[0]), y=float(parts[1]), level=int(parts[2]) if len(parts) == 3 else 0)
    except ValueError:
        raise CommandError(f"--station {text!r}: write X,Y or X,Y,LEVEL, like 2.5,1.8,0") from None


def _fault(text: str) -> Fault:
    code, _, rest = text.partition(":")
    if code not in FAULTS:
        raise CommandError(f"--fault {text!r}: no fault is called {code!r}; known: {', '.join(FAULTS)}")
    values: dict[str, float | str] = {}
    for pair in filter(None, rest.split(",")):
        name, equals, value = pair.partition("=")
        if not equals:
            raise CommandError(f"--fault {text!r}: write NAME=VALUE, not {pair!r}")
        try:
            values[name.strip()] = float(value)
        except ValueError:
            values[name.strip()] = value.strip()
    return Fault(code, values)  # type: ignore[arg-type]


def _plain(error: ValueError) -> str:
    """What is wrong, in the words of whoever found it."""
    details = getattr(error, "errors", None)
    if details is None:
        return str(error)
    return "; ".join(str(one.get("ctx", {}).get("error", one["msg"])) for one in details())


def _said(take: Take) -> str:
    return ", ".join(FAULTS[fault.code].title for fault in take.faults) or FAULTS["N0"].title


def _write(path: Path, rgb: Any, jpeg: bytes) -> None:
    if path.suffix.lower() == ".png":
        Image.fromarray(rgb).save(path)
    else:
        path.write_bytes(jpeg)
