"""What every test of the site stands on: a database of its own, and three people who may see different things."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from xdist.scheduler import LoadScopeScheduling

from trainer.renders.stale import drop_stale

# Browser tests run the site in a thread beside an event loop of their own.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

FRAMES = "tests/scoring/frame/"
BROWSER = "tests/browser/"


class ByFile(LoadScopeScheduling):  # type: ignore[misc]
    """Files go to workers whole. The folder of frames counts as one: whoever gets it compiles what draws frames, while
    the others test the rest and mostly find it compiled. What drives a browser goes first: few tests that take long,
    with which one worker would be alone at the end."""

    def _split_scope(self, nodeid: str) -> str:
        return FRAMES if nodeid.startswith(FRAMES) else nodeid.split("::", 1)[0]

    def _assign_work_unit(self, node: Any) -> None:
        if (slow := next((scope for scope in self.workqueue if scope.startswith(BROWSER)), None)) is not None:
            self.workqueue.move_to_end(slow, last=False)
        super()._assign_work_unit(node)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> ByFile:
    """How tests are shared among workers, whatever ``--dist`` says."""
    return ByFile(config, log)


def pytest_configure(config: pytest.Config) -> None:
    """Kernels that were compiled before a change are compiled again; the workers find that done."""
    if not hasattr(config, "workerinput"):
        drop_stale()


def pytest_sessionfinish() -> None:
    """Pictures that are still in the making when the tests are over have nobody to tell."""
    if darkroom := sys.modules.get("trainer.renders.darkroom"):
        darkroom.DARKROOM.close()


@pytest.fixture(scope="session")
def django_db_modify_db_settings(
    django_db_modify_db_settings_parallel_suffix: None, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """The embedded database of a test run is a real file, so that several connections meet as they do at work."""
    from django.conf import settings
    from django.db import connections

    default = connections["default"]
    if default.vendor == "sqlite":
        memory = Path("/dev/shm")
        folder = memory if memory.is_dir() else tmp_path_factory.mktemp("database")
        name = str(folder / f"levelhead-test-{os.getpid()}.sqlite3")
        default.settings_dict["TEST"]["NAME"] = name
        settings.DATABASES["default"].setdefault("TEST", {})["NAME"] = name


@pytest.fixture(scope="session", autouse=True)
def ledger_can_be_emptied_between_tests() -> Iterator[None]:
    """A test that commits is followed by a flush, which the seal refuses: take it off for the flush alone."""
    from django.db import connection
    from django.test import TransactionTestCase

    from trainer.drills.append_only import seal, unseal

    flush = TransactionTestCase._fixture_teardown

    def flush_unsealed(self: TransactionTestCase) -> None:
        unseal(connection)
        try:
            flush(self)
        finally:
            seal(connection)

    patch = pytest.MonkeyPatch()
    patch.setattr(TransactionTestCase, "_fixture_teardown", flush_unsealed)
    yield
    patch.undo()


@pytest.fixture(autouse=True)
def no_tries_are_remembered() -> Iterator[None]:
    """Counts of tries of one test must not slow down the next."""
    yield
    from django.conf import settings
    from django.core.cache import cache

    if "locmem" in settings.CACHES["default"]["BACKEND"]:
        cache.clear()


@dataclass(frozen=True)
class Three:
    """The same three people in every test of access: one's own work, a team mate's, a stranger's."""

    insider: Any
    mate: Any
    outsider: Any
    trainer: Any


PASSWORD = "a long and quiet password"


@pytest.fixture(scope="session")
def hashed_password() -> str:
    """The password of everybody in the tests, hashed once as the site does it: a good hash takes its time."""
    from django.contrib.auth.hashers import make_password

    return make_password(PASSWORD)


@pytest.fixture
def three(db: None, hashed_password: str) -> Three:
    """An operator, a team mate, someone of another firm, and the trainer of the first two."""
    from trainer.people.models import Firm, Membership, Person, Role, Team

    def person(name: str) -> Person:
        return Person.objects.create(email=f"{name.lower()}@example.org", password=hashed_password, name=name)

    home = Team.objects.create(firm=Firm.objects.create(name="Home"), name="North")
    away = Team.objects.create(firm=Firm.objects.create(name="Away"), name="South")
    made = Three(*(person(name) for name in ("Insider", "Mate", "Outsider", "Trainer")))
    for who, team, role in (
        (made.insider, home, Role.OPERATOR),
        (made.mate, home, Role.OPERATOR),
        (made.outsider, away, Role.OPERATOR),
        (made.trainer, home, Role.TRAINER),
    ):
        Membership.objects.create(person=who, team=team, role=role)
    return made
