"""A change of kit names its parts: it is put in use once, and only skills that hang on those parts are due again."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from dataclasses import fields as fields_of
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.urls import reverse

from scoring.rig.kit import Battery, Kit, Lens
from tests.trainer.roster.conftest import OTHERS
from trainer.library import shelf
from trainer.library.own import enter_kit, kit_in_use
from trainer.library.rules import SITE_RULE
from trainer.library.skills import skill_map
from trainer.progress.catch_up import catch_up
from trainer.progress.life import ground
from trainer.progress.standings import now_of
from trainer.roster.change_kit import change_kit
from trainer.roster.check_kit import check_kit
from trainer.roster.entry import EntryError, KeyTaken
from trainer.roster.kit_parts import BY_HAND, FIELDS, PARTS, changed_parts, differences, hand_list, skills_due
from trainer.roster.models import KitChange, KitCheck
from trainer.roster.sign import sign, starred

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 3, 10, 15, 0, tzinfo=UTC)


@pytest.fixture
def kit(stocked: Any) -> Kit:
    """The kit on the shelf."""
    return shelf.kit("heron-three")


@pytest.fixture
def four(firm: Any, kit: Kit) -> str:
    """Name of a kit of the firm with four headings and its camera elsewhere."""
    body = {**_body(), "headings": 4, "pupil_side_mm": -3.0, "title": "Four headings"}
    return str(enter_kit(firm.home.firm, body, by=firm.owner, now=NOW).name)


def _body() -> dict[str, Any]:
    from trainer.library.models import Edition

    body: dict[str, Any] = Edition.objects.get(what=shelf.What.KIT, name="heron-three", current=True).body
    return body


def change(firm: Any, kit: str = "heron-three", parts: tuple[str, ...] = (), **fields: Any) -> KitChange:
    given: dict[str, Any] = {"by": firm.trainer, "key": uuid.uuid4(), "now": NOW}
    return change_kit(firm.insider, kit=kit, parts=parts, **{**given, **fields})


def test_the_parts_are_those_of_the_skill_map_and_every_number_of_a_kit_belongs_to_one() -> None:
    assert set(PARTS) == {part for skill in skill_map().values() for part in skill["kit_parts"]}
    assert set(BY_HAND) == set(PARTS)
    assert {part for part, _, _ in FIELDS.values()} == set(PARTS)
    nested = {f"{name}.{one.name}" for name, what in (("lens", Lens), ("battery", Battery)) for one in fields_of(what)}
    plain = {one.name for one in fields_of(Kit)} - {"lens", "battery"}
    assert set(FIELDS) == (plain | nested) - {"format", "version", "name", "title", "note"}


def test_what_differs_between_two_kits_is_told_part_by_part(kit: Kit) -> None:
    assert differences(kit, replace(kit, name="other", title="Other", note="Another text.")) == ()
    other = replace(kit, headings=6, pupil_side_mm=-3.5, lens=replace(kit.lens, field_deg=150.0))
    assert changed_parts(kit, other) == ("rotator", "phone", "lens")
    assert [one.words for one in differences(kit, other)] == [
        "headings in a spin: 3 → 6",
        "pupil to the right of the axis before it is set: 12 mm → −3.5 mm",
        "field: 198° → 150°",
    ]


def test_due_again_are_the_starred_skills_that_hang_on_a_part_and_no_others() -> None:
    assert skills_due(["phone"]) == ("B1", "B3", "C1", "V3")
    assert skills_due(["rotator", "battery"]) == ("A2", "B1", "V3")
    assert skills_due(["tripod"]) == ("A2", "E1")
    assert skills_due([]) == ()


@pytest.mark.usefixtures("kit")
def test_a_first_kit_is_put_in_use_and_makes_nothing_due(firm: Any) -> None:
    first = change(firm)
    assert (first.parts, kit_in_use(firm.insider)) == ([], "heron-three")
    assert now_of(firm.insider, NOW).kit == "heron-three"


def test_a_later_kit_names_its_parts_in_their_order(firm: Any, four: str) -> None:
    change(firm)
    made = change(firm, four, ("phone", "rotator"), by=firm.manager)
    assert made.parts == ["rotator", "phone"]
    assert kit_in_use(firm.insider) == four
    assert made.made_at > NOW, "two changes of one moment have an order"


def test_sending_again_changes_nothing_even_when_another_kit_came_since(firm: Any, four: str) -> None:
    key = uuid.uuid4()
    first = change(firm, key=key)
    change(firm, four, ("rotator",))
    assert change(firm, key=key) == first
    assert kit_in_use(firm.insider) == four
    assert KitChange.objects.count() == 2
    with pytest.raises(KeyTaken):
        change(firm, key=key, by=firm.owner)


@pytest.mark.parametrize(
    ("kit_name", "parts", "words"),
    [
        ("no-such-kit", (), "one of the kits"),
        ("heron-three", ("phone",), "first kit"),
        ("heron-three", ("wheels",), "no part 'wheels'"),
    ],
)
@pytest.mark.usefixtures("kit")
def test_what_cannot_be_given_is_refused(kit_name: str, parts: tuple[str, ...], words: str, firm: Any) -> None:
    with pytest.raises(EntryError, match=words):
        change(firm, kit_name, parts)
    assert kit_in_use(firm.insider) == ""


def test_a_change_without_a_part_is_none_and_another_firms_kit_is_not_there(firm: Any, four: str) -> None:
    change(firm)
    with pytest.raises(EntryError, match="at least one part"):
        change(firm, four)
    with pytest.raises(EntryError, match="one of the kits"):
        change_kit(firm.outsider, by=firm.away_owner, key=uuid.uuid4(), kit=four, parts=(), now=NOW)


@pytest.mark.usefixtures("kit")
@pytest.mark.parametrize("who", [name for name in OTHERS if name != "anonymous"])
def test_nobody_else_gives_a_kit_or_signs_the_list(who: str, firm: Any) -> None:
    with pytest.raises(PermissionDenied):
        change(firm, by=getattr(firm, who))
    change(firm)
    made = change(firm, parts=("phone",))
    with pytest.raises(PermissionDenied):
        check_kit(made, by=getattr(firm, who), done=[line.name for line in hand_list(["phone"])], now=NOW)


@pytest.mark.usefixtures("kit")
def test_a_trainer_signs_when_every_line_was_done_and_the_first_signature_stands(firm: Any) -> None:
    first = change(firm)
    made = change(firm, parts=("phone", "lens"))
    names = [line.name for line in hand_list(made.parts)]
    assert names == ["phone-1", "phone-2", "phone-3", "lens-1", "lens-2"]
    with pytest.raises(EntryError, match=r"Still open: Lens fully home"):
        check_kit(made, by=firm.trainer, done=[*names[:3], "lens-2"], now=NOW)
    with pytest.raises(EntryError, match="nothing to go through"):
        check_kit(first, by=firm.trainer, done=names, now=NOW)
    with pytest.raises(PermissionDenied):
        check_kit(made, by=firm.manager, done=names, now=NOW)
    signed = check_kit(made, by=firm.trainer, done=names, now=NOW)
    assert check_kit(made, by=firm.owner, done=names, now=NOW + timedelta(days=1)) == signed
    assert (KitCheck.objects.get().by, KitChange.objects.count()) == (firm.trainer, 2)


@pytest.mark.usefixtures("kit")
def test_somebody_ready_is_due_on_the_skills_of_the_changed_part_alone(
    firm: Any, graded_row: Callable[..., Any]
) -> None:
    stars = [star.code for star in ground(SITE_RULE).drilled]
    start = NOW - timedelta(days=9)
    change(firm, now=start)
    for day in range(7):
        for code in stars:
            graded_row(firm.insider, {code: 1.0}, at=start + timedelta(days=day, hours=1))
    sign(firm.insider, by=firm.trainer, key=uuid.uuid4(), shot_on=NOW.date(), seen=dict.fromkeys(starred(), "done"),
         signed=True, words="", now=NOW - timedelta(days=1))  # fmt: skip
    catch_up()
    assert now_of(firm.insider, NOW).state == "ready"
    made = change(firm, parts=("tripod",))
    now = now_of(firm.insider, NOW + timedelta(minutes=1))
    assert now.state == "due"
    assert {code for code, star in now.stars.items() if star.count == 0 and not star.by_shoot} == set(
        skills_due(["tripod"])
    )
    for _ in range(SITE_RULE.star_count):
        for code in skills_due(["tripod"]):
            graded_row(firm.insider, {code: 1.0}, at=NOW + timedelta(hours=1))
    catch_up()
    assert now_of(firm.insider, NOW + timedelta(hours=2)).state == "due", "nobody went through the list by hand yet"
    check_kit(made, by=firm.trainer, done=[line.name for line in hand_list(["tripod"])], now=NOW + timedelta(hours=2))
    assert now_of(firm.insider, NOW + timedelta(hours=3)).state == "ready"


def test_the_page_proposes_the_parts_that_differ_and_keeps_what_was_picked(firm: Any, four: str, visit: Any) -> None:
    client, where = visit("trainer"), reverse("give_kit", args=[firm.insider.pk])
    text = client.get(f"{where}?kit=heron-three").content.decode()
    assert "first kit" in text
    assert client.post(where, {"key": str(uuid.uuid4()), "kit": "heron-three"}).status_code == 302
    text = client.get(f"{where}?kit={four}").content.decode()
    assert "Headings in a spin: 3 → 4" in text
    assert [part for part in PARTS if f'value="{part}" checked' in text] == ["rotator", "phone"]
    sent = {"key": str(uuid.uuid4()), "kit": four, "part": []}
    refused = client.post(where, sent)
    assert refused.status_code == 400
    assert "checked" not in refused.content.decode().split("<h2")[1], "what was not picked is not proposed again"
    for _ in range(2):
        assert client.post(where, {**sent, "part": ["rotator", "phone"]}).status_code == 302
    assert KitChange.objects.get(kit=four).parts == ["rotator", "phone"]
    assert KitChange.objects.count() == 2


@pytest.mark.usefixtures("kit")
def test_the_list_by_hand_is_signed_on_its_page(firm: Any, visit: Any) -> None:
    first, made = change(firm), change(firm, parts=("battery",))
    client, where = visit("trainer"), reverse("kit_check", args=[made.pk])
    text = client.get(where).content.decode()
    assert "local codes" in text
    assert "call for help" in text
    refused = client.post(where, {"done": ["battery-1"]})
    assert refused.status_code == 400
    assert 'value="battery-1" required checked' in refused.content.decode()
    lines = [line.name for line in hand_list(["battery"])]
    assert client.post(where, {"done": lines}).status_code == 302
    assert "Signed by Trainer" in client.get(where).content.decode()
    assert client.get(reverse("kit_check", args=[first.pk])).status_code == 404, "nothing changed, so there is no list"
