"""A home: made once, found again, held by one command at a time, and settings that say what is wrong with them."""

from __future__ import annotations

import stat
import subprocess
import sys
from pathlib import Path

import pytest

from ingest.contract import REGISTERS, contract
from ingest.errors import HomeBusy, HomeExists, HomeNotFound, SettingsInvalid
from ingest.folding import fold
from ingest.home import Home, Settings, find_home, init_home


@pytest.fixture
def home(tmp_path: Path) -> Home:
    return init_home(tmp_path / "lab", code="plant-lab", name='The "hill" lab', timezone="America/Chicago")


def test_a_new_home_reads_back_what_it_was_made_with(home: Home) -> None:
    assert home.settings() == Settings(program_code="plant-lab", program_name='The "hill" lab', timezone="America/Chicago")
    assert len(home.key()) == 32
    for folder in ("checked/readings", "checked/weather", "checked/problems", "modelled", "published", "recipes", "received/originals"):
        assert (home.root / folder).is_dir()


def test_what_is_private_is_closed_to_others(home: Home) -> None:
    modes = {path.name: stat.S_IMODE(path.stat().st_mode) for path in (home.key_file, home.key_file.parent, home.ledger.parent)}
    assert modes == {"pseudonym.key": 0o600, "secret": 0o700, "received": 0o700}


def test_two_homes_have_different_keys(home: Home, tmp_path: Path) -> None:
    assert init_home(tmp_path / "other").key() != home.key()


@pytest.mark.parametrize("register", REGISTERS)
def test_an_empty_register_explains_each_column_and_has_the_contracts_header(home: Home, register: str) -> None:
    lines = (home.registers / f"{register}.csv").read_text("utf-8").splitlines()
    columns = contract()[register].columns
    assert lines[-1].split(",") == list(columns)
    assert all(line.startswith("#") for line in lines[:-1])
    assert all(any(f"# {name}: {column.says}" in line for line in lines) for name, column in columns.items())


def test_a_home_is_not_made_over_another(home: Home) -> None:
    key = home.key()
    with pytest.raises(HomeExists):
        init_home(home.root)
    assert home.key() == key


def test_parts_of_a_home_are_not_written_over(tmp_path: Path) -> None:
    (tmp_path / "registers").mkdir()
    (tmp_path / "registers" / "sites.csv").write_text("mine")
    with pytest.raises(HomeExists):
        init_home(tmp_path)
    assert (tmp_path / "registers" / "sites.csv").read_text() == "mine"


def test_a_home_is_found_by_path_then_variable_then_current_folder(home: Home, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    other = init_home(tmp_path / "other")
    monkeypatch.setenv("TAUTLEAF_HOME", str(other.root))
    monkeypatch.chdir(home.root)
    assert find_home(home.root) == home
    assert find_home() == other
    monkeypatch.delenv("TAUTLEAF_HOME")
    assert find_home() == home


def test_no_home_says_how_to_make_one(tmp_path: Path) -> None:
    with pytest.raises(HomeNotFound, match="tautleaf init"):
        find_home(tmp_path)


SETTINGS = 'program_code = "lab"\nprogram_name = "Lab"\ntimezone = "UTC"\n'


@pytest.mark.parametrize(
    ("text", "named"),
    [
        (SETTINGS + "midday_hour = 2.0", "midday_hour is no setting"),
        (SETTINGS + "midday_hours = 0", "midday_hours is 0"),
        (SETTINGS + 'midday_hours = "2"', "midday_hours is '2'"),
        (SETTINGS + "midday_hours = nan", "midday_hours is nan"),
        (SETTINGS + "suppression_threshold = 9.5", "whole number"),
        (SETTINGS + "suppression_threshold = true", "suppression_threshold is True"),
        (SETTINGS + "antecedent_k = 1.0", "antecedent_k is 1.0"),
        (SETTINGS.replace("UTC", "Mars/Base"), "no time zone"),
        (SETTINGS.replace("UTC", "../etc/passwd"), "no time zone"),
        (SETTINGS.replace('"lab"', '"My Lab"'), "program_code is 'My Lab'"),
        ('program_code = "lab"\ntimezone = "UTC"\n', "program_name is missing"),
        ("program_code = ", "no settings file that can be read"),
    ],
)
def test_settings_that_cannot_be_used_are_named(home: Home, text: str, named: str) -> None:
    home.settings_file.write_text(text, "utf-8")
    with pytest.raises(SettingsInvalid, match=r"tautleaf\.toml") as caught:
        home.settings()
    assert named in str(caught.value)


def test_all_wrong_settings_are_named_in_one_go(home: Home) -> None:
    home.settings_file.write_text('program_code = ""\nlate_minutes = -1\nshoe = 3\n', "utf-8")
    with pytest.raises(SettingsInvalid) as caught:
        home.settings()
    assert all(name in str(caught.value) for name in ("program_code", "program_name", "timezone", "late_minutes", "shoe"))


def test_a_whole_number_serves_as_a_measure_and_the_rest_has_defaults(home: Home) -> None:
    home.settings_file.write_text(SETTINGS + "midday_hours = 1", "utf-8")
    settings = home.settings()
    assert isinstance(settings.midday_hours, float)
    assert (settings.effective_rain_mm, settings.antecedent_k, settings.suppression_threshold) == (5.0, 0.90, 10)


def test_a_home_is_changed_by_one_command_at_a_time(home: Home) -> None:
    program = (
        "import pathlib, sys; from ingest.errors import HomeBusy; from ingest.home import Home\n"
        "try:\n  with Home(pathlib.Path(sys.argv[1])).changing(): print('free')\n"
        "except HomeBusy as error: print(error)"
    )

    def other() -> str:
        return subprocess.run([sys.executable, "-c", program, str(home.root)], capture_output=True, text=True, check=True).stdout  # noqa: S603 - our own text

    with home.changing():
        assert "is changing" in other()
        with pytest.raises(HomeBusy), home.changing():
            pytest.fail("held twice")
    assert other() == "free\n"


@pytest.mark.parametrize(
    "spelling",
    ["hill top", "Hill-Top ", "HILL\u00a0TOP", " hill_top.", "Hïll\u200b  tóp", "\u202ehill\u202c top", "ｈｉｌｌ　ｔｏｐ", "hill\ttop"],
)
def test_spellings_of_one_name_fold_alike(spelling: str) -> None:
    assert fold(spelling) == "hill top"


def test_different_names_stay_different() -> None:
    names = ["hill top", "hilltop", "hill tops", "hill top 2", "Quercus × alba", "Quercus alba", ""]
    assert len({fold(name) for name in names}) == len(names)
