"""A real Calc with the add-in. Where LibreOffice or uno is missing, the tests fail."""

import pytest

from hydrofunc.hosts.calc.install import install
from tests.hosts.calc.calc_session import Calc, options_for


@pytest.fixture(scope="session")
def added(tmp_path_factory):
    """Options of a LibreOffice that has the add-in."""
    options = options_for(tmp_path_factory.mktemp("calc"))
    install(options)
    return options


@pytest.fixture(scope="session")
def calc_process(added):
    calc = Calc(added)
    yield calc
    calc.quit()


@pytest.fixture
def calc(calc_process):
    """Calc with a new empty sheet."""
    calc_process.open()
    return calc_process
