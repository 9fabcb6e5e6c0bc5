// A printed list: further rows without asking the computer, with the cloth of the row above.
"use strict";
(() => {
  const rows = document.querySelector("#list-rows");
  const more = document.querySelector("#more-rows");

  function addRow() {
    const last = rows.lastElementChild;
    const row = last.cloneNode(true);
    const number = rows.children.length + 1;
    row.id = `row-${number}`;
    row.classList.remove("wrong");
    row.querySelector(".row-fault")?.remove();
    row.querySelector("legend").textContent = `Row ${number}`;
    row.querySelectorAll("input").forEach((input) => { input.value = ""; });
    row.querySelectorAll("select").forEach((select) => { select.value = ""; });
    const cloth = last.querySelector("[name=cloth]");
    if (cloth) row.querySelector("[name=cloth]").value = cloth.value;
    rows.append(row);
    row.querySelector("input").focus();
    if (number >= Number(rows.dataset.most)) more.hidden = true;
  }

  more.textContent = "Add a row";
  more.addEventListener("click", (event) => { event.preventDefault(); addRow(); });
  document.querySelector("#result")?.focus({ preventScroll: true });
})();
