from typing import Any

from django.db import migrations, models


def tell_again(apps: Any, schema_editor: Any) -> None:
    """Who was ready once is told anew from the whole life, so that what ended it is known."""
    apps.get_model("progress", "Standing").objects.exclude(rule="").update(rule="")


class Migration(migrations.Migration):
    dependencies = [("progress", "0005_population_of_standings")]

    operations = [
        migrations.AddField(model_name="standing", name="causes", field=models.JSONField(default=dict)),
        migrations.RunPython(tell_again, migrations.RunPython.noop),
    ]
