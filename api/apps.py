"""The REST door."""

from django.apps import AppConfig


class ApiConfig(AppConfig):
    name = "api"

    def ready(self) -> None:
        # Bodies of what tablets send are read here, whoever asks for it.
        from api.tablet_plans import read
        from fleet.operations.tablet_log import use_reader

        use_reader(read)
