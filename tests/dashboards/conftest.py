"""An invented home, published for each role, and the stores that ask it."""

from __future__ import annotations

from typing import Any

import pytest

from dashboards.choices import Choices
from dashboards.offers import settled
from dashboards.store import Store
from ingest.home import Home, init_home
from tests.dashboards import invented as invented_home
from warehouse.published import open_published
from warehouse.roles import Role


@pytest.fixture(scope="session")
def invented() -> Any:
    """The module that invents classes."""
    return invented_home


@pytest.fixture(scope="session")
def home(invented: Any, tmp_path_factory: pytest.TempPathFactory) -> Home:
    """A home with one build, published for every role."""
    home = init_home(tmp_path_factory.mktemp("lab") / "home", name="Invented field lab")
    invented.publish(home.root, "b1", ("instructor", "student", "reviewer"))
    return home


@pytest.fixture(scope="session")
def stores(home: Home) -> dict[str, Store]:
    """A store per role."""
    roles: tuple[Role, ...] = ("instructor", "student", "reviewer")
    return {role: Store(open_published(home, role)) for role in roles}


@pytest.fixture(scope="session")
def store(stores: dict[str, Store]) -> Store:
    """The instructor's store."""
    return stores["instructor"]


@pytest.fixture
def chosen(store: Store) -> Choices:
    """What a page shows when it is opened without an address of its own."""
    return settled(Choices(), store.holdings)
