// Counting, as the computer does it (see `progress/counts.py` and `ledger.py`): where every step stands after taps that the
// counts sent last do not know yet. Plain functions of what the computer sent; a law holds both to each other.
//
//   plan    what stands in the plan, prepared: steps with the piles they take from and give to, piles, kinds of blocks
//   counts  where it stood when last asked
//   now     where it stands: `lies` on piles (those of single blocks by "pile block"), `done` in all, `did` for single
//           blocks, what each tap `wanted` and what it `counted`, and the steps `unsure` until the computer has answered
"use strict";
(() => {
  const MOST_NAMED = 6; // blocks by their numbers
  const numbers = (text) => (text ?? "").split(" ").filter(Boolean).map(Number);

  // The steps come from the one that was open on; their order is that of the list.
  function prepared(told) {
    const order = [...told.steps.slice(told.first), ...told.steps.slice(0, told.first)];
    return { ...told, order, at: new Map(order.map((step) => [step.short, step])) };
  }

  function reckon(plan, counts, taps) {
    const now = { lies: { ...counts.lies }, done: {}, did: {}, wanted: new Map(), counted: new Map(), unsure: new Set(), last: [] };
    for (const [short, told] of Object.entries(counts.steps)) {
      now.done[short] = told.done;
      now.did[short] = {};
      for (const [from, to] of told.blocks ?? []) for (let block = from; block <= to; block += 1) began(plan, now, short, block);
      if (told.back) remember(now, told.back.id, counts.moves[told.back.id] ?? moves(plan, short, told.back.blocks, told.back.times));
    }
    for (const [id, wanted] of Object.entries(counts.open ?? {})) now.wanted.set(id, wanted);
    if (counts.last) now.last.push(counts.last);
    for (const tap of taps) if (tap.quilt === counts.quilt) count(plan, counts, now, tap);
    return now;
  }

  function began(plan, now, short, block) {
    const step = plan.at.get(short);
    now.did[short][block] = 1;
    if (step) flow(plan, now, step, block, 1, (pile) => plan.piles[pile].block);
  }

  function remember(now, id, change) {
    now.wanted.set(id, change);
    now.counted.set(id, change);
  }

  const place = (plan, pile, block) => (plan.piles[pile].block ? `${pile} ${block}` : pile);

  function flow(plan, now, step, block, times, which = () => true) {
    const shift = (pile, each) => {
      const where = place(plan, pile, block);
      if (which(pile)) now.lies[where] = (now.lies[where] ?? 0) + each;
    };
    for (const [pile, each] of step.takes) shift(pile, -times * each);
    for (const [pile, each] of step.gives) shift(pile, times * each);
  }

  // Moves are steps done so often (less than 0: undone) for a block (0: the pool).

  const moves = (plan, short, blocks, times) => (plan.at.get(short)?.per
    ? blocks.map((block) => [short, block, Math.sign(times)]) : [[short, 0, times]]);
  const undone = (change) => change.map(([short, block, times]) => [short, block, -times]).reverse();

  function move(plan, now, change) {
    for (const [short, block, times] of change) {
      now.done[short] += times;
      if (block) now.did[short][block] = (now.did[short][block] ?? 0) + times;
      flow(plan, now, plan.at.get(short), block, times);
    }
  }

  // `beyond`: of a step of the pool more may be done than the plan asks for, as far as its piles pay.
  function cannotBe(plan, counts, now, change, beyond) {
    return change.some(([short, block, times]) => {
      const step = plan.at.get(short);
      const often = block ? now.did[short][block] : now.done[short];
      const most = block ? 1 : beyond ? Infinity : counts.steps[short].count;
      return often < 0 || (times > 0 && often > most) ||
        [...step.takes, ...step.gives].some(([pile]) => now.lies[place(plan, pile, block)] < 0);
    });
  }

  // Whether a change counts. Where a pile cannot pay for it, nothing is changed.
  function pays(plan, counts, now, change, beyond = false) {
    if (!change.every(([short, block]) => plan.at.has(short) && short in now.done && isFor(plan, plan.at.get(short), block))) return false;
    move(plan, now, change);
    if (!cannotBe(plan, counts, now, change, beyond)) return true;
    move(plan, now, undone(change));
    return false;
  }

  const isFor = (plan, step, block) => (step.per ? plan.kinds[step.per].includes(block) : !block);

  // One tap: counted, refused (then it is as if it had not been) or unsettled (it wants what cannot be paid for).
  function count(plan, counts, now, tap) {
    const fields = new Map(tap.fields);
    const step = plan.at.get(fields.get("step"));
    const what = fields.get("what");
    const keep = (change, unsettled, beyond) => {
      const counted = pays(plan, counts, now, change, beyond);
      if (!counted && !unsettled) return;
      remember(now, tap.id, change);
      if (!counted) now.counted.delete(tap.id);
    };
    switch (fields.get("do")) {
      case "done":
        if (named(plan, counts, now, step, fields)) keep(named(plan, counts, now, step, fields), true);
        break;
      case "pass": {
        const wanted = ofPass(plan, fields.get("work"));
        if (wanted) keep(wanted, true);
        break;
      }
      case "put back": case "not done":
        if (stays(fields, step)) break;
        if (named(plan, counts, now, step, fields)) keep(undone(named(plan, counts, now, step, fields)));
        break;
      case "counted": {
        const by = differs(now, step, fields);
        if (by) keep([[step.short, 0, by]], by > 0, true);
        break;
      }
      case "opened": if (!stays(fields, step)) keep(opened(plan, now, step, Number(fields.get("block")))); break;
      case "spoiled": spoiled(plan, now, fields); break;
      case "take back": takenBack(plan, counts, now, what, tap.id); break;
      case "settle": settled(plan, counts, now, [what], [Number(fields.get("times"))]); break;
      case "settle all": settled(plan, counts, now, what.split(" "), numbers(fields.get("times"))); break;
      case "strip": ofCloth(plan, fields.get("cloth")).forEach((each) => now.unsure.add(each.short)); break;
      case "stage": leadingTo(plan, step).forEach((each) => now.unsure.add(each.short)); break;
      case "note": case "name": case "measured": case "block measured": case "block brought": break; // they change no count
      default: plan.order.forEach((each) => now.unsure.add(each.short));
    }
    if (!["done", "pass", "counted"].includes(fields.get("do")) || !now.wanted.has(tap.id)) return;
    now.last.push({ id: tap.id, step: step?.short ?? now.wanted.get(tap.id).at(-1)[0] });
  }

  // What a blade or a pencil has done is not unpicked. What was not done, for blocks, is undone all the same.
  const stays = (fields, step) => (fields.get("do") === "not done" ? !step?.per : step?.stays);

  // What of a pass was done with one tap: `1f3a9c07*24 9b3e2f11@2-5.7`, as `web/shares.py` tells it.
  function ofPass(plan, work) {
    const found = [];
    const steps = new Set();
    for (const word of (work ?? "").split(" ").filter(Boolean)) {
      const [, short, times, runs] = /^([0-9a-z]+)(?:\*(\d+)|@([\d.-]+))$/.exec(word) ?? [];
      const step = plan.at.get(short);
      if (!step || steps.has(short) || Boolean(step.per) !== (runs !== undefined) || times === "0") return null;
      steps.add(short);
      const blocks = runs === undefined ? [] : unrolled(runs);
      if (new Set(blocks).size < blocks.length || !blocks.every((block) => isFor(plan, step, block))) return null;
      found.push(...(step.per ? moves(plan, short, blocks, 1) : [[short, 0, Number(times)]]));
    }
    return found.length ? found : null;
  }

  const unrolled = (runs) => runs.split(".").flatMap((run) => {
    const [first, last = first] = run.split("-").map(Number);
    return Array.from({ length: last - first + 1 }, (_, more) => first + more);
  });

  function rolled(blocks) {
    const runs = [];
    for (const block of blocks) {
      const run = runs.at(-1);
      if (run && run[1] === block - 1) run[1] = block;
      else runs.push([block, block]);
    }
    return runs.map(([first, last]) => (first === last ? first : `${first}-${last}`)).join(".");
  }

  // The blocks that a tap names, or those in turn; null where they are none of the step's.
  function named(plan, counts, now, step, fields) {
    if (!step) return null;
    const times = Number(fields.get("times")) || 1;
    if (!step.per) return [[step.short, 0, times]];
    const blocks = fields.has("blocks") ? numbers(fields.get("blocks"))
      : (fields.has("offered") ? numbers(fields.get("offered")) : readyBlocks(plan, now, step)).slice(0, times);
    const isNone = !blocks.length || new Set(blocks).size < blocks.length || (!fields.has("blocks") && blocks.length < times);
    return isNone || !blocks.every((block) => isFor(plan, step, block)) ? null : moves(plan, step.short, blocks, 1);
  }

  // By how much a number counted differs; nothing where counting has gone on since she looked.
  function differs(now, step, fields) {
    const seen = fields.get("seen");
    const stands = step ? now.done[step.short] : 0;
    if (!step || step.per || (seen && ![seen, fields.get("times")].includes(String(stands)))) return 0;
    return Number(fields.get("times")) - stands;
  }

  // A seam of a block (0: of the quilt) with all that rests on it, last first. What still lies on its pile is taken from there.
  function opened(plan, now, step, block) {
    const did = (each) => (each.per ? (block && now.did[each.short]?.[block]) || 0 : now.done[each.short]);
    if (!step || Boolean(step.per) !== Boolean(block) || !did(step)) return [];
    const gone = new Map();
    const found = [];
    for (const each of plan.order.filter(({ short }) => short in now.done)) {
      const short = each.takes.map(([pile, many]) => Math.ceil(((gone.get(pile) ?? 0) - (now.lies[place(plan, pile, block)] ?? 0)) / many));
      const times = Math.min(Math.max(each === step ? 1 : 0, ...short), did(each));
      if (times <= 0) continue;
      found.push([each.short, each.per ? block : 0, -times]);
      each.gives.forEach(([pile, many]) => gone.set(pile, (gone.get(pile) ?? 0) + times * many));
    }
    return found.reverse();
  }

  // What must be made again for it, only the computer knows.
  function spoiled(plan, now, fields) {
    const pile = plan.piles.findIndex((each) => each.id === fields.get("pile"));
    const times = Number(fields.get("times"));
    if (now.lies[pile] >= times) now.lies[pile] -= times;
  }

  // A tap that nobody here knows may have been anything.
  function takenBack(plan, counts, now, what, id) {
    const change = now.counted.get(what);
    if (!now.wanted.has(what)) plan.order.forEach((each) => now.unsure.add(each.short));
    else if (!change || pays(plan, counts, now, undone(change), true)) {
      now.counted.delete(what);
      now.wanted.set(what, []);
    }
    now.wanted.set(id, []);
  }

  // So many of each did happen; all of them are settled, or none.
  function settled(plan, counts, now, what, times) {
    const before = { wanted: new Map(now.wanted), counted: new Map(now.counted) };
    const paid = [];
    for (const [index, id] of what.entries()) {
      const wanted = now.wanted.get(id) ?? [];
      if (!wanted.length || now.counted.has(id)) continue;
      const pooled = wanted.length === 1 && !wanted[0][1];
      const change = !times[index] ? [] : pooled ? [[wanted[0][0], 0, times[index]]] : wanted.slice(0, times[index]);
      if (!pays(plan, counts, now, change)) {
        paid.reverse().forEach((each) => move(plan, now, undone(each)));
        Object.assign(now, before);
        return;
      }
      paid.push(change);
      now.wanted.set(id, change);
      if (change.length) now.counted.set(id, change);
    }
  }

  // What of these steps a strip or a stage has counted, only the computer can tell: nothing more is promised of them.

  const ofCloth = (plan, cloth) => plan.order.filter((step) => step.cloth === cloth);

  function leadingTo(plan, last) {
    const piles = new Set((last?.takes ?? []).map(([pile]) => pile));
    for (const step of [...plan.order].reverse()) {
      if (step.gives.some(([pile]) => piles.has(pile))) step.takes.forEach(([pile]) => piles.add(pile));
    }
    return plan.order.filter((step) => step === last || [...step.takes, ...step.gives].some(([pile]) => piles.has(pile)));
  }

  // Looking

  const left = (counts, now, step) => Math.max(0, counts.steps[step.short].count - now.done[step.short]);

  const payable = (plan, now, step) => Math.min(...step.takes.filter(([pile]) => !plan.piles[pile].block)
    .map(([pile, each]) => Math.floor(now.lies[pile] / each)), Infinity);

  function readyBlocks(plan, now, step) {
    if (now.unsure.has(step.short)) return [];
    const open = plan.kinds[step.per].filter((block) => !now.did[step.short][block] &&
      step.takes.every(([pile, each]) => !plan.piles[pile].block || (now.lies[`${pile} ${block}`] ?? 0) >= each));
    return open.slice(0, payable(plan, now, step));
  }

  function ready(plan, counts, now, step) {
    if (now.unsure.has(step.short) || (step.beside !== undefined && now.lies[step.beside] < 1)) return 0;
    return step.per ? readyBlocks(plan, now, step).length : Math.min(left(counts, now, step), payable(plan, now, step));
  }

  // Piles that it lacks pieces on, and how many for one go; nothing where it is done or can be done now.
  function lacking(plan, counts, now, step) {
    if (!left(counts, now, step) || ready(plan, counts, now, step)) return [];
    const block = step.per ? plan.kinds[step.per].find((each) => !now.did[step.short][each]) : 0;
    const beside = step.beside === undefined ? [] : [[step.beside, 1]];
    return [...step.takes, ...beside].map(([pile, each]) => [pile, each - (now.lies[place(plan, pile, block)] ?? 0)])
      .filter(([, short]) => short > 0);
  }

  // How often a step can be done now for the blocks in work.
  const wantedNow = (plan, counts, now, step) => Math.min(ready(plan, counts, now, step),
    goal(plan, counts, now, step) - now.done[step.short]);

  function goal(plan, counts, now, step) {
    const told = counts.steps[step.short];
    if (step["to fit"]?.every((measure) => !now.done[measure])) return 0; // cut to the length of a block, which is measured first
    if (!told.goals) return told.count;
    const usual = told.goals[batchInWork(plan, counts, now)];
    // What is made again for pieces lost is asked for at once where all that was planned is done.
    return now.done[step.short] >= told.planned ? Math.max(usual, told.count) : usual;
  }

  // The first batch that is not finished, of those that the computer told of; else the last of them.
  function batchInWork(plan, counts, now) {
    const last = plan.order.filter((step) => step.last && step.short in now.did);
    const isFinished = (block) => last.some((step) => now.did[step.short][block] > 0);
    const found = counts.batches.findIndex((runs) => runs.some(([from, to]) => {
      for (let block = from; block <= to; block += 1) if (!isFinished(block)) return true;
      return false;
    }));
    return found < 0 ? counts.batches.length - 1 : found;
  }

  // What one tap counts of the pass that a step is done in: for each of its steps what the blocks in work need now, with
  // what the steps before it make. Nothing is counted.
  function needed(plan, counts, now, step) {
    const done = [];
    const found = [];
    const mine = plan.order.filter((each) => each.pass === step.pass && counts.steps[each.short]);
    const asked = mine.map((each) => goal(plan, counts, now, each) - now.done[each.short]); // before any brings a block to its end
    for (const [place, each] of mine.entries()) {
      const times = Math.min(ready(plan, counts, now, each), asked[place]);
      if (times < 1) continue;
      const blocks = each.per ? readyBlocks(plan, now, each).slice(0, times) : [];
      const change = each.per ? moves(plan, each.short, blocks, 1) : [[each.short, 0, times]];
      move(plan, now, change);
      done.push(change);
      found.push({ step: each, times: each.per ? blocks.length : times, blocks });
    }
    done.reverse().forEach((change) => move(plan, now, undone(change)));
    return found;
  }

  const told = (shares) => shares.map(({ step, times, blocks }) => `${step.short}${step.per ? `@${rolled(blocks)}` : `*${times}`}`).join(" ");

  // What one tap counts of a pass, in the words of `words/pass_words.py`: what is true then, and of what.
  function said(plan, counts, now, step, shares) {
    if (!shares.length) return { words: "", what: "" };
    const mates = plan.order.filter((each) => each.pass === step.pass && counts.steps[each.short]);
    const made = shares.at(-1).step.made;
    const mine = shares.filter((share) => share.step.made === made);
    const words = doneWords(made, mine, mates.every((each) =>
      left(counts, now, each) <= (shares.find((share) => share.step === each)?.times ?? 0)));
    const labelled = mine.length > 1 && mine.every((share) => share.step.label);
    const amounts = labelled ? mine.map((share) => `${share.times}\u00a0of ${share.step.label}`).join(", ") : "";
    return { words: words.charAt(0).toUpperCase() + words.slice(1), what: mates.length > 1 ? amounts || plan.passes[step.pass] : "" };
  }

  function doneWords(made, shares, every) {
    const blocks = [...new Set(shares.flatMap((share) => share.blocks))].sort((a, b) => a - b);
    if (blocks.length) return `${someBlocks(blocks)}: ${made}`;
    const times = shares.reduce((sum, share) => sum + share.times, 0);
    return `${every && times > 1 ? "all " : ""}${times} ${made}`;
  }

  function someBlocks(blocks) {
    const [first, last] = [blocks[0], blocks.at(-1)];
    if (blocks.length > 2 && last - first === blocks.length - 1) return `blocks ${first} to ${last}`;
    if (blocks.length > MOST_NAMED) return `${blocks.length} blocks`;
    return blocks.length === 1 ? `block ${first}` : `blocks ${blocks.slice(0, -1).join(", ")} and ${last}`;
  }

  // Where to go on from a step, as the computer chooses: the last one, another of its pass, another at its station (after
  // a step of a block, what brings one nearest to its end), what brings a block nearest to its end, the first for the
  // blocks in work; when nothing is, whatever lies ready.
  function carryOn(plan, counts, now, from, isHere = () => true) {
    const last = plan.at.get([...now.last].reverse().find(({ id }) => now.counted.has(id) || !now.wanted.has(id))?.step);
    const able = plan.order.filter((step) => counts.steps[step.short] && isHere(step.short) && left(counts, now, step) && ready(plan, counts, now, step));
    const wanted = able.filter((step) => wantedNow(plan, counts, now, step) > 0);
    const nearest = Math.min(...wanted.map((step) => step.turn ?? 0)); // what the quilt needs last comes last
    const works = wanted.filter((step) => (step.turn ?? 0) === nearest);
    const first = (steps) => steps.find((step) => (step["to the end"] ?? Infinity) === Math.min(...steps.map((each) => each["to the end"] ?? Infinity)));
    const here = works.filter((step) => step.station === last?.station && (last.places || !step.places));
    const found = [works.find((step) => step === last), works.find((step) => step.pass === last?.pass),
      last?.per ? first(here) : here[0], last && first(works), works[0],
      able.find((step) => step === last), able[0]].find(Boolean);
    return found === from ? undefined : found;
  }

  window.reckoning = { prepared, reckon, left, ready, readyBlocks, lacking, wantedNow, needed, told, said, unrolled, batchInWork, carryOn };
})();
