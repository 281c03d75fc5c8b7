"""The Celery application, used where REDIS_URL names a broker; without one, `manage.py work`
does the same work."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.settings")

MINUTE = 60.0
# Runs of the planner take up to half a minute each: in a queue of their own they keep no notice
# waiting where a worker of their own takes them (docker-compose.yml). A worker that is not told
# which takes both.
QUEUE, PLANS = "celery", "plans"

app = Celery("axlekeep")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["fleet"])
app.conf.task_queues = {QUEUE: {}, PLANS: {}}
app.conf.task_default_queue = QUEUE
app.conf.task_routes = {"fleet.tasks.plan_visits": {"queue": PLANS}}
# A lost task loses nothing: each of these catches up from the outbox and the records. One that
# waited longer than until its next turn is dropped, so that they never pile up.
app.conf.beat_schedule = {
    "deliver": {
        "task": "fleet.tasks.deliver_outbox",
        "schedule": MINUTE,
        "options": {"expires": MINUTE},
    },
    "tell": {
        "task": "fleet.tasks.tell_events",
        "schedule": MINUTE / 4,
        "options": {"expires": MINUTE / 4},
    },
    "digests": {
        "task": "fleet.tasks.write_digests",
        "schedule": 5 * MINUTE,
        "options": {"expires": 5 * MINUTE},
    },
    "forget": {
        "task": "fleet.tasks.forget_events",
        "schedule": 24 * 60 * MINUTE,
        "options": {"expires": 60 * MINUTE},
    },
    "plan": {
        "task": "fleet.tasks.plan_visits",
        "schedule": MINUTE,
        "options": {"expires": MINUTE},
    },
    "roll": {
        "task": "fleet.tasks.roll_days",
        "schedule": 15 * MINUTE,
        "options": {"expires": 15 * MINUTE},
    },
    "scan": {
        "task": "fleet.tasks.scan_fleet",
        "schedule": 60 * MINUTE,
        "options": {"expires": 60 * MINUTE},
    },
    "refit": {
        "task": "fleet.tasks.refit_intervals",
        "schedule": 6 * 60 * MINUTE,
        "options": {"expires": 60 * MINUTE},
    },
}
