// Taps that cannot be saved as things stand: how many, why, and what she can do. They stay on this device until she
// sends them again or drops them.
"use strict";
(() => {
  const room = window.sewingRoom;
  if (!room) return;
  const MOST_TITLES = 4;
  const JUST_COME = window.justCome ?? 700;
  const ELSEWHERE = "They were tapped in another sewing room (with another folder), and are saved when that one runs here again.";
  const ANEW = "Put that right and send again, or count the work anew and drop this.";
  const GONE = "Their quilt is deleted. Take back the deletion, under “Quilts”, and they are saved by themselves.";

  let shown = "";
  let since = 0;

  function reason(tap) {
    if (!tap.aside) return ELSEWHERE;
    if (tap.aside.why === "gone") return GONE;
    return tap.aside.asks ? tap.aside.words : `${tap.aside.words} ${ANEW}`;
  }

  function grouped() {
    const groups = new Map();
    for (const tap of room.aside()) groups.set(reason(tap), [...(groups.get(reason(tap)) ?? []), tap]);
    return groups;
  }

  // Which work it was, so that it can be counted anew: "Cut red squares: 30".
  function work(taps) {
    const sums = new Map();
    for (const tap of taps) if (tap.title) sums.set(tap.title, (sums.get(tap.title) ?? 0) + tap.count);
    const said = [...sums].map(([title, sum]) => (sum > 0 ? `${title}: ${sum}` : title));
    const more = said.length - MOST_TITLES;
    return said.slice(0, MOST_TITLES).join("; ") + (more > 0 ? `; and ${more} more` : "");
  }

  function element(name, text, className = "") {
    const made = document.createElement(name);
    made.textContent = text;
    made.className = className;
    return made;
  }

  function button(words, act) {
    const made = element("button", words, "plain");
    made.type = "button";
    made.addEventListener("click", () => { if (Date.now() - since > JUST_COME) act(); });
    return made;
  }

  function sendAgain(taps) {
    for (const tap of taps) {
      tap.room = document.body.dataset.room;
      room.setAside(tap);
    }
    room.send();
  }

  function notice(why, taps) {
    const one = taps.length === 1;
    const box = element("section", "", "notice");
    const answers = element("div", "", "answers");
    const again = button("Send again", () => sendAgain(taps));
    const drop = button("Drop …", () => {
      since = Date.now();
      answers.replaceChildren(
        button("Keep", () => answers.replaceChildren(again, drop)),
        button(one ? "Drop it for good" : `Drop all ${taps.length} for good`, () => taps.forEach(room.done)),
      );
    });
    answers.append(again, drop);
    const said = element("p", ` ${why}`);
    said.prepend(element("b", `${room.many(taps.length)} not saved, but kept on this device.`));
    box.append(said);
    if (work(taps)) box.append(element("p", work(taps), "work"));
    box.append(answers);
    return box;
  }

  room.tellAside = () => {
    const groups = grouped();
    const now = JSON.stringify([...groups].map(([why, taps]) => [why, taps.map((tap) => tap.key)]));
    if (now === shown) return;
    shown = now;
    since = Date.now();
    document.getElementById("aside").replaceChildren(...[...groups].map(([why, taps]) => notice(why, taps)));
  };
  room.tellAside();
})();
