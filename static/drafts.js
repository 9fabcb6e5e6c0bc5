// Drawings that are not quilts yet, kept on this device as they are drawn: every state of them, so that what was undone or
// drawn over is still there when the page is opened again. Many, each by its name.
"use strict";
(() => {
  const room = window.sewingRoom;
  if (!room) return;
  const NAME = "sewing-room drawings";
  const LAST = "sewing-room drawing"; // where there is no database: the newest state alone

  const within = room.database(NAME, (made) => {
    made.createObjectStore("drafts", { keyPath: "id" });
    made.createObjectStore("states");
  });
  const statesOf = (id) => IDBKeyRange.bound([id, 0], [id, Infinity]);

  // One draft: `keep(history, about)` writes what is new of it; resolved when it is on the disk.
  function draft(id) {
    let written = [];
    let last = Promise.resolve();

    async function write(history, about) {
      const states = [...history.past, history.now, ...history.future];
      await within("readwrite", "strict", (drafts, kept) => {
        states.forEach((state, number) => { if (written[number] !== state) kept.put(state, [id, number]); });
        if (written.length > states.length) kept.delete(IDBKeyRange.bound([id, states.length], [id, Infinity]));
        drafts.put({ ...about, id, at: Date.now(), now: history.past.length, room: document.body.dataset.room });
      });
      written = states;
    }

    function keep(history, about) {
      last = last.catch(() => {}).then(() => write(history, about)).catch((fault) => {
        room.keep(LAST, JSON.stringify({ ...about, id, now: history.now }));
        throw fault;
      });
      return last;
    }

    async function load() {
      let about;
      const found = await within("readonly", "default", (drafts, kept) => {
        drafts.get(id).onsuccess = (event) => { about = event.target.result; };
        return kept.getAll(statesOf(id));
      });
      if (!about || !found.length) return null;
      written = found;
      return { about, history: { past: found.slice(0, about.now), now: found[about.now], future: found.slice(about.now + 1) } };
    }

    return { id, keep, load };
  }

  const drop = (id) => within("readwrite", "strict", (drafts, kept) => {
    drafts.delete(id);
    kept.delete(statesOf(id));
  });

  // What is kept for this room, newest first.
  async function all() {
    const found = await within("readonly", "default", (drafts) => drafts.getAll()).catch(() => []);
    return found.filter((each) => each.room === document.body.dataset.room).sort((a, b) => b.at - a.at);
  }

  function withoutDatabase() {
    try {
      return JSON.parse(room.kept(LAST) ?? "null");
    } catch {
      return null;
    }
  }

  room.drafts = { draft, drop, all, withoutDatabase };
})();
