"""A kit: one set of tripod, rotator, clamp, phone and lens that an operator carries."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field, ValidationInfo
from pydantic.dataclasses import dataclass

from scoring.standard import BORDER, Slug, Words

ORTHOGRAPHIC_MOST_DEG = 180.0
"""Its radius, the sine of the angle, grows no more beyond a quarter turn off the axis."""


def _on_the_film(field_deg: float, lens: ValidationInfo) -> float:
    if lens.data.get("projection") == "orthographic" and field_deg > ORTHOGRAPHIC_MOST_DEG:
        raise ValueError(f"is at most {ORTHOGRAPHIC_MOST_DEG:g} with an orthographic lens")
    return field_deg


@dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
class Lens:
    """A fisheye lens on the phone's camera."""

    mount: Literal["screw-on", "clip-on"]
    projection: Literal["equidistant", "equisolid", "stereographic", "orthographic"]
    field_deg: Annotated[float, Field(ge=90.0, le=220.0), AfterValidator(_on_the_film)]
    pupil_travel_mm: Annotated[float, Field(ge=0.0, le=10.0)]
    """How far the entrance pupil wanders from the axis to the edge of the field."""
    circle_mm: Annotated[float, Field(ge=5.0, le=200.0)] = 45.0
    """Radius of the picture of the half sphere in front of the lens, measured where the lens is moved: seated this
    far off the camera's axis, its picture would be shifted by a quarter turn. 45 mm: 2° for a millimetre."""


@dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
class Battery:
    """What the rotator and phone can do on one fill."""

    rotator_hours: Annotated[float, Field(gt=0.0, le=48.0)]
    phone_drain_share_per_hour: Annotated[float, Field(gt=0.0, le=1.0)]
    bank_mah: Annotated[int, Field(ge=0, le=50000)]


@dataclass(frozen=True, slots=True, kw_only=True, config=BORDER)
class Kit:
    """One kit. Invented; a firm enters its own."""

    format: Literal["levelhead-kit"]
    version: Literal[1]
    name: Slug
    title: Words
    note: Words
    headings: Annotated[int, Field(ge=3, le=12)]
    lens_height_m: Annotated[float, Field(ge=0.5, le=2.5)]
    leg_circle_m: Annotated[float, Field(ge=0.3, le=1.5)]
    """Diameter of the circle that the tripod's feet stand on."""
    mast_radius_m: Annotated[float, Field(ge=0.02, le=0.3)]
    """Half the width of the head with phone and clamp: what must stay clear at lens height."""
    clamp: Literal["side", "centre", "cradle"]
    camera_place: Words
    """Where the phone's camera sits in the clamp, in words."""
    pupil_forward_mm: Annotated[float, Field(ge=-60.0, le=60.0)]
    pupil_side_mm: Annotated[float, Field(ge=-60.0, le=60.0)]
    lens: Lens
    battery: Battery

    @property
    def leg_radius_m(self) -> float:
        """Radius of the leg circle [m]."""
        return self.leg_circle_m / 2.0


__all__ = ["ORTHOGRAPHIC_MOST_DEG", "Battery", "Kit", "Lens"]
