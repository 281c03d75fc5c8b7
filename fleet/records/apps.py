"""The app of the records: guards are made again after every migration."""

from django.apps import AppConfig
from django.core.checks import Tags, register
from django.db.models.signals import post_migrate


class RecordsConfig(AppConfig):
    name = "fleet.records"
    label = "records"

    def ready(self) -> None:
        from fleet.records import guards

        post_migrate.connect(guards.after_migrate, sender=self)
        register(guards.all_facts_guarded, Tags.database)
