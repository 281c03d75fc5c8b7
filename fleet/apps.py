"""The project itself as an app, so that its commands are found and its tasks hear of work."""

from django.apps import AppConfig
from django.conf import settings


class FleetConfig(AppConfig):
    name = "fleet"
    verbose_name = "Axlekeep"

    def ready(self) -> None:
        # Without a broker nothing is queued, and Celery is not even loaded.
        if settings.REDIS_URL:
            from fleet import tasks
            from fleet.operations.plan_runs import plan_wanted
            from fleet.operations.work import Work, notices_waiting

            plan_wanted.connect(tasks.plan_left, dispatch_uid="plans")
            notices_waiting.connect(tasks.notices_left, sender=Work, dispatch_uid="tasks")
