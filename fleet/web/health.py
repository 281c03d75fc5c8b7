"""A sign of life for whoever watches the server."""

from django.conf import settings
from django.core.cache import cache
from django.db import DatabaseError, connection
from django.http import HttpRequest, JsonResponse
from redis.exceptions import RedisError


def healthz(request: HttpRequest) -> JsonResponse:
    """200 when the database answers, and the broker too where there is one; else 503."""
    signs = {"database": _database()}
    if settings.REDIS_URL:
        signs["broker"] = _broker()
    return JsonResponse(signs, status=200 if all(v == "ok" for v in signs.values()) else 503)


def _database() -> str:
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except DatabaseError:
        return "down"
    return "ok"


def _broker() -> str:
    try:
        cache.get("healthz")
    except (OSError, RedisError):
        return "down"
    return "ok"
