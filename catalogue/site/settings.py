"""Settings of a studio: a working default for everything, changed by environment variables only."""

import os
from pathlib import Path
from urllib.parse import urlsplit

from csp.constants import NONE, SELF

from catalogue.site.data_folder import database_files, holds_a_studio, keep_to_owner, open_data_folder
from catalogue.site.environment import (
    check_environment,
    read_database,
    read_hosts,
    read_own_address,
    read_seconds,
    read_secret_key,
    read_sender,
    read_switch,
)
from catalogue.site.logs import is_worth_writing, log_formatter
from catalogue.site.mail_server import read_smtp_url
from catalogue.site.object_storage import read_storage_url
from catalogue.site.strict_transport import read_hsts
from catalogue.studio.mail_addresses import ascii_domain

BASE_DIR = Path(__file__).resolve().parents[2]
check_environment()
DATA_DIR = Path(os.environ.get("EVENROW_DATA", "").strip() or BASE_DIR / ".data").resolve()
open_data_folder(DATA_DIR)

SECRET_KEY = read_secret_key(DATA_DIR)
DEBUG = read_switch("EVENROW_DEBUG")
STUDIO_URL = read_own_address("EVENROW_URL")
LOCAL_URL = read_own_address("EVENROW_LOCAL_URL") or "http://127.0.0.1:8000"  # where `start` listens
# What the studio's settings said at the start.
_VISITED_URL = STUDIO_URL or read_own_address("EVENROW_KEPT_URL")
_VISITED = urlsplit((_VISITED_URL or LOCAL_URL).lower())
_VISITED_HOST = ascii_domain(_VISITED.hostname or "")  # as browsers say it
ALLOWED_HOSTS = read_hosts(f"{_VISITED_HOST},127.0.0.1,localhost,[::1]")
CSRF_TRUSTED_ORIGINS = [
    f"{_VISITED.scheme}://{_VISITED.netloc.replace(_VISITED.hostname or '', _VISITED_HOST)}"
]
IS_DEMO = read_switch("EVENROW_DEMO")

INSTALLED_APPS = [
    "catalogue.site",
    "testing",
    "catalogue",
    "grading",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django.contrib.humanize",
    "allauth",
    "allauth.account",
    "allauth.mfa",
    "crispy_forms",
    "crispy_bootstrap5",
    "csp",
    "django_htmx",
    "django_tasks",
    "django_tasks_db",
]

MIDDLEWARE = [
    "catalogue.site.timings.TimedRequestsMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "catalogue.site.private_pages.PrivatePagesMiddleware",
    "catalogue.site.visitor_pages.VisitorPagesMiddleware",
    "catalogue.site.middleware.OutOfReachMiddleware",
    "catalogue.site.middleware.StudioMiddleware",
    "catalogue.site.middleware.NotAllowedMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
]

CSRF_FAILURE_VIEW = "catalogue.site.errors.csrf_failure"
ROOT_URLCONF = "catalogue.site.urls"
WSGI_APPLICATION = "catalogue.site.wsgi.application"
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
                "catalogue.studio.context.studio",
            ],
        },
    }
]

# What the pages of one part show of a part above it, which they must not know: functions that make HTML.
PAGE_PARTS = {
    "signed up": ["catalogue.errata.known_corrections.known_for_page"],
    "public pattern": [
        "testing.results.photo_uses.photos_for_page",
        "catalogue.questions.shown.answers_for_page",
    ],
    "help": ["testing.results.asked_helps.asked_for_page"],
    "desk": ["catalogue.selling.dates.dates_on_desk"],
}
# What makers counted after the rows of a pattern, by section, words and size.
ROW_COUNTS = "testing.results.row_counts.counts_of_makers"
# How many remarks testers made on each step of each version of a pattern.
STEP_REMARKS = "testing.results.step_remarks.remarks_by_step"
# Who waits for an answer of the studio, by the pattern of the call.
PEOPLE_WAITING = "testing.running.waiting.people_waiting"
# The dates of test calls, among all that is to be done by a day.
CALL_DATES = "testing.running.call_dates.call_dates"
# Which sizes of a pattern nobody has tested yet, in one line.
UNTESTED_SIZES = "testing.results.untested.untested_of_pattern"
# What the testers of a pattern found, in sentences; and what they found of its yarn.
FOUND_BY_TESTERS = "testing.verdicts.found_by_testers.found_by_testers"
YARN_BY_TESTERS = "testing.verdicts.found_by_testers.yarn_by_testers"
# What an editor has left to read of each pattern.
EDITORS_WORK = "catalogue.technical_edit.editors_work.editors_work"
# Where a pattern is looked after while it is in test.
IN_TEST_PAGE = "calls_now"
# What is read of its calls for that, and what is to be done next there.
IN_TEST_FACTS = "testing.running.in_test.call_facts"
IN_TEST_ACT = "testing.running.in_test.next_in_test"

# SQLite: write-ahead log, full sync, and the write lock taken at the start of a transaction, so that two
# writers wait for each other instead of failing half-way.
DATABASES = {"default": read_database(DATA_DIR)}
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 60,  # SQLite lets waiting writers in by chance, not in turn
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON; "
        "PRAGMA secure_delete=ON;",
    }
    keep_to_owner(database_files(str(DATABASES["default"]["NAME"])))
if holds_a_studio(DATA_DIR):
    keep_to_owner([DATA_DIR])
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "catalogue.Person"
AUTHENTICATION_BACKENDS = ["allauth.account.auth_backends.AuthenticationBackend"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "catalogue.studio.passwords.NearlyCommonPasswordValidator"},
]
LOGIN_URL = "account_login"
# Who comes from these pages signs in by a code.
CODE_PAGES = ("/making/",)
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "home"
ACCOUNT_ADAPTER = "catalogue.studio.accounts.StudioAccountAdapter"
ACCOUNT_FORMS = {
    "login": "catalogue.studio.accounts.SignInForm",
    "request_login_code": "catalogue.studio.accounts.CodeForm",
    "reset_password": "catalogue.studio.accounts.ForgottenPasswordForm",
}
ACCOUNT_LOGIN_METHODS = {"email"}
ACCOUNT_SIGNUP_FIELDS = ["email*", "password1*"]
ACCOUNT_USER_MODEL_USERNAME_FIELD = None
ACCOUNT_LOGIN_ON_PASSWORD_RESET = True  # who has the letter is in, and their device is known from then on
# Amount / time / of whom: "ip" is the client; what else is counted stands in
# catalogue.studio.limits and accounts.
ACCOUNT_RATE_LIMITS = {
    # Letters that visitors have sent to an address they type in: applications, notices of corrections.
    "letters_of_client": "20/h/ip,60/d/ip",
    "letters_of_client_to_address": "3/h/key,5/d/key",
    "letters_to_address": "10/d/key",
    # Questions about a pattern, each an e-mail to the studio.
    "questions_of_client": "5/h/ip,20/d/ip",
    # A visitor's form, filled in alike: tapped twice or loaded anew, it is one.
    "same_form": "1/10m/key",
    # The link to a PDF, sent by the studio: a button that is pressed twice sends it once.
    "pdf_link_of_holder": "1/10m/key",
    # PDFs that are made for visitors while they wait.
    "editions_of_client": "20/h/ip,60/d/ip",
    "editions_of_holder": "20/h/key,60/d/key",
    # Codes and new passwords, which only go to people with an account.
    "request_login_code": "20/m/ip,200/d/ip",
    "codes_of_client_to_address": "3/m/key,10/h/key,30/d/key",
    "codes_to_address": "60/d/key",
    "reset_password": "20/m/ip,200/d/ip",
    "resets_of_client_to_address": "3/m/key,5/h/key,10/d/key",
    "resets_to_address": "20/d/key",
    # Wrong passwords. Guessing: one client tries 20 passwords a day for an account and 60 in all, strangers
    # together 100 a day for an account, some 36,000 a year, of passwords with ten characters and more.
    "guesses_of_client": "10/m/ip,60/d/ip",
    "guesses_of_client_for_address": "5/5m/key,20/d/key",
    "guesses_of_strangers": "100/d/key",
    "guesses_on_known_device": "5/5m/key,30/d/key",
    # Codes that were sent: three tries each, as long as a code holds.
    "judge_code": "3/10m/key",
}
CACHES = {
    "default": {
        "BACKEND": "django.core.cache.backends.db.DatabaseCache",
        "LOCATION": "catalogue_tally",
        "KEY_FUNCTION": "catalogue.studio.limits.hidden_key",
        "OPTIONS": {"MAX_ENTRIES": 1_000_000},  # more than strangers can fill, so that no count is pushed out
    }
}
ACCOUNT_EMAIL_VERIFICATION = "none"
ACCOUNT_LOGIN_BY_CODE_ENABLED = True
ACCOUNT_LOGIN_BY_CODE_TIMEOUT = 600
ACCOUNT_LOGOUT_ON_GET = False
ACCOUNT_PREVENT_ENUMERATION = True
ACCOUNT_EMAIL_UNKNOWN_ACCOUNTS = False
ACCOUNT_EMAIL_SUBJECT_PREFIX = ""
ACCOUNT_EMAIL_NOTIFICATIONS = True
EVEN_ANSWER_SECONDS = 0.4  # as long as asking for a code or a new password takes, whoever asks
MFA_SUPPORTED_TYPES = ["totp", "recovery_codes"]
MFA_TOTP_ISSUER = "Evenrow"
MFA_ALLOW_UNVERIFIED_EMAIL = True  # addresses come from the studio, nobody types in their own

LANGUAGE_CODE = "en-gb"
TIME_ZONE = "UTC"
USE_I18N = False
USE_TZ = True

STATIC_URL = "static/"
STATIC_ROOT = Path(os.environ.get("EVENROW_STATIC", "").strip() or DATA_DIR / "static")
MEDIA_ROOT = DATA_DIR / "files"
STORAGES = {
    "default": {"BACKEND": "catalogue.site.file_folder.FileFolder", "OPTIONS": {"allow_overwrite": True}},
    "staticfiles": {"BACKEND": "catalogue.site.static_files.HashedFiles"},
}
WHITENOISE_USE_FINDERS = DEBUG
WHITENOISE_SKIP_COMPRESS_EXTENSIONS = ["woff2", "ttf", "png", "jpg", "webp", "gz", "br"]
if s3_url := os.environ.get("EVENROW_S3_URL", "").strip():
    STORAGES["default"] = read_storage_url(s3_url)
FILE_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024
DATA_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 3000  # a work list has a tick for each step in each size
DATA_UPLOAD_MAX_NUMBER_FILES = 100

# E-mails land in a folder that the studio's own page shows, until a mail server is named.
MAIL_DIR = DATA_DIR / "mails"
DEFAULT_FROM_EMAIL = read_sender()
EMAIL_BACKEND = "catalogue.studio.mail_folder.FolderBackend"
EMAIL_TIMEOUT = 30
if smtp_url := os.environ.get("EVENROW_SMTP_URL", "").strip():
    EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    globals().update(read_smtp_url(smtp_url))

TASKS = {
    "default": {
        "BACKEND": "django_tasks_db.DatabaseBackend",
        "QUEUES": ["default"],
    }
}

CRISPY_ALLOWED_TEMPLATE_PACKS = "bootstrap5"
CRISPY_TEMPLATE_PACK = "bootstrap5"

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "img-src": [SELF, "data:"],
        "object-src": [NONE],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
        "form-action": [SELF],
    }
}
# Not "no-referrer": browsers then send forms from nowhere ("Origin: null") and every form is refused.
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CONTENT_TYPE_NOSNIFF = True
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_SAMESITE = "Lax"
IS_SECURE = STUDIO_URL.startswith("https://")
# A browser takes such a name from this very host alone, by TLS (RFC 6265bis, “The "__Host-" Prefix”).
SESSION_COOKIE_NAME = "__Host-sessionid" if IS_SECURE else "sessionid"
SESSION_COOKIE_SECURE = IS_SECURE
CSRF_COOKIE_SECURE = IS_SECURE
SECURE_SSL_REDIRECT = IS_SECURE and read_switch("EVENROW_SSL_REDIRECT", usual="1")
SECURE_REDIRECT_EXEMPT = [r"^health/$"]  # asked by what stands before the server, on the machine itself
SECURE_HSTS_SECONDS = 31_536_000 if IS_SECURE else 0
_hsts = read_hsts(os.environ.get("EVENROW_HSTS", "").strip())
SECURE_HSTS_INCLUDE_SUBDOMAINS, SECURE_HSTS_PRELOAD = (IS_SECURE and asked for asked in _hsts)
# Both are the studio's to ask for, since other names and other people's browsers hang on them.
SILENCED_SYSTEM_CHECKS = ["security.W005", "security.W021"]
# Only behind a proxy of the studio's own may headers say who asks and how.
ALLAUTH_TRUSTED_PROXY_COUNT = 0
if read_switch("EVENROW_BEHIND_PROXY"):
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    ALLAUTH_TRUSTED_PROXY_COUNT = 1

SLOW_REQUEST_SECONDS = read_seconds("EVENROW_SLOW_SECONDS", usual=1.0)
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"discreet": {"()": log_formatter(os.environ.get("EVENROW_LOG", "").strip())}},
    "filters": {"worth": {"()": "django.utils.log.CallbackFilter", "callback": is_worth_writing}},
    "handlers": {
        "console": {"class": "logging.StreamHandler", "formatter": "discreet", "filters": ["worth"]},
        "nowhere": {"class": "logging.NullHandler"},
    },
    "root": {"handlers": ["console"], "level": "INFO"},
    "loggers": {
        "django": {"handlers": [], "level": "WARNING"},
        "django.request": {"level": "ERROR"},
        "django.server": {"handlers": ["console"], "level": "INFO", "propagate": False},
        # In the demo somebody reads along: log-ins stay in sight, and what is slow or fails is still told.
        "catalogue.site.timings": {"level": "WARNING" if IS_DEMO else "INFO"},
        "fontTools": {"level": "WARNING"},
        # What it complains of is heard where a PDF is made; it quotes people's names and words.
        "weasyprint": {"handlers": ["nowhere"], "level": "WARNING", "propagate": False},
    },
}
