"""The room's registration with the framework."""

from django.apps import AppConfig


class LibraryConfig(AppConfig):
    """The room library."""

    name = "trainer.library"
