"""What other limits would do to stored cases of every kind: frames by their numbers, the rest by the best answer."""

from __future__ import annotations

import re
from dataclasses import asdict, replace
from typing import Any

import html5lib
import pytest
from django.test import Client
from django.urls import reverse

from scoring.drill import Task
from scoring.frame.severity import Numbers
from scoring.kinds.causes import NOTHING
from scoring.standard import Standard
from tests.scoring.kinds.looked_at import known
from tests.scoring.kinds.looked_at import task as frame_task
from tests.scoring.kinds.shipped import standard, tasks
from tests.trainer.conftest import FIRST
from trainer.drills.limits_preview import Cases, Turned, preview_of
from trainer.people.models import Firm, Membership, Role
from trainer.renders.models import Variation

pytestmark = pytest.mark.django_db


def store(task: Task, recipe: str, **public: str) -> Variation:
    """A case of a recipe in stock."""
    body = asdict(replace(task, recipe=recipe, public={**task.public, **public}))
    count = Variation.objects.count()
    return Variation.objects.create(
        address="x", seed=count, recipe=recipe, kit="k", task=body, difficulty_logit=0.0, fingerprint=f"{count:064}",
        made_at=FIRST,
    )  # fmt: skip


def tilted(tilt_deg: float) -> Task:
    """A case with one frame that is tilted so much, and nothing else."""
    made = frame_task("verdict", {}, of=replace(known(NOTHING), numbers=replace(Numbers(), tilt_deg=tilt_deg)))
    return replace(made, key={**made.key, "takes": {"frame": None, "clean": None}})


def with_tilt(edge: float) -> Standard:
    """The house standard, in which tilt deserves either verdict up to that edge and redo from there."""
    keep, either, *redo = standard().frames.tilt_deg
    bands = (keep, replace(either, below=edge), replace(redo[0], at_least=edge), *redo[1:])
    return replace(standard(), frames=replace(standard().frames, tilt_deg=bands))


def cases(wanted: Standard) -> Cases:
    return preview_of(Firm.objects.get(name="Home"), standard(), wanted).cases


def test_a_stored_frame_is_named_with_both_verdicts_when_other_bands_turn_it(three: Any) -> None:
    redo = standard().frames.tilt_deg[2].at_least
    store(tilted(redo + 0.2), "one", title="Over the edge")
    store(tilted(redo + 0.8), "two", title="Far over it")
    store(tilted(0.0), "three", title="Straight")
    found = cases(with_tilt(redo + 0.5))
    assert found.frames == 3
    assert found.turned == (Turned("Over the edge", "redo", "keep or redo, both right"),)
    assert cases(standard()).turned == ()
    assert found.not_compared == found.references == found.others == 0


def test_the_newest_case_of_a_recipe_speaks_for_it(three: Any) -> None:
    redo = standard().frames.tilt_deg[2].at_least
    store(tilted(redo + 0.2), "one", title="Older")
    store(tilted(0.0), "one", title="Newer")
    found = cases(with_tilt(redo + 0.5))
    assert (found.frames, found.turned) == (1, ())


def test_other_cases_on_plans_are_named_when_their_best_answer_would_be_another(three: Any) -> None:
    (join,), (threshold,) = tasks("join-l-rooms", 1), tasks("threshold-guest-house", 1)
    store(join, "join", title="Join them")
    store(threshold, "threshold", title="Small rooms")
    assert cases(standard()).another == ()
    assert cases(standard()).others == 2
    assert cases(replace(standard(), link_max_m=3.0)).another == ("Join them",)
    over = replace(standard(), threshold_circle_m=threshold.key["radius_m"] + 0.1)
    under = replace(standard(), threshold_circle_m=threshold.key["radius_m"] - 0.1)
    flips = over if threshold.key["right"] == "inside" else under
    assert cases(flips).another == ("Small rooms",)


def test_islands_that_need_a_station_less_have_another_best_answer(three: Any) -> None:
    _, join = tasks("join-corner-hall", 2)
    store(join, "join", title="Join them")
    assert cases(standard()).another == ()
    easy = replace(standard(), link_strip_m=0.01, link_max_m=30.0, sight_range_m=30.0)
    assert cases(easy).another == ("Join them",)


def test_a_case_without_anything_to_compare_is_counted_and_said(three: Any) -> None:
    (place,) = tasks("join-l-rooms", 1)
    store(replace(place, kind="place", key={**place.key, "reference": {}}), "bare")
    assert cases(standard()).not_compared == 1


def page(client: Client, **limits: str) -> str:
    text: str = client.post(reverse("limits"), {**limits, "preview": ""}).content.decode()
    html5lib.HTMLParser(strict=True).parse(text)
    told = text[text.index('id="preview"') : text.index("Nobody’s state changes")]
    return " ".join(re.sub(r"<[^>]+>", " ", told).split())


def test_the_page_says_it_in_words(stocked: Any, three: Any) -> None:
    Membership.objects.create(person=three.trainer, team=three.trainer.memberships.get().team, role=Role.OWNER)
    client = Client()
    client.force_login(three.trainer)
    assert "stored frame" not in page(client, link_max_m="6")
    redo = standard().frames.tilt_deg[2].at_least
    store(tilted(redo + 0.2), "one", title="Over the edge")
    store(tasks("join-l-rooms", 1)[0], "join", title="Join them")
    same = page(client, link_max_m="8")
    assert "The one stored frame would deserve the same verdict." in same
    assert "The one stored case of another kind would keep its best answer." in same
    text = page(client, link_max_m="3", **{"frames.tilt_deg.2": str(redo + 0.5)})
    assert "The one stored frame would deserve another verdict: Over the edge: now redo; then keep or redo" in text
    assert "The one stored case of another kind would have another best answer: Join them." in text
    assert "nothing that can be compared" not in text
    store(replace(tasks("join-l-rooms", 1)[0], kind="place", key={"skills": [], "guess": {}}), "bare")
    store(tilted(0.0), "two", title="Straight")
    text = page(client, link_max_m="6", **{"frames.tilt_deg.2": str(redo + 0.5)})
    assert "Of 2 stored frames this one would deserve another verdict: Over the edge" in text
    assert "1 drill in stock has nothing that can be compared: new cases of it are made by the new limits." in text
