"""The built form of the site's files: every module and looks under a hashed name, joined by one import map."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.test import Client

HASHED = re.compile(r"\.[0-9a-f]{12}\.(?:js|css|svg)$")


@pytest.fixture
def built(tmp_path: Path, settings: Any, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The files collected as for production, and the site set to use them."""
    from trainer.library.templatetags import sheet

    settings.STATIC_ROOT = tmp_path
    settings.STORAGES = {
        **settings.STORAGES,
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.ManifestStaticFilesStorage"},
    }
    sheet._built.cache_clear()
    call_command("collectstatic", verbosity=0, interactive=False)
    yield tmp_path
    sheet._built.cache_clear()


@pytest.mark.django_db
def test_pages_name_built_files_and_the_map_leads_every_import_to_one(built: Path, settings: Any) -> None:
    page = Client().get("/").content.decode()
    imports = json.loads(re.search(r'<script type="importmap" nonce="[^"]+">(.*?)</script>', page)[1])["imports"]
    modules = list((settings.ROOT / "trainer" / "static").rglob("*.js"))
    assert len(imports) == len(modules) > 8
    for plain, hashed in imports.items():
        assert HASHED.search(hashed), hashed
        assert (built / hashed.removeprefix(settings.STATIC_URL)).is_file()
        folder = Path(plain).parent
        text = (built / hashed.removeprefix(settings.STATIC_URL)).read_text()
        for name in re.findall(r'from "(\.[^"]+)"|import "(\.[^"]+)"', text):
            target = (Path("/") / folder / next(filter(None, name))).resolve()
            assert str(target) in imports, f"{plain} imports {name}, which is not in the map"
    for address in re.findall(r'(?:src|href)="(/static/[^"]+)"', page):
        assert HASHED.search(address), f"{address} is not a built name"


@pytest.mark.django_db
def test_looks_import_built_looks(built: Path) -> None:
    page = Client().get("/cautions/").content.decode()
    looks = re.search(r'href="/static/(look/site\.[0-9a-f]{12}\.css)"', page)[1]
    named = re.findall(r'url\("?([^")]+)"?\)', (built / looks).read_text())
    assert len(named) >= 6
    for name in named:
        assert HASHED.search(name)
        assert (built / "look" / name).is_file()
