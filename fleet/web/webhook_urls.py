"""Addresses of what goes out: events to other programs."""

from django.urls import URLPattern, path

from fleet.web import webhooks

ONE = "events-out/<int:webhook_id>"

urlpatterns: list[URLPattern] = [
    path("events-out/", webhooks.webhook_list, name="webhooks"),
    path("events-out/new/", webhooks.webhook_new, name="webhook_new"),
    path(f"{ONE}/", webhooks.webhook_page, name="webhook"),
    path(f"{ONE}/change/", webhooks.webhook_change, name="webhook_change"),
    path(f"{ONE}/secret/", webhooks.webhook_secret, name="webhook_secret"),
    path(f"{ONE}/test/", webhooks.webhook_test, name="webhook_test"),
    path(f"{ONE}/send-again/", webhooks.webhook_all_again, name="webhook_all_again"),
    path(f"{ONE}/replay/", webhooks.webhook_replay, name="webhook_replay"),
    path(
        "events-out/deliveries/<int:delivery_id>/send-again/",
        webhooks.delivery_again,
        name="delivery_again",
    ),
]
