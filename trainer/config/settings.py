"""Settings of the site: safe defaults, everything that differs by machine from the environment."""

from __future__ import annotations

import os
from pathlib import Path

from csp.constants import NONCE, NONE, SELF

from trainer.config import environment

ROOT = Path(__file__).resolve().parents[2]
VAR = Path(os.environ.get("LEVELHEAD_VAR", ROOT / "var"))
"""Everything the running site writes: database, own key, demo sign-in, locks, files with hashed names."""
SCENARIOS = ROOT / "scenarios"

PRODUCTION = environment.flag("LEVELHEAD_PRODUCTION")
DEBUG = environment.flag("LEVELHEAD_DEBUG")
DEMO = environment.flag("LEVELHEAD_DEMO")
"""Whether an invented firm with accounts may be made; `make run` turns it on."""
ALLOWED_HOSTS = environment.words("LEVELHEAD_HOSTS") or ([] if PRODUCTION else ["localhost", "127.0.0.1", "[::1]"])
if PRODUCTION:
    environment.refuse_unsafe(debug=DEBUG, hosts=ALLOWED_HOSTS, demo=DEMO)
SECRET_KEY = environment.secret_key(PRODUCTION, VAR / "secret_key")

BADGE_KEYS = Path(os.environ.get("LEVELHEAD_BADGE_KEYS", VAR / "badge_keys"))
"""Folder of the keys that sign readiness credentials; the first is made when needed, old ones stay to be checked."""

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "allauth",
    "allauth.account",
    "csp",
    "django_tasks",
    "django_tasks_db",
    "rest_framework",
    "drf_spectacular",
    "trainer.people",
    "trainer.library",
    "trainer.renders",
    "trainer.drills",
    "trainer.looks",
    "trainer.roster",
    "trainer.progress",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "csp.middleware.CSPMiddleware",
    "trainer.config.headers.header_middleware",
    "trainer.config.busy.BusyMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "trainer.config.no_nul.NoNul",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "trainer.config.busy.asked_first",
    "trainer.people.idle.idle_middleware",
    "allauth.account.middleware.AccountMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "trainer.people.signed_out.signed_out_middleware",
    "trainer.config.closed.ClosedDuringCheck",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "trainer.library.at_hand.at_hand_middleware",
]

ROOT_URLCONF = "trainer.config.urls"
WSGI_APPLICATION = "trainer.config.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [ROOT / "trainer" / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "csp.context_processors.nonce",
                "trainer.people.menu.leading",
            ],
        },
    },
]

# Where things are kept.
DATABASES = {"default": environment.database(os.environ.get("DATABASE_URL", ""), VAR)}
_SEVERAL_HOSTS = DATABASES["default"]["ENGINE"] == "django.db.backends.postgresql"
CACHES = {
    # Counts of tries must be seen by every process. On the embedded database there is one web process.
    "default": {
        "BACKEND": f"django.core.cache.backends.{'db.DatabaseCache' if _SEVERAL_HOSTS else 'locmem.LocMemCache'}",
        "LOCATION": "counts_of_tries",
        # Of many counts the framework drops some, three hundred by default: whoever makes many would be let off.
        "OPTIONS": {"MAX_ENTRIES": 20_000},
    },
    # Looks at own frames that nobody has asked to keep: few, for minutes.
    "held_looks": {
        **(
            {"BACKEND": "django.core.cache.backends.db.DatabaseCache"}
            if _SEVERAL_HOSTS
            else {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}
        ),
        "LOCATION": "held_looks",
        "OPTIONS": {"MAX_ENTRIES": 60},
    },
}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

STATIC_URL = "static/"
STATIC_ROOT = VAR / "static_built"
STATIC_ROOT.mkdir(parents=True, exist_ok=True)
STATICFILES_DIRS = [ROOT / "trainer" / "static"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage", "OPTIONS": {"location": VAR / "files"}},
    "staticfiles": {
        "BACKEND": (
            "django.contrib.staticfiles.storage.ManifestStaticFilesStorage"
            if PRODUCTION
            else "django.contrib.staticfiles.storage.StaticFilesStorage"
        ),
    },
}
WHITENOISE_USE_FINDERS = not PRODUCTION
WHITENOISE_AUTOREFRESH = DEBUG

# What work is judged by.
HOUSE_STANDARD = os.environ.get("LEVELHEAD_STANDARD", "")
"""Version of the house standard in force; the latest one on the shelf when empty."""

# Who comes in.
AUTH_USER_MODEL = "people.Person"
AUTHENTICATION_BACKENDS = ["allauth.account.auth_backends.AuthenticationBackend"]
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 15}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
ACCOUNT_ADAPTER = "trainer.people.signing.ByInvitation"
ACCOUNT_USER_MODEL_USERNAME_FIELD = None
ACCOUNT_LOGIN_METHODS = {"email"}
ACCOUNT_SIGNUP_FIELDS = ["email*", "password1*", "password2*"]
ACCOUNT_EMAIL_VERIFICATION = "none"
ACCOUNT_EMAIL_NOTIFICATIONS = True
ACCOUNT_EMAIL_SUBJECT_PREFIX = "Levelhead: "
ACCOUNT_USER_DISPLAY = "trainer.people.signing.displayed"
ACCOUNT_SESSION_REMEMBER = True
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "/"
ACCOUNT_LOGOUT_REDIRECT_URL = "/"
EMAIL_BACKEND = os.environ.get(
    "LEVELHEAD_EMAIL_BACKEND", f"django.core.mail.backends.{'smtp' if PRODUCTION else 'console'}.EmailBackend"
)
"""On a desk mails are printed; in production a log must not hold the links that set a new password."""
EMAIL_HOST = os.environ.get("LEVELHEAD_EMAIL_HOST", "localhost")
EMAIL_PORT = int(environment.number("LEVELHEAD_EMAIL_PORT", 25, least=1))
EMAIL_HOST_USER = os.environ.get("LEVELHEAD_EMAIL_USER", "")
EMAIL_HOST_PASSWORD = os.environ.get("LEVELHEAD_EMAIL_PASSWORD", "")
EMAIL_USE_TLS = environment.flag("LEVELHEAD_EMAIL_TLS")
DEFAULT_FROM_EMAIL = os.environ.get("LEVELHEAD_EMAIL_FROM", "levelhead@localhost")

SESSION_COOKIE_AGE = int(environment.number("LEVELHEAD_SESSION_DAYS", 30, least=0.01) * 24 * 3600)
"""After this many seconds a session ends whatever happens."""
SESSION_IDLE_S = environment.number("LEVELHEAD_IDLE_HOURS", 12, least=0.2) * 3600
"""After this long without use it ends."""
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_HTTPONLY = True
CSRF_COOKIE_SAMESITE = "Lax"
CSRF_FAILURE_VIEW = "django.views.csrf.csrf_failure"

# What a browser is told.
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF, NONCE],
        "style-src": [SELF],
        "img-src": [SELF, "blob:"],
        "connect-src": [SELF],
        "font-src": [SELF],
        "manifest-src": [SELF],
        "worker-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "object-src": [NONE],
        "frame-ancestors": [NONE],
    },
}
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
DATA_UPLOAD_MAX_MEMORY_SIZE = 256 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 300
FILE_UPLOAD_HANDLERS = ["trainer.looks.intake.NoFiles"]
"""One form takes a file, and brings its own way of taking it."""

if PRODUCTION:
    SECURE_SSL_REDIRECT = True
    SECURE_REDIRECT_EXEMPT = [r"^healthz$", r"^readyz$"]
    SECURE_HSTS_SECONDS = 365 * 24 * 3600
    SECURE_HSTS_INCLUDE_SUBDOMAINS = True
    SECURE_HSTS_PRELOAD = True
    SESSION_COOKIE_SECURE = True
    SESSION_COOKIE_NAME = "__Host-sessionid"
    CSRF_COOKIE_SECURE = True
    CSRF_COOKIE_NAME = "__Host-csrftoken"
    ACCOUNT_DEFAULT_HTTP_PROTOCOL = "https"
    CSRF_TRUSTED_ORIGINS = [f"https://{host.lstrip('.')}" for host in ALLOWED_HOSTS]
    if environment.flag("LEVELHEAD_BEHIND_PROXY"):
        SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
        # Whose tries are counted: behind one proxy every visitor has its address, and would use up everybody's.
        ALLAUTH_TRUSTED_PROXY_COUNT = 1
else:
    ACCOUNT_DEFAULT_HTTP_PROTOCOL = "http"

# The API.
REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": ["trainer.config.intake.SessionOrRefused"],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
    "DEFAULT_PARSER_CLASSES": ["trainer.config.intake.BoundedJSONParser"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_THROTTLE_CLASSES": ["rest_framework.throttling.UserRateThrottle"],
    "DEFAULT_THROTTLE_RATES": {"user": "1200/min", "issue": "60/min", "look": "6/min"},
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "EXCEPTION_HANDLER": "trainer.config.refusals.explain",
    "UNAUTHENTICATED_USER": "django.contrib.auth.models.AnonymousUser",
    "URL_FORMAT_OVERRIDE": None,
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Levelhead",
    "DESCRIPTION": "Practise placing stations: open an attempt, answer it once, read its grade.",
    "VERSION": "1",
    "SERVE_INCLUDE_SCHEMA": False,
    "SERVE_PERMISSIONS": ["rest_framework.permissions.IsAuthenticated"],
    "SCHEMA_PATH_PREFIX": "/api/",
    "POSTPROCESSING_HOOKS": [
        "drf_spectacular.hooks.postprocess_schema_enums",
        "trainer.config.described.add_refusals",
    ],
    "COMPONENT_SPLIT_REQUEST": True,
}

# What is worked on beside the requests.
TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend", "QUEUES": ["default"]}}
TASK_TIME_S = environment.number("LEVELHEAD_TASK_S", 900, least=1)
"""After this long a task is stopped and begun again; three times, then it is given up on."""
TASK_MEMORY_MIB = environment.number("LEVELHEAD_TASK_MIB", 6144, least=600)
"""Address space of the process that does a task; compiled kernels and libraries alone take 600 MiB of it."""
ROOM_MIB = environment.number("LEVELHEAD_ROOM_MIB", 200, least=1)
"""With less room than this where the site writes, it says that it is not ready."""

LANGUAGE_CODE = "en-gb"
USE_I18N = False
TIME_ZONE = "UTC"
USE_TZ = True

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
    "loggers": {"trainer": {"level": "INFO"}},
}
