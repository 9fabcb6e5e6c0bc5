// Photos are made small before they are sent, so that a phone on a weak network is not kept waiting; the server takes them as they are, too.
"use strict";
(() => {
  const LONGEST = 1600; // pixels of the longer side, as the server keeps them
  const input = document.getElementById("photo-of-it");
  const form = input?.form;
  if (!form || !window.createImageBitmap || !window.DataTransfer || !form.requestSubmit) return;
  const said = document.getElementById("of-photos");
  let state = "";

  async function small(file) {
    const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
    const share = Math.min(1, LONGEST / Math.max(picture.width, picture.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.max(1, Math.round(picture.width * share));
    canvas.height = Math.max(1, Math.round(picture.height * share));
    const pen = canvas.getContext("2d");
    pen.fillStyle = "#fff";
    pen.fillRect(0, 0, canvas.width, canvas.height);
    pen.drawImage(picture, 0, 0, canvas.width, canvas.height);
    picture.close();
    const data = await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.85));
    return data ? new File([data], file.name, { type: "image/jpeg" }) : file;
  }

  // What cannot be read here goes as it is: the server says what is wrong with it.
  form.addEventListener("submit", async (event) => {
    if (state === "small" || !input.files.length) return;
    event.preventDefault();
    if (state) return;
    state = "made small";
    said.textContent = "The photos are made small and sent …";
    const chosen = new DataTransfer();
    for (const file of input.files) chosen.items.add(await small(file).catch(() => file));
    try {
      input.files = chosen.files;
    } finally {
      state = "small";
      form.requestSubmit(event.submitter);
    }
  });
})();
