"""`python -m trainer.config.set_up`: everything before serving, in one process; run again it finds nothing to do."""

from __future__ import annotations

import os
import sys

STEPS: tuple[tuple[str, dict[str, int]], ...] = (
    ("migrate", {"verbosity": 0}),
    ("createcachetable", {"verbosity": 0}),
    ("library", {}),
    ("warm", {}),
    ("stock", {}),
)


def main() -> int:
    """Bring the tables and the shelf up to date, compile the kernels, see to ready variations; the exit code."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "trainer.config.settings")
    import django
    from django.conf import settings
    from django.core.management import CommandError, call_command

    django.setup()
    if settings.PRODUCTION:
        # There each file of a page goes by a name that says what is in it; on a desk they are found as they are.
        call_command("collectstatic", verbosity=0, interactive=False)
    try:
        for command, options in STEPS:
            call_command(command, **options)
        if settings.DEMO:
            call_command("demo")
            call_command("demo_year")
    except CommandError as error:
        print(error, file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
