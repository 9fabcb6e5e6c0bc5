"""Known blocks are asked for by name: matched kindly, told apart, listed and printed by the command."""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from test_known import BY_KEY

from tracker.cli import main
from tracker.plan.known_blocks import known_block, known_blocks, plain_name, suggested
from tracker.plan.plan_reader import read_plan
from tracker.words.known_words import kinds_of


@pytest.mark.parametrize(
    ("said", "key"),
    [
        ("Bear's Paw", "bears-paw"),
        ("bears paw", "bears-paw"),
        ("BEARʼS PAW", "bears-paw"),
        ("bear’s-paw block", "bears-paw"),
        ("churn dashes"[:-2], "churn-dash"),
        ("monkey wrench", "churn-dash"),
        ("Hole in the Barn Door", "churn-dash"),
        ("ninepatch", "nine-patch"),
        ("puss in the corner", "uneven-nine-patch"),
        ("the log cabin", "log-cabin"),
        ("shoofly", "shoo-fly"),
    ],
)
def test_names_are_matched_kindly(said: str, key: str) -> None:
    found = known_block(said)
    assert found is not None
    assert found.key == key


def test_what_is_not_known_is_answered_with_the_nearest() -> None:
    assert known_block("mariner's compass") is None
    assert suggested("pinweel")[0] == "Pinwheel"
    assert "Ohio star" in suggested("star of ohio") or "Friendship star" in suggested("star")
    assert suggested("qqqq") == ()


def test_no_name_is_given_to_two_blocks() -> None:
    names = Counter(name for each in known_blocks() for name in {plain_name(n) for n in (each.name, *each.also)})
    assert [name for name, count in names.items() if count > 1] == []


# The command


def said(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    code = main(["known", *arguments])
    out, err = capsys.readouterr()
    return code, out, err


def test_the_command_lists_all_and_prints_one(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = said(capsys)
    assert code == 0
    assert len(out.splitlines()) == len(BY_KEY)
    assert "Churn dash (5 × 5 cells, 12 × 12 in); also monkey wrench" in out
    code, out, _ = said(capsys, "Churn", "Dash")
    assert (code, out) == (0, BY_KEY["churn-dash"].text)
    code, out, err = said(capsys, "churm dash")
    assert (code, out) == (2, "")
    assert err == "No block is known by the name “churm dash”; did you mean Churn dash?\n"


def test_the_command_s_json_keeps_to_its_schema(capsys: pytest.CaptureFixture[str]) -> None:
    schema: dict[str, Any] = json.loads((Path(__file__).parent / "schemas/known.json").read_text("utf-8"))
    _, out, _ = said(capsys, "--json")
    everything = json.loads(out)
    jsonschema.validate(everything, schema)
    assert len(everything["blocks"]) == len(BY_KEY)
    _, out, _ = said(capsys, "sawtooth star", "--json")
    (star,) = json.loads(out)["blocks"]
    assert star in everything["blocks"]
    assert (star["grid"], star["size"]) == ([4, 4], ["8", "8"])
    assert sorted(star["kinds"]) == ["flying goose", "plain"] == sorted(kinds_of(BY_KEY["sawtooth-star"]))
    assert read_plan(star["plan"]).plan is not None
    code, out, _ = said(capsys, "nobody's block", "--json")
    assert code == 2
    assert json.loads(out)["errors"]
