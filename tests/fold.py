"""Whether anybody has to scroll to sew: `python tests/fold.py [--plan NAME ...] [--size WxH ...] [--list]`.

Not a test: it prints. On every step of several quilts, at six sizes and in two faces of type, it asks of the open
page: do figure, drawing, what to do and the check stand whole above the bar? How high is the top? Is a size broken
across lines, are letters in a drawing too small, do buttons touch, does anything focused lie under the bar, is a
screen with letters twice as large scrolled sideways? `--list` names the steps that fail.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections import Counter
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from browser import launch, pair
from playwright.sync_api import Page, ViewportSize, sync_playwright
from recipe_plans import RECIPE_PLANS, TEXT
from visitors import add_quilt, open_room

from tracker.cli import add_demo
from tracker.store.quilts import Store, StoredQuilt
from tracker.web.opened import compile_text

SIZES = ((390, 664), (390, 844), (360, 640), (820, 1180), (1180, 820), (1280, 800))
FACES = ("DejaVu Sans", "Liberation Sans")
"""A wide face and a narrow one, as devices bring their own."""

ON_POINT = """
title = "Heron throw"
fabrics.S = { name = "sand", tone = 2, usable = "40" }
fabrics.R = { name = "brick", tone = 7 }
fabrics.G = { name = "moss green hand-dyed", tone = 5 }
[blocks.reed]
name = "Reed"
cell = "3"
combine = true
picture = '''
S/R R\\S G
G G G
R\\S S/R G
'''
[quilt]
block = "reed"
across = 3
down = 3
setting = "on point"
setting_fabric = "S"
sash = { fabric = "G", cut = "1 1/2", cornerstone = "R" }
border = [{ fabric = "R", cut = "4 1/2" }]
binding = { fabric = "G", cut = "2 1/2" }
"""
METRIC = """
title = "Baby quilt"
unit = "cm"
fabrics.A = { name = "apricot", tone = 4 }
fabrics.B = { name = "blue-grey", tone = 8 }
[blocks.b]
name = "Kite"
cell = "7.5"
strips = true
picture = '''
A A/B B
A:B:A:B B A
A\\B A B
'''
[quilt]
block = "b"
across = 3
down = 4
sash = { fabric = "A", cut = "5" }
border = [{ fabric = "B", cut = "10" }]
binding = { fabric = "A", cut = "6" }
backing = { fabric = "B" }
"""

MEASURE = """() => {
    const box = (e) => e.getBoundingClientRect();
    const seen = (e) => box(e).width > 0 && box(e).height > 0 && e.checkVisibility();
    const all = (s) => [...document.querySelectorAll(s)].filter(seen);
    const top = document.querySelector('.top').getBoundingClientRect().bottom;
    const bar = document.querySelector('#live > .bar').getBoundingClientRect();
    const beside = (b) => b.left >= bar.right - 1 || b.right <= bar.left + 1;
    const bottom = (b) => beside(b) ? innerHeight : Math.min(bar.top, innerHeight);
    const whole = (s) => all(s).every((e) => {
        const b = e.getBoundingClientRect();
        return b.top >= top - 1 && b.bottom <= bottom(b) + 1 && b.right <= innerWidth + 1;
    });
    const out = { figure: whole('.step .size'), drawing: whole('.step .picture svg'),
        words: whole('.step .takes, .step .words > p:not(.check, .caution)'), check: whole('.step .check') };
    out.over = Math.max(0, ...all('.step .words > :not(.caution)').map((e) => e.getBoundingClientRect())
        .map((b) => Math.round(b.bottom - bottom(b))));
    // What is drawn, not the room that it stands in: of both ways the mean.
    const drawn = all('.step .picture svg.drawing')[0];
    const [room, own] = drawn ? [drawn.getBoundingClientRect(), drawn.viewBox.baseVal] : [];
    const scale = drawn && Math.min(room.width / own.width, room.height / own.height);
    out.drawn = drawn ? Math.round(scale * Math.sqrt(own.width * own.height)) : 0;
    out.top = Math.round(top);
    out.bar = Math.round(bar.height);
    const broken = [];
    const walk = document.createTreeWalker(document.querySelector('#screen'), NodeFilter.SHOW_TEXT);
    const size = /(\\d[\\d½¼¾⅛⅜⅝⅞⅓⅔.]*|[½¼¾⅛⅜⅝⅞])(\\s×\\s\\d[\\d½¼¾⅛⅜⅝⅞.]*)?(\\s(in|cm)\\b)?/g;
    while (walk.nextNode()) {
        if (!seen(walk.currentNode.parentElement) || walk.currentNode.parentElement.closest('svg')) continue;
        for (const found of walk.currentNode.data.matchAll(size)) {
            const range = document.createRange();
            range.setStart(walk.currentNode, found.index);
            range.setEnd(walk.currentNode, found.index + found[0].length);
            const lines = new Set([...range.getClientRects()].map((r) => Math.round(r.bottom / 6)));
            if (lines.size > 1) broken.push(found[0]);
        }
    }
    out.broken = broken;
    out.letters = all('.step .picture svg.drawing text').map((t) => {
        const svg = t.ownerSVGElement;
        const [box, own] = [svg.getBoundingClientRect(), svg.viewBox.baseVal];
        return parseFloat(t.getAttribute('font-size')) * Math.min(box.width / own.width, box.height / own.height);
    }).filter((px) => px < 9).length;
    const buttons = all('#screen :is(.plain, .big, input:not([type=hidden]), summary)')
        .map((e) => [e, e.getBoundingClientRect()]);
    out.touch = [];
    buttons.forEach(([e, a], i) => buttons.slice(i + 1).forEach(([f, b]) => {
        const joined = e.closest('.joined');
        if (e.contains(f) || f.contains(e) || (joined && joined === f.closest('.joined'))) return;
        const across = Math.max(a.left, b.left) - Math.min(a.right, b.right);
        const down = Math.max(a.top, b.top) - Math.min(a.bottom, b.bottom);
        const inBar = e.closest('.bar') && f.closest('.bar') || !e.closest('.bar') && !f.closest('.bar');
        if (inBar && Math.max(across, down) < 4) out.touch.push(`${e.id || e.className} ${f.id || f.className}`);
    }));
    return out;
}"""
UNDER = """() => {
    const bar = document.querySelector('#live > .bar');
    if (getComputedStyle(bar).position !== 'sticky') return [];
    const hidden = [];
    const touched = ':is(a[href], button, input:not([type=hidden]), summary, [tabindex="0"])';
    for (const e of document.querySelectorAll(`#screen ${touched}`)) {
        if (bar.contains(e) || !e.getBoundingClientRect().width || !e.checkVisibility()) continue;
        scrollTo(0, 0);
        e.focus();
        const [b, c, t] = [e, bar, document.querySelector('.top')].map((each) => each.getBoundingClientRect());
        const beside = b.left >= c.right || b.right <= c.left;
        if ((b.bottom > c.top + 1 && !beside) || b.top < t.bottom - 1) hidden.push(e.className || e.tagName);
    }
    document.activeElement.blur();
    scrollTo(0, 0);
    return hidden;
}"""
PARTS = ("figure", "drawing", "words", "check")


def quilts(store: Store, names: list[str]) -> dict[str, StoredQuilt]:
    """The quilts that are looked at, by name: the demo as it is, others not begun."""
    add_demo(store)
    (demo,) = store.quilts()
    found = {"demo": demo}
    texts = {"on point": ON_POINT, "metric": METRIC}
    for name, drawn in RECIPE_PLANS.items():
        if name in ("snowball", "quarter-square", "geese four", "half-rectangle, both hands", "goose flip"):
            facts = {key: str(value).lower() if value in (True, False) else value for key, value in vars(drawn).items()}
            texts[name] = TEXT.format(name=name, trimming="roomy", **facts)
    found |= {name: add_quilt(store, text) for name, text in texts.items() if not names or name in names}
    return {name: quilt for name, quilt in found.items() if not names or name in names}


def look(page: Page, address: str, quilt: StoredQuilt, sizes: list[tuple[int, int]]) -> dict[str, Any]:
    """What was found of each step, by its title: by size and face, and with large letters."""
    compiled = compile_text(quilt.about["plan"])
    session = page.context.new_cdp_session(page)
    letters = lambda px: session.send("Page.setFontSizes", {"fontSizes": {"standard": px, "fixed": px}})  # noqa: E731
    found: dict[str, Any] = {}
    for step in (step for step in compiled.checklist.steps if step.count):
        page.set_viewport_size(ViewportSize(width=390, height=664))
        page.goto(f"{address}/quilts/{quilt.id}/steps/{compiled.short[step.id]}")
        assert page.query_selector("#live > .bar"), (compiled.titles[step.id], page.inner_text("body"))
        each: dict[Any, Any] = {}
        for face in FACES:
            page.evaluate("face => { document.documentElement.style.fontFamily = face; }", face)
            for width, height in sizes:
                page.set_viewport_size(ViewportSize(width=width, height=height))
                each[width, height, face] = page.evaluate(MEASURE)
        page.set_viewport_size(ViewportSize(width=390, height=664))
        each["under"] = page.evaluate(UNDER)
        letters(32)
        each["sideways"] = page.evaluate("document.scrollingElement.scrollWidth > innerWidth")
        letters(16)
        found[compiled.titles[step.id]] = each
    return found


def tell(name: str, found: dict[str, Any], sizes: list[tuple[int, int]], listed: bool) -> None:
    """Print the figures of one quilt."""
    print(f"\n{name}: {len(found)} steps")
    for face in FACES:
        for width, height in sizes:
            each = {title: step[width, height, face] for title, step in found.items()}
            fails = {title: [part for part in PARTS if not one[part]] for title, one in each.items()}
            fails = {title: parts for title, parts in fails.items() if parts}
            parts = Counter(part for lacking in fails.values() for part in lacking)
            print(
                f"  {width:>4}x{height:<4} {face:<15} all in sight {len(each) - len(fails):>3}; not: {dict(parts)}; "
                f"at most {max(one['over'] for one in each.values())} px below the bar; "
                f"top {max(one['top'] for one in each.values())} px, "
                f"bar at most {max(one['bar'] for one in each.values())}, "
                f"drawing at least {min(one['drawn'] for one in each.values() if one['drawn'])}; "
                f"sizes broken {sum(map(len, (one['broken'] for one in each.values())))}, "
                f"letters under 9 px {sum(one['letters'] > 0 for one in each.values())}, "
                f"touching {sum(bool(one['touch']) for one in each.values())}"
            )
            if listed:
                for title, lacking in fails.items():
                    print(f"        {title}: {', '.join(lacking)}, {each[title]['over']} px")
                for title, one in each.items():
                    for kind in ("broken", "touch"):
                        if one[kind]:
                            print(f"        {title}: {kind} {one[kind][:4]}")
    under = [title for title, step in found.items() if step["under"]]
    sideways = [title for title, step in found.items() if step["sideways"]]
    print(f"  focused under the bar or the top: {len(under)} steps; sideways with large letters: {len(sideways)}")
    if listed:
        print("       ", under[:3], [found[title]["under"] for title in under[:3]], sideways[:9])


def main() -> None:
    reader = argparse.ArgumentParser()
    reader.add_argument("--plan", action="append", default=[])
    reader.add_argument("--size", action="append", default=[])
    reader.add_argument("--list", action="store_true")
    wanted = reader.parse_args()
    sizes = [tuple(map(int, size.split("x"))) for size in wanted.size] or list(SIZES)
    with (
        tempfile.TemporaryDirectory() as data,
        open_room(Path(data)) as (store, address),
        sync_playwright() as playwright,
    ):
        browser = launch(playwright)
        context = browser.new_context(has_touch=True)
        pair(context)
        page = context.new_page()
        for name, quilt in quilts(store, wanted.plan).items():
            tell(name, look(page, address, quilt, sizes), sizes, wanted.list)
        browser.close()


if __name__ == "__main__":
    main()
