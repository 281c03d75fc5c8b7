"""One settings file. What varies comes from the environment; nothing set means the embedded
default: SQLite in `.data/`, no broker, one machine, 127.0.0.1.

DEVELOPERS.md has a line for every variable read here (a test holds it).
"""

import secrets
from pathlib import Path

import environ
from csp.constants import NONE, SELF

BASE_DIR = Path(__file__).resolve().parent.parent
env = environ.Env()

DATA_DIR = Path(env.str("AXLEKEEP_DATA", default=str(BASE_DIR / ".data")))


def _kept_secret() -> str:
    """A key made once and kept beside the embedded database, readable by its owner only."""
    DATA_DIR.mkdir(mode=0o700, parents=True, exist_ok=True)
    path = DATA_DIR / "secret-key"
    if not path.exists():
        path.touch(mode=0o600)
        path.write_text(secrets.token_urlsafe(60))
    return path.read_text()


DEBUG = env.bool("AXLEKEEP_DEBUG", default=False)
SECRET_KEY = env.str("AXLEKEEP_SECRET_KEY", default="") or _kept_secret()
ALLOWED_HOSTS = env.list("AXLEKEEP_HOSTS", default=["127.0.0.1", "localhost", "[::1]"])
CSRF_TRUSTED_ORIGINS = env.list("AXLEKEEP_ORIGINS", default=[])
# True on a real host behind TLS; the embedded default speaks plain http on the loopback only.
HTTPS = env.bool("AXLEKEEP_HTTPS", default=False)

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.contrib.humanize",
    "csp",
    "django_htmx",
    "django_filters",
    "allauth",
    "allauth.account",
    "rest_framework",
    "rest_framework.authtoken",
    "drf_spectacular",
    "drf_spectacular_sidecar",
    "fleet",
    "fleet.records",
    "fleet.web",
    "api",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    # Above the policy: it binds pages, and a script of 500 bytes need not carry 400 of it.
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "fleet.web.middleware.PagesGzip",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "fleet.web.middleware.PersonMiddleware",
]

ROOT_URLCONF = "fleet.urls"
WSGI_APPLICATION = "fleet.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "fleet.web.context.frame",
            ],
        },
    },
]

DATABASES = {
    "default": env.db("DATABASE_URL", default=f"sqlite:///{DATA_DIR / 'axlekeep.sqlite3'}"),
}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    # A transaction that reads first and writes later fails at once under SQLite's default mode,
    # so each one takes the write lock at its start.
    DATABASES["default"]["OPTIONS"] = {
        "timeout": 20,
        "transaction_mode": "IMMEDIATE",
        "init_command": (
            "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA recursive_triggers=ON;"
        ),
    }
else:
    DATABASES["default"]["CONN_MAX_AGE"] = 60
    DATABASES["default"]["CONN_HEALTH_CHECKS"] = True
# The PostgreSQL role the site runs as, apart from the owner of the tables.
WEB_ROLE = env.str("AXLEKEEP_WEB_ROLE", default="")
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "records.Person"
AUTHENTICATION_BACKENDS = ["allauth.account.auth_backends.AuthenticationBackend"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator"},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "/"
LOGOUT_REDIRECT_URL = "account_login"
ACCOUNT_ADAPTER = "fleet.web.accounts.HouseAdapter"
ACCOUNT_FORMS = {
    "login": "fleet.web.accounts.SignInForm",
    "change_password": "fleet.web.accounts.PasswordChangeForm",
    "reauthenticate": "fleet.web.accounts.PasswordAgainForm",
}
ACCOUNT_LOGIN_METHODS = {"username"}
ACCOUNT_SIGNUP_FIELDS = ["username*", "password1*"]
ACCOUNT_EMAIL_VERIFICATION = "none"
ACCOUNT_LOGOUT_ON_GET = False
ACCOUNT_SESSION_REMEMBER = True

REDIS_URL = env.str("REDIS_URL", default="")
CACHES = {
    "default": {
        "BACKEND": "django.core.cache.backends.redis.RedisCache",
        "LOCATION": REDIS_URL,
    }
    if REDIS_URL
    else {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"},
}

LANGUAGE_CODE = "en-us"
# Each by its own name: somebody who looks for theirs may not read the other.
LANGUAGES = [("en", "English"), ("es", "Español")]
LOCALE_PATHS = [BASE_DIR / "fleet" / "locale"]
FORMAT_MODULE_PATH = ["fleet.formats"]
# The language chosen on the sign-in page; after it a person's own setting counts.
LANGUAGE_COOKIE_AGE = 31_536_000
LANGUAGE_COOKIE_SECURE = HTTPS
LANGUAGE_COOKIE_HTTPONLY = True
LANGUAGE_COOKIE_SAMESITE = "Lax"
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"

STATIC_URL = "static/"
STATIC_ROOT = DATA_DIR / "static"
# Photos of the work. There is no address for the folder: a page asks who wants one.
MEDIA_ROOT = DATA_DIR / "photos"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "fleet.web.static_files.HashedFiles"},
}
if DEBUG or env.bool("AXLEKEEP_PLAIN_STATIC", default=False):
    STORAGES["staticfiles"] = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
    WHITENOISE_USE_FINDERS = True
# No page elsewhere has a use for our files.
WHITENOISE_ALLOW_ALL_ORIGINS = False

# An import of a fleet's meter readings may be large; the door reads it as a stream.
DATA_UPLOAD_MAX_MEMORY_SIZE = 5_000_000
DATA_UPLOAD_MAX_NUMBER_FIELDS = 4_000
IMPORT_MAX_BYTES = env.int("AXLEKEEP_IMPORT_MAX_BYTES", default=60_000_000)
# A road-test record is looked at and not kept: ten minutes at 400 samples a second fit.
RECORD_MAX_BYTES = env.int("AXLEKEEP_RECORD_MAX_BYTES", default=16_000_000)
PHOTO_MAX_BYTES = env.int("AXLEKEEP_PHOTO_MAX_BYTES", default=12_000_000)

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],
        "connect-src": [SELF],
        "font-src": [SELF],
        "manifest-src": [SELF],
        "worker-src": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
        "base-uri": [NONE],
    },
}
X_FRAME_OPTIONS = "DENY"
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_SECURE = HTTPS
CSRF_COOKIE_SECURE = HTTPS
SECURE_SSL_REDIRECT = HTTPS
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = HTTPS
SECURE_HSTS_PRELOAD = HTTPS
if env.bool("AXLEKEEP_BEHIND_PROXY", default=False):
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "rest_framework.authentication.TokenAuthentication",
        "rest_framework.authentication.SessionAuthentication",
    ],
    "DEFAULT_PERMISSION_CLASSES": ["api.permissions.MayDo"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["rest_framework.parsers.JSONParser"],
    "DEFAULT_FILTER_BACKENDS": ["django_filters.rest_framework.DjangoFilterBackend"],
    "DEFAULT_PAGINATION_CLASS": "api.paging.Pages",
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "DEFAULT_THROTTLE_CLASSES": ["rest_framework.throttling.ScopedRateThrottle"],
    "DEFAULT_THROTTLE_RATES": {
        "token": "10/min",
        "bulk": "60/min",
        "reckon": "240/min",
        "record": "20/min",
        "tablet": "20/min",
    },
    "EXCEPTION_HANDLER": "api.errors.answer",
    "DEFAULT_VERSIONING_CLASS": None,
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Axlekeep",
    "DESCRIPTION": "Joint histories, tickets, rechecks and holds of solid-axle vehicles.",
    "VERSION": "1",
    "SERVE_INCLUDE_SCHEMA": False,
    "SWAGGER_UI_DIST": "SIDECAR",
    "SWAGGER_UI_FAVICON_HREF": "SIDECAR",
    "REDOC_DIST": "SIDECAR",
    "SCHEMA_PATH_PREFIX": "/api/v1",
    "COMPONENT_SPLIT_REQUEST": True,
    # Names for choices that several records call by the same word.
    "ENUM_NAME_OVERRIDES": {
        "PatternState": "fleet.records.patterns.Pattern.State",
        "CheckHow": "fleet.records.checks.SecondCheck.How",
        "ComplaintKind": "fleet.records.complaints.ComplaintKind",
        "FileAnswerKind": "fleet.records.files.FileAnswer.Kind",
        "HoldReason": "fleet.records.holds.Hold.Reason",
        "InspectionKind": "fleet.records.inspections.InspectionKind",
        "JointFitted": "fleet.records.joints.Joint.Fitted",
        "LineState": "fleet.records.tickets.TicketLine.State",
        "MeterUnit": "fleet.records.vehicles.MeterUnit",
        "MoveEndHow": "fleet.records.yard_moves.YardMoveEnd.How",
        "ReadingKind": "fleet.records.meters.MeterReading.Kind",
        "PhotoKind": "fleet.records.photos.Photo.Kind",
        "RecheckKind": "fleet.records.rechecks.Recheck.Kind",
        "RecheckState": "fleet.records.rechecks.Recheck.State",
        "ThreadCondition": "fleet.records.specs.ThreadCondition",
        "TicketState": "fleet.records.tickets.Ticket.State",
        "ToolKind": "fleet.records.tools.TorqueTool.Kind",
    },
}

CELERY_BROKER_URL = REDIS_URL or None
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_TASK_TIME_LIMIT = 900
CELERY_TASK_SERIALIZER = "json"
CELERY_ACCEPT_CONTENT = ["json"]
CELERY_TASK_IGNORE_RESULT = True
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
# Longer than the longest task, so that a task is given back only when its worker has died; the
# two intervals bring the giving back down to seconds. In a trial it took 17 s in place of 107.
CELERY_BROKER_TRANSPORT_OPTIONS = {
    "visibility_timeout": env.int("AXLEKEEP_VISIBILITY_TIMEOUT", default=1200),
    "unacked_restore_interval": 5,
}

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name} {message}", "style": "{"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": env.str("AXLEKEEP_LOG", default="WARNING")},
}
