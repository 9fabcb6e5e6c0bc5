// What this device keeps: what it remembers about hands and chains, and every tap until the computer has named it as
// saved. Taps lie in the browser's database, written through to the disk; in memory too; and where there is no database
// (or not yet), in localStorage, which browsers write when they find the time.
"use strict";
(() => {
  const KEPT = "sewing-room tap ";
  const CHANGED = "sewing-room taps changed"; // tells the other pages of this device
  const NAME = "taps";
  const TOO_SLOW = 3000; // a database that does not open is none

  if (document.documentElement.classList.contains("older")) return; // see able.js; without this, no other begins
  const room = window.sewingRoom = {};
  const memory = new Map();

  function keep(key, value) {
    try {
      localStorage.setItem(key, value);
    } catch {
      memory.set(key, value);
    }
  }

  function kept(key) {
    try {
      return memory.get(key) ?? localStorage.getItem(key);
    } catch {
      return memory.get(key) ?? null;
    }
  }

  function forget(key) {
    memory.delete(key);
    try {
      localStorage.removeItem(key);
    } catch {
      // nothing was kept there
    }
  }

  function keys() {
    const found = new Set(memory.keys());
    try {
      for (let i = 0; i < localStorage.length; i += 1) found.add(localStorage.key(i));
    } catch {
      // memory alone
    }
    return [...found];
  }

  function newId() {
    const bytes = crypto.getRandomValues(new Uint8Array(12));
    return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  }

  // The database

  // A way into one of this name, made with its stores: one transaction, and what is asked for when it is complete: then
  // it is on the disk. Rejected where it is not. The stores are given by the order of their names.
  function database(name, make) {
    let opened = null; // a promise of it, of null where there is none

    const open = () => new Promise((done) => {
      setTimeout(done, TOO_SLOW, null);
      try {
        const asked = indexedDB.open(name, 1);
        asked.onupgradeneeded = () => make(asked.result);
        asked.onerror = asked.onblocked = () => done(null);
        asked.onsuccess = () => {
          asked.result.onclose = asked.result.onversionchange = () => { asked.result.close(); opened = null; };
          done(asked.result);
        };
      } catch {
        done(null);
      }
    });

    return async (mode, durability, ask) => {
      const found = await (opened ??= open());
      if (!found) throw new Error("no database");
      return new Promise((done, failed) => {
        const stores = [...found.objectStoreNames];
        const transaction = found.transaction(stores, mode, { durability });
        const asked = ask(...stores.map((store) => transaction.objectStore(store)));
        transaction.oncomplete = () => done(asked?.result);
        transaction.onabort = transaction.onerror = () => failed(transaction.error);
        transaction.commit?.();
      });
    };
  }

  const within = database("sewing-room", (made) => made.createObjectStore(NAME));

  // The taps, each by a key that sorts by time; all pages of this device share them.

  let taps = new Map();
  const writing = new Set(); // keys on their way into the database
  const gone = new Set(); // keys that are settled, whatever is still being read

  const inOrder = () => [...taps.values()].sort((a, b) => (a.key < b.key ? -1 : 1));
  const isHere = (tap) => !tap.room || tap.room === document.body.dataset.room;
  const waiting = () => inOrder().filter((tap) => !tap.aside && isHere(tap));
  const aside = () => inOrder().filter((tap) => tap.aside || !isHere(tap));

  function add(tap) {
    const newest = inOrder().pop();
    const time = Math.max(Date.now(), newest ? Number(newest.key.split(" ")[0]) + 1 : 0);
    tap.tapped = Date.now(); // by this device's clock
    tap.key = `${String(time).padStart(15, "0")} ${tap.id}`;
    write(tap);
  }

  async function write(tap) {
    taps.set(tap.key, tap);
    writing.add(tap.key);
    keep(KEPT + tap.key, JSON.stringify(tap)); // until the database has it: a page may be closed at once
    try {
      await within("readwrite", "strict", (store) => store.put(tap, tap.key));
      forget(KEPT + tap.key);
    } catch {
      // it stays where it is
    }
    writing.delete(tap.key);
    changed();
  }

  function done(tap) {
    gone.add(tap.key);
    taps.delete(tap.key);
    forget(KEPT + tap.key);
    // Where this fails the tap is sent once more, and the computer knows it.
    within("readwrite", "relaxed", (store) => store.delete(tap.key)).catch(() => {}).finally(changed);
  }

  // Kept aside with the reason why it cannot be saved; without one, it waits again to be sent.
  function setAside(tap, reason) {
    tap.aside = reason;
    write(tap);
  }

  function changed() {
    keep(CHANGED, newId());
    room.show?.();
  }

  function stored() {
    const found = new Map();
    for (const key of keys()) {
      if (!key.startsWith(KEPT)) continue;
      try {
        found.set(key.slice(KEPT.length), { ...JSON.parse(kept(key)), key: key.slice(KEPT.length) });
      } catch {
        // not written by these pages
      }
    }
    return found;
  }

  async function refresh() {
    const rows = await within("readonly", "default", (store) => store.getAll()).catch(() => []);
    const found = new Map([...stored(), ...rows.map((tap) => [tap.key, tap])]);
    for (const key of writing) if (taps.has(key)) found.set(key, taps.get(key));
    for (const key of gone) found.delete(key);
    taps = found;
    room.show?.();
  }

  async function load() {
    taps = stored();
    await refresh();
    for (const [key, tap] of stored()) if (!writing.has(key) && !gone.has(key)) write(tap);
  }

  window.addEventListener("storage", (event) => {
    if (!event.key || event.key === CHANGED || event.key.startsWith(KEPT)) refresh();
  });

  Object.assign(room, {
    keep, kept, forget, newId, database, waiting, aside, add, done, setAside, refresh,
    // A tap that is on its way into the database is not kept yet; one that only memory has goes with the page.
    held: (tap) => !writing.has(tap.key),
    loose: () => inOrder().some((tap) => !writing.has(tap.key) && memory.has(KEPT + tap.key)),
    loaded: load(),
  });
})();
