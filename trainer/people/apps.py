"""The room's registration with the framework."""

from django.apps import AppConfig


class PeopleConfig(AppConfig):
    """The room people."""

    name = "trainer.people"
