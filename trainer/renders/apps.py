"""The room's registration with the framework."""

from django.apps import AppConfig


class RendersConfig(AppConfig):
    """The room renders."""

    name = "trainer.renders"
