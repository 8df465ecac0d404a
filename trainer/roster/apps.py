"""The room's registration with the framework."""

from django.apps import AppConfig


class RosterConfig(AppConfig):
    """The room roster."""

    name = "trainer.roster"
