"""The web face: the phones' API and shell, and the office's pages. `create_app` alone wires."""

from collections.abc import Callable
from datetime import UTC, datetime

from flask import Flask
from flask_sqlalchemy import SQLAlchemy
from werkzeug.middleware.proxy_fix import ProxyFix

from seamwalk.config import Settings
from seamwalk.resources import find
from seamwalk.store.engine import engine_options, prepare_engine
from seamwalk.store.opening import open_store
from seamwalk.store.tables import Base
from seamwalk.texts import showable
from seamwalk.web import error_handlers, inputs, logs, security, shell
from seamwalk.web.api.routes import api
from seamwalk.web.cookies import office_cookie
from seamwalk.web.office.routes import office
from seamwalk.web.services import EXTENSION, KeyWatch, Services

MAX_BODY_BYTES = 4_000_000


def _utc_now() -> datetime:
    return datetime.now(UTC)


def _finalize(value: object) -> object:
    """What a page shows of a value; markup is ours and stays as it is."""
    return showable(value) if type(value) is str else value


def create_app(settings: Settings, now: Callable[[], datetime] = _utc_now) -> Flask:
    """Make the app: database migrated, every route and rule in place; `now` is its clock."""
    app = Flask("seamwalk", template_folder=str(find("templates")), static_folder=None)
    app.config.update(
        DEBUG=False,  # whatever FLASK_DEBUG says: an error's inside is for the log
        SECRET_KEY=settings.secret_key,
        MAX_CONTENT_LENGTH=MAX_BODY_BYTES,
        MAX_FORM_MEMORY_SIZE=MAX_BODY_BYTES,
        TRUSTED_HOSTS=settings.hosts,
        SESSION_COOKIE_NAME=office_cookie(settings),
        SESSION_COOKIE_PATH="/",
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Strict",
        SESSION_COOKIE_SECURE=settings.is_https,
        SQLALCHEMY_DATABASE_URI=settings.database_url,
        SQLALCHEMY_ENGINE_OPTIONS=engine_options(settings.database_url),
    )
    app.jinja_env.finalize = _finalize
    database = SQLAlchemy(metadata=Base.metadata)
    database.init_app(app)
    with app.app_context():
        engine = prepare_engine(database.engine)
    store = open_store(engine, settings.key_file, now())
    app.extensions[EXTENSION] = Services(store, settings, now, KeyWatch(store))
    if settings.proxies:
        app.wsgi_app = ProxyFix(app.wsgi_app, x_for=settings.proxies, x_proto=0)  # type: ignore[method-assign]
    inputs.install(app)
    security.install(app)
    error_handlers.install(app)
    logs.install(app)
    for blueprint in (api, shell.shell, office):
        app.register_blueprint(blueprint)
    return app
