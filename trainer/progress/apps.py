"""The room's registration with the framework."""

from django.apps import AppConfig


class ProgressConfig(AppConfig):
    """The room progress."""

    name = "trainer.progress"
