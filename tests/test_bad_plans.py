"""Plans that ask too much or make no sense: each refused with a sentence, within two seconds and 200 MB."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from effort import some
from visitors import SMALL_PLAN, Visitor, words_of

from tracker.store.quilts import Store

MILLION = 999_900
HEAD = SMALL_PLAN.partition("[blocks")[0]
BLOCK = "\n[blocks.b]\nname = 'B'\ncell = '2'\npicture = '''\n{picture}\n'''\n"
QUILT = "\n[quilt]\nblock = 'b'\nacross = 1\ndown = 1\n"


def with_picture(picture: str) -> str:
    return HEAD + BLOCK.format(picture=picture) + QUILT


def filled(unit: str) -> str:
    return unit * (MILLION // len(unit.encode()))


HOSTILE: dict[str, bytes | str] = {
    "brackets": filled("["),
    "braces": "x = " + filled("{"),
    "lists in lists": "x = " + "[" * 200_000 + "]" * 200_000,
    "tables in tables": "x = " + "{a = " * 100_000 + "1" + "}" * 100_000,
    "a key of many parts": "a" + ".a" * 400_000 + " = 1",
    "a table of many parts": "[a" + ".a" * 400_000 + "]",
    "many tables": "".join(f"[a{number}]\n" for number in range(80_000)),
    "many lists of tables": filled("[[quilt.border]]\n"),
    "many unknown keys": "".join(f"titel{number} = 1\n" for number in range(50_000)),
    "many fabrics": HEAD + "".join(f"[fabrics.F{number}]\nname='f'\ntone=1\n" for number in range(25_000)),
    "many blocks": HEAD + "".join(f"[blocks.b{number}]\ncell='2'\n" for number in range(40_000)),
    "many frames": with_picture("S") + filled("[[blocks.b.frame]]\nfabric='Q'\n")[:900_000],
    "one letter again and again": filled("x"),
    "quotes": filled('"'),
    "backslashes": 'x = "' + filled("\\"),
    "line ends": filled("\n"),
    "carriage returns": filled("\r"),
    "equals signs": filled("=\n"),
    "a number of a million digits": "x = " + filled("9"),
    "a length of a million digits": HEAD + f"[blocks.b]\ncell = '{filled('9')[:900_000]}'\npicture='S'\n" + QUILT,
    "a fraction of a million digits": HEAD + f"[blocks.b]\ncell = '1/{filled('7')[:900_000]}'\npicture='S'\n" + QUILT,
    "a title of a million letters": f"title = '{filled('x')[:990_000]}'\n",
    "a row without end": with_picture(filled("S ")[:900_000]),
    "rows without end": with_picture(filled("S\n")[:900_000]),
    "a cell without end": with_picture(filled("S/")[:900_000]),
    "65 cells across": with_picture(" ".join("S" * 65)),
    "65 cells down": with_picture("\n".join("S" * 65)),
    "unknown cloths": with_picture(
        "\n".join(" ".join(f"X{row}Y{column}" for column in range(64)) for row in range(64))
    ),
    "a list of places without end": with_picture("S").replace(
        "block = 'b'\nacross = 1\ndown = 1", f"blocks = [{filled('[1],')[:900_000]}]"
    ),
    "too many blocks": with_picture("S").replace("across = 1", "across = 10001"),
    "no blocks": with_picture("S").replace("across = 1", "across = 0"),
    "less than no blocks": with_picture("S").replace("across = 1", "across = -1"),
    "a cell of no size": with_picture("S").replace("'2'", "'0'"),
    "a cell below no size": with_picture("S").replace("'2'", "'-2'"),
    "a cell beyond any": with_picture("S").replace("'2'", "'10001'"),
    "a cell divided by nothing": with_picture("S").replace("'2'", "'1/0'"),
    "a cell in a float": with_picture("S").replace("'2'", "2.5"),
    "a cell that is no number": with_picture("S").replace("'2'", "'two'"),
    "a cell that is not anything": with_picture("S").replace("'2'", "nan"),
    "a seam wider than a cell": "seam = '3'\n" + with_picture("S"),
    "a seam as wide as a cell": "seam = '2'\n" + with_picture("S"),
    "no seam": "seam = '0'\n" + with_picture("S"),
    "a misspelt block": with_picture("S").replace("block = 'b'", "lock = 'b'"),
    "a zero byte": SMALL_PLAN.replace("Lantern", "Lan\x00tern"),
    "an escape sequence": SMALL_PLAN.replace("Lantern", "\x1b[2J\x07"),
    "half a character pair": b'title = "\xed\xa0\x80"\n',
    "text in another encoding": "title = 'Großmutter'".encode("latin-1"),
    "text in two-byte letters, unsaid": SMALL_PLAN.encode("utf-16-le"),
    "bytes of every kind": bytes(range(256)) * 3900,
    "a picture": b"\x89PNG\r\n\x1a\n" + bytes(100_000),
    "more than a million letters": filled("# x\n") + SMALL_PLAN,
    "nothing": "",
}

MEASURE = """
import json, sys, time
from pathlib import Path
from tracker.plan.plan_reader import read_plan
from tracker.plan.problems import sentence
told = {}
for path in sorted(Path(sys.argv[1]).iterdir()):
    began = time.process_time_ns()
    reading = read_plan(path.read_bytes(), "plan.toml")
    said = [] if reading.plan else [sentence(problem) for problem in reading.problems]
    told[path.name] = [(time.process_time_ns() - began) // 1_000_000, said]
# The peak of this process alone: what getrusage says is inherited from the one that started it.
peak = next(line for line in open('/proc/self/status') if line.startswith('VmHWM'))
print(json.dumps([int(peak.split()[1]) // 1024, told]))
"""


def test_each_is_refused_in_sentences_within_two_seconds_and_200_megabytes(tmp_path: Path) -> None:
    tried = some(list(HOSTILE.items()), 24)
    for name, plan in tried:
        (tmp_path / name).write_bytes(plan.encode() if isinstance(plan, str) else plan)
    command = [sys.executable, "-c", MEASURE, str(tmp_path)]
    ran = subprocess.run(command, capture_output=True, text=True, check=True, cwd=Path(__file__).parent.parent)
    megabytes, told = json.loads(ran.stdout)
    for name, (milliseconds, said) in told.items():
        assert said, f"{name}: taken for a plan"
        assert milliseconds < 10_000, name  # two seconds of an idle core; this only holds that none runs away
        assert len(said) <= 200, name
        for sentence in said:
            assert len(sentence) < 600, name
            assert sentence.isprintable(), (name, sentence)
    assert len(told) == len(tried)
    assert megabytes < 200


@pytest.mark.parametrize("name", ["brackets", "a zero byte", "bytes of every kind", "many unknown keys", "nothing"])
def test_the_screen_says_so_too_and_makes_no_quilt(name: str, phone: Visitor, store: Store) -> None:
    plan = HOSTILE[name]
    answer = phone.post("/new", {"plan": plan.decode("latin-1") if isinstance(plan, bytes) else plan})
    assert answer.status_code == 422
    assert "put right" in words_of(answer) or "There is no plan yet" in words_of(answer)
    assert not store.quilts()
