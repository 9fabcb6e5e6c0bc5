"""The commands: what they print, their JSON held to its schema, their exit codes, and bad input in one sentence."""

from __future__ import annotations

import json
import re
from pathlib import Path

import jsonschema
import pytest
from effort import some

from tracker.cli import main
from tracker.demo import PLAN_FILE

HERE = Path(__file__).parent
VALID = sorted((HERE / "plans" / "valid").glob("*.toml"))
BROKEN = sorted((HERE / "plans" / "broken").glob("*.toml"))


def schema(name: str) -> dict[str, object]:
    loaded: dict[str, object] = json.loads((HERE / "schemas" / f"{name}.json").read_text())
    return loaded


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    code = main(arguments)
    out, err = capsys.readouterr()
    return code, out, err


@pytest.mark.parametrize("command", ["check", "steps", "cut", "press", "quilt"])
@pytest.mark.parametrize("plan", [PLAN_FILE, *VALID], ids=lambda path: path.stem)
def test_json_keeps_to_its_schema(command: str, plan: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(capsys, command, str(plan), "--json")
    assert (code, err) == (0, "")
    jsonschema.validate(json.loads(out), schema(command), cls=jsonschema.Draft202012Validator)


@pytest.mark.parametrize("command", ["check", "steps", "cut", "press", "quilt"])
def test_a_broken_plan_is_said_and_ends_with_two(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    for plan in BROKEN if command == "check" else some(BROKEN, 60):
        code, out, err = run(capsys, command, str(plan))
        assert code == 2
        assert out == ""
        assert all(line.startswith(plan.name) for line in err.splitlines())


def test_errors_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "check", str(BROKEN[0]), "--json")
    assert code == 2
    jsonschema.validate(json.loads(out), schema("check"), cls=jsonschema.Draft202012Validator)
    assert json.loads(out)["errors"]


@pytest.mark.parametrize("path", ["no-such-plan.toml", ".", "\x01.toml"])
def test_a_plan_that_cannot_be_read(path: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, _, err = run(capsys, "check", path)
    assert code == 2
    assert len(err.splitlines()) == 1
    assert "name a plan file that can be read" in err


@pytest.mark.parametrize("port", ["0", "65536", "harbour", "-1", "1.5"])
def test_a_port_that_is_none(port: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["serve", "--port", port])
    assert ended.value.code == 2
    assert "whole number from 1 to 65535" in capsys.readouterr().err


def test_the_demo_plan_has_all_four_units_a_frame_and_a_dozen_blocks(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = run(capsys, "steps", str(PLAN_FILE), "--json")
    report = json.loads(out)
    kinds = {unit["kind"] for unit in report["units"]}
    assert kinds == {"plain", "half-square triangle", "quarter-square triangle", "split quarter-square triangle"}
    (block,) = report["blocks"]
    assert (block["count"], block["inner"], block["unfinished"]) == (12, ["10 1/2"] * 2, ["12 1/2"] * 2)


def helped(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """What a command says of itself."""
    with pytest.raises(SystemExit) as ended:
        main([*arguments, "--help"])
    assert ended.value.code == 0
    return capsys.readouterr().out


def test_every_command_and_option_stands_in_the_readme(capsys: pytest.CaptureFixture[str]) -> None:
    readme = (HERE.parent / "README.md").read_text()
    commands = re.findall(r"^    ([a-z]+) ", helped(capsys), re.MULTILINE)
    assert {"serve", "check", "prove", "restore"} <= set(commands)
    for command in commands:
        assert f"`sewing-room {command}" in readme
        for option in set(re.findall(r"--[a-z-]+", helped(capsys, command))) - {"--help"}:
            assert f"`{option}" in readme, command


def test_the_quilt_and_its_cloth_in_words(capsys: pytest.CaptureFixture[str]) -> None:
    plan = HERE / "plans" / "valid" / "borders_and_corners.toml"
    code, out, _ = run(capsys, "quilt", str(plan))
    assert code == 0
    assert "39 × 30¼ in finished, 39½ × 30¾ in unfinished" in out
    assert "Border 2, plum: sides 2 of 18¾ × 4½ in, then top and bottom 2 of 27½ × 4½ in" in out
    assert "in, with 4 corner squares of" in out
    assert "Binding, plum: 150½ in, from 4 strips 2¼ in wide" in out
    assert "Backing, quince: 45½ × 36¾ in, 1 panel from 45½ in of cloth, no seam." in out
    code, out, _ = run(capsys, "cut", str(plan))
    assert code == 0
    assert "2 of 18¾ × 4½ in, for borders" in out
    assert "4 strips 2¼ in wide, from each: 1 of 40 × 2¼ in." in out
    assert "more for shrinkage and mistakes; buy" in out


@pytest.mark.parametrize("command", ["quilt", "cut", "compare"])
def test_cloth_too_narrow_is_said_in_a_sentence(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plan = tmp_path / "narrow.toml"
    text = (HERE / "plans" / "valid" / "borders_and_corners.toml").read_text("utf-8")
    plan.write_text(text.replace('name = "plum"', 'name = "plum"\nusable = "2"'), "utf-8")
    (tmp_path / "list.csv").write_text("P,1,2,2", "utf-8")
    lists = [str(tmp_path / "list.csv")] if command == "compare" else []
    code, out, err = run(capsys, command, str(plan), *lists)
    assert (code, out) == (2, "")
    assert err.startswith("narrow.toml, plum (P) is 2 in wide: too narrow to be joined for the binding")
