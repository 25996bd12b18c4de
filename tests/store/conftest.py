"""Every test of the store runs on SQLite and on PostgreSQL."""

from __future__ import annotations

import itertools
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import argon2
import pytest

from driploop.store import Store, StoredJob, jobs, open_store
from store import cluster
from store.shop import ADA, JOB

COUNTER = itertools.count(1)


@dataclass(slots=True)
class Place:
    """An empty place for a store: its address, and its folder."""

    kind: str
    database: str
    folder: Path
    opened: list[Store] = field(default_factory=list)

    def open(self) -> Store:
        """The store, opened; closed at the end of the test."""
        store = open_store(self.database, folder=self.folder)
        self.opened.append(store)
        return store


@pytest.fixture(autouse=True, scope="session")
def _light_work() -> Iterator[None]:
    """argon2 with little work: the tests check what is asked of it, not how hard it is."""
    with pytest.MonkeyPatch.context() as patch:
        light = argon2.PasswordHasher(time_cost=1, memory_cost=64, parallelism=1)
        patch.setattr(argon2, "PasswordHasher", lambda: light)
        yield


@pytest.fixture(scope="session")
def server() -> Iterator[Path]:
    """The socket of a PostgreSQL server."""
    if cluster.left_out():
        pytest.skip(f"PostgreSQL is left out, as {cluster.WITHOUT} says")
    if missing := cluster.missing():
        pytest.fail(missing, pytrace=False)
    with cluster.throw_away() as socket:
        yield socket


@pytest.fixture(scope="session")
def server_template(server: Path, tmp_path_factory: pytest.TempPathFactory) -> str:
    """The name of a database with today's tables, to make others after."""
    make_database(server, "template_of_today")
    folder = tmp_path_factory.mktemp("template")
    open_store(cluster.address(server, "template_of_today"), folder=folder).close()
    return "template_of_today"


@pytest.fixture(scope="session")
def file_template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An SQLite file with today's tables, to copy."""
    folder = tmp_path_factory.mktemp("template")
    open_store(f"sqlite:///{folder}/jobs.sqlite", folder=folder).close()
    return folder / "jobs.sqlite"


def make_database(server: Path, name: str, *, template: str = "template0") -> None:
    """Make a database on the test's server."""
    import psycopg

    address = cluster.address(server, "postgres")
    with psycopg.connect(address, autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name} TEMPLATE {template}".encode())


@pytest.fixture(params=["sqlite", "postgresql"])
def kind(request: pytest.FixtureRequest) -> str:
    """Which database a test runs on."""
    return str(request.param)


@pytest.fixture
def make_place(kind: str, request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Callable[..., Place]]:
    """Makes empty places; ``ready=False`` leaves out the tables too."""
    made: list[Place] = []

    def make(*, ready: bool = True) -> Place:
        number = next(COUNTER)
        folder = tmp_path / f"place-{number}"
        folder.mkdir()
        if kind == "sqlite":
            database = f"sqlite:///{folder}/jobs.sqlite"
            if ready:
                shutil.copy(request.getfixturevalue("file_template"), folder / "jobs.sqlite")
        else:
            server = request.getfixturevalue("server")
            template = request.getfixturevalue("server_template") if ready else "template0"
            make_database(server, f"place_{number}", template=template)
            database = cluster.address(server, f"place_{number}")
        made.append(Place(kind, database, folder))
        return made[-1]

    yield make
    for place in made:
        for store in place.opened:
            store.close()


@pytest.fixture
def place(make_place: Callable[..., Place]) -> Place:
    """An empty place with today's tables."""
    return make_place()


@pytest.fixture
def store(place: Place) -> Store:
    """An empty store."""
    return place.open()


@pytest.fixture
def job(store: Store) -> StoredJob:
    """A job in the store."""
    return jobs.add_job(store, JOB, who=ADA)
