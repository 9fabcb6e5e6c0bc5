// A new quilt: the plan's text is filled from a file or the example, kept while it is typed, and its lines are found.
"use strict";
(() => {
  const DRAFT = "sewing-room draft";
  if (!window.sewingRoom) return;
  const { keep, kept, complain } = window.sewingRoom;
  const find = (selector) => document.querySelector(selector);

  function goToLine(number) {
    const text = find("#plan");
    const lines = text.value.split("\n");
    const start = lines.slice(0, number - 1).join("\n").length + (number > 1 ? 1 : 0);
    text.focus();
    text.setSelectionRange(start, start + lines[number - 1].length);
    text.scrollTop = (text.scrollHeight / lines.length) * (number - 4);
  }

  function fill(text) {
    const box = find("#plan");
    if (box.value.trim() && box.value !== text && !confirm("Put this in place of what is in the box?")) return;
    box.value = text;
    keep(DRAFT, text);
    htmx.trigger(box, "look");
  }

  async function takeFile(input) {
    const file = input.files[0];
    if (!file) return;
    if (file.size > 1e6) complain("This file is larger than 1 MB, which no plan needs; choose another.");
    else {
      try {
        fill(new TextDecoder("utf-8", { fatal: true }).decode(await file.arrayBuffer()).replaceAll("\r\n", "\n"));
      } catch {
        complain("The file is not text in UTF-8; save the plan as plain text in UTF-8 and choose it again.");
      }
    }
    input.value = "";
  }

  function goToFaults() {
    const words = find(".line-faults") && find("#look-words");
    if (!words) return;
    words.focus({ preventScroll: true });
    words.scrollIntoView({ block: "start" });
  }

  document.addEventListener("click", (event) => {
    if (event.target.closest(".look-count a")) { event.preventDefault(); goToFaults(); }
    const line = event.target.closest("[data-line]");
    if (line) { event.preventDefault(); goToLine(Number(line.dataset.line)); }
  });

  const draft = kept(DRAFT);
  const example = find("#example").textContent;
  const back = find("#bring-back");
  back.hidden = !draft || Boolean(find("#plan").value) || draft === example;
  back.addEventListener("click", () => { fill(draft); back.hidden = true; });
  find("#plan").addEventListener("input", (event) => keep(DRAFT, event.target.value));
  find("#use-example").addEventListener("click", () => fill(example));
  goToFaults();
  find("#file").addEventListener("change", (event) => takeFile(event.target));
})();
