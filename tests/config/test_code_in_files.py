"""I05: what looks like code in a file is words, or a mistake with its line; it is never run."""

import ast
from pathlib import Path

import pytest

from scheduler.commands import run
from tests.test_rooms import ARROWS

HOUSE = Path(__file__).resolve().parent.parent.parent
#: Tags by which other readers make objects of a file, and calls that would run its words.
CODE = [
    '!!python/object/apply:os.system ["touch ran"]',
    "!!python/object/new:os.system [touch ran]",
    "__import__('os').system('touch ran')",
    "${jndi:ldap://127.0.0.1/ran}",
    "{{ cycler.__init__.__globals__.os.popen('touch ran') }}",
    "=cmd|' /C touch ran'!A0",
]
#: Modules and calls that turn words into code.
READERS = {"pickle", "marshal", "shelve", "dill", "cloudpickle", "joblib", "jsonpickle", "yaml"}
CALLS = {"eval", "exec", "compile", "__import__"}


@pytest.fixture
def farm(tmp_path):
    assert run(["init", str(tmp_path / "farm")]) == 0
    return tmp_path / "farm" / "farm.toml"


@pytest.mark.fault("I05")
@pytest.mark.parametrize("code", CODE)
def test_code_where_a_value_should_be_is_a_mistake_with_its_line(farm, monkeypatch, capsys, code):
    monkeypatch.chdir(farm.parent)
    farm.write_text(f"{farm.read_text()}\nextra = {code}\n", "utf-8")
    line = len(farm.read_text("utf-8").splitlines())
    capsys.readouterr()

    assert run(["check", "--config", str(farm)]) == 78
    assert f"farm.toml:{line}" in capsys.readouterr().err
    assert not Path("ran").exists()


@pytest.mark.fault("I05")
@pytest.mark.parametrize("code", CODE[2:5])
def test_code_as_a_name_is_words_and_nothing_else(farm, monkeypatch, capsys, code):
    monkeypatch.chdir(farm.parent)
    text = farm.read_text("utf-8")
    name = next(one for one in text.splitlines() if one.startswith("name = "))
    said = code.replace("\\", "").replace('"', "'")
    farm.write_text(text.replace(name, f'name = "{said}"', 1), "utf-8")

    assert run(["check", "--config", str(farm)]) == 0
    run(["morning", "--dry-run", "--config", str(farm), "--at", "2026-10-06T06:10"])
    assert not Path("ran").exists()


@pytest.mark.fault("I05")
def test_no_room_reads_files_with_what_can_make_code_of_them():
    found = []
    for room in ARROWS:
        for path in sorted((HOUSE / room).rglob("*.py")):
            for node in ast.walk(ast.parse(path.read_text("utf-8"))):
                if isinstance(node, ast.Import | ast.ImportFrom):
                    names = [getattr(node, "module", None) or "", *(one.name for one in node.names)]
                    found += [path.name for one in names if one.split(".")[0] in READERS]
                elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
                    found += [path.name] if node.func.id in CALLS else []
    assert found == []
