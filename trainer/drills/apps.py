"""The room's registration with the framework."""

from django.apps import AppConfig


class DrillsConfig(AppConfig):
    """The room drills."""

    name = "trainer.drills"
