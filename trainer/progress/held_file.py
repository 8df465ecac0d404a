"""Everything held about a person as one ZIP file: JSON to be read by programs, a CSV for each table, and what it is."""

from __future__ import annotations

import json
import zipfile
from datetime import datetime
from io import BytesIO
from typing import Any

from django.core.serializers.json import DjangoJSONEncoder

from trainer.people.models import Person
from trainer.progress.boards.sheet import csv_text
from trainer.progress.held import SOURCES, entered, exported, sign_ins

FORMAT = "levelhead-held"


def held_file(person: Person, now: datetime) -> bytes:
    """The file as it is handed out. A cell that a spreadsheet would compute is made plain text."""
    tables: dict[str, dict[str, Any]] = {
        source.name: {"title": source.title, "words": source.words, "rows": list(exported(source, person))}
        for source in SOURCES
    }
    tables["sessions"] = {"title": "Open sessions", "words": "", "rows": sign_ins(person)}
    tables["entered"] = {"title": "What you entered", "words": "", "rows": list(entered(person))}
    whole = {"format": FORMAT, "version": 1, "made_at": now, "tables": tables}
    out = BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as file:
        _put(file, "held.json", json.dumps(whole, cls=DjangoJSONEncoder, indent=1, ensure_ascii=False), now)
        _put(file, "read-me.txt", _told(tables), now)
        for name, table in tables.items():
            if table["rows"]:
                _put(file, f"{name}.csv", "\ufeff" + _csv(table["rows"]), now)
    return out.getvalue()


def _put(file: zipfile.ZipFile, name: str, text: str, now: datetime) -> None:
    entry = zipfile.ZipInfo(name, (now.year, now.month, now.day, now.hour, now.minute, now.second))
    entry.compress_type = zipfile.ZIP_DEFLATED
    file.writestr(entry, text.encode())


def _csv(rows: list[dict[str, Any]]) -> str:
    head = list(rows[0])
    return csv_text([head, *([_cell(row[name]) for name in head] for row in rows)])


def _cell(value: Any) -> Any:
    if value is None or isinstance(value, int | float | str):
        return "" if value is None else value
    if isinstance(value, dict | list | tuple):
        return json.dumps(value, cls=DjangoJSONEncoder, ensure_ascii=False)
    return value.isoformat() if hasattr(value, "isoformat") else str(value)


def _told(tables: dict[str, dict[str, Any]]) -> str:
    lines = ["All that is held about you. held.json holds all of it; each table is a CSV file too.", ""]
    for name, table in tables.items():
        lines.append(f"{name}: {table['title']}, {len(table['rows'])} rows. {table['words']}")
    return "\r\n".join(lines)


__all__ = ["FORMAT", "held_file"]
