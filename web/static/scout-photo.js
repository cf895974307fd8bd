"use strict";
// The photo of a visit, made smaller here: only the picture is sent, not where it was taken.
(() => {
  const told = (id) => document.getElementById(id);
  // Longest side [px], and most letters of base64: 1 MB.
  const LONGEST_PX = 1600, MOST_LETTERS = 1350000;
  let letters = "";

  async function drawn(file) {
    const picture = await createImageBitmap(file);
    const scale = Math.min(1, LONGEST_PX / Math.max(picture.width, picture.height));
    const canvas = Object.assign(document.createElement("canvas"), {
      width: Math.max(1, Math.round(picture.width * scale)), height: Math.max(1, Math.round(picture.height * scale)),
    });
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    for (const quality of [0.8, 0.6, 0.4, 0.2]) {
      const made = canvas.toDataURL("image/jpeg", quality).split(",")[1];
      if (made.length <= MOST_LETTERS) return made;
    }
    throw new Error("too large");
  }

  function take(made, words = "") {
    letters = made;
    told("photo-told").textContent = made ? `Goes with the visit, ${Math.round((made.length * 3) / 4000)} kB.` : words;
    told("photo-out").hidden = !made;
  }

  told("photo-entry").hidden = false;
  told("photo").addEventListener("change", async () => {
    take("");
    try {
      if (told("photo").files[0]) take(await drawn(told("photo").files[0]));
    } catch (fault) {
      take("", "This picture cannot be used. Take another, or leave it out.");
    }
  });
  told("photo-out").addEventListener("click", () => {
    told("photo").value = "";
    take("");
  });

  self.scoutPhoto = { take, letters: () => letters };
})();
