"""The steps ahead and the counts, as the pages' script asks for them."""

from __future__ import annotations

from visitors import Quilt, Visitor


def test_the_counts_and_piles_are_those_of_the_quilt(phone: Visitor, sewing: Quilt) -> None:
    sewing.tap("Cut pale sand squares, 3 in", 2)
    told = phone.get(f"{sewing.at}/counts.json").json
    ahead = phone.get(told["ahead"]).json
    progress = sewing.progress()
    assert told["version"] == sewing.stored.version
    assert {step["short"] for step in ahead["steps"]} == set(told["steps"])
    for step, shown in zip(progress.counts.steps.values(), ahead["steps"], strict=True):
        counted = told["steps"][shown["short"]]
        assert (counted["count"], counted["done"]) == (progress.counts.count(step), progress.counts.times_done(step))
    lies = {number: progress.counts.on_pile(pile) for number, pile in enumerate(progress.counts.checklist.piles)}
    assert {int(number): many for number, many in told["lies"].items()} == {
        number: many for number, many in lies.items() if "block" not in ahead["piles"][number]
    }


def test_every_step_ahead_is_the_page_s_own_screen_and_is_kept_until_the_plan_changes(
    phone: Visitor, sewing: Quilt
) -> None:
    path = phone.get(f"{sewing.at}/counts.json").json["ahead"]
    answer = phone.get(path)
    assert "immutable" in answer.headers["Cache-Control"]
    assert phone.get(path.partition("?")[0]).headers["Cache-Control"] == "no-cache"
    told = answer.json
    for step, screen, bar in zip(told["steps"], told["screens"], told["bars"], strict=True):
        page = phone.get(f"{sewing.at}/steps/{step['short']}").get_data(as_text=True)
        assert screen in page
        assert 'data-step="\0"' in bar
        assert step["short"] not in bar, "a sign stands for it, which packs well"


def test_what_does_not_fit_is_sent_from_the_step_that_is_open(
    phone: Visitor, sewing: Quilt, monkeypatch: object
) -> None:
    from tracker.web import ahead

    whole = phone.get(f"{sewing.at}/ahead.json").json
    monkeypatch.setattr(ahead, "MOST_PACKED", 2_000)  # type: ignore[attr-defined]
    first = phone.get(f"{sewing.at}/ahead.json").json
    last = phone.get(f"{sewing.at}/ahead.json?from={whole['steps'][-1]['short']}").json
    assert 0 < len(first["screens"]) < len(whole["screens"])
    assert last["screens"][0] == whole["screens"][-1]
    assert len(last["steps"]) == len(whole["steps"])
