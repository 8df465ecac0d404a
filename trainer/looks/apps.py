"""The room's registration with the framework."""

from django.apps import AppConfig


class LooksConfig(AppConfig):
    """The room looks."""

    name = "trainer.looks"
