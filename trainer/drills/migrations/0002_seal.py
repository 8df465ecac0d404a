"""Put the seal on the ledger."""

from django.db import migrations

from trainer.drills.append_only import seal, unseal


def put_on(apps, schema_editor):
    seal(schema_editor.connection)


def take_off(apps, schema_editor):
    unseal(schema_editor.connection)


class Migration(migrations.Migration):
    dependencies = [("drills", "0001_initial")]

    operations = [migrations.RunPython(put_on, take_off)]
