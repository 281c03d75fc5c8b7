FROM python:3.13-slim

ENV PYTHONUNBUFFERED=1 \
    PYTHONDONTWRITEBYTECODE=1 \
    PIP_NO_CACHE_DIR=1 \
    PIP_DISABLE_PIP_VERSION_CHECK=1 \
    AXLEKEEP_DATA=/srv/axlekeep/.data

WORKDIR /srv/axlekeep
RUN useradd --system --home-dir /srv/axlekeep --shell /usr/sbin/nologin axlekeep

COPY requirements.lock .
RUN pip install --require-hashes -r requirements.lock

COPY manage.py .
COPY fleet fleet
COPY api api
COPY templates templates
COPY fixtures fixtures
# The key serves this one command; the running site gets its own from the environment.
RUN AXLEKEEP_SECRET_KEY=not-used-after-this DATABASE_URL=sqlite://:memory: \
    python manage.py collectstatic --no-input --verbosity 0 \
    && chown -R axlekeep .data

USER axlekeep
EXPOSE 8000
CMD ["gunicorn", "fleet.wsgi", "--bind", "0.0.0.0:8000", "--workers", "2", "--threads", "4"]
