"use strict";
// Brings every plot of the page to life from the data beside it, and puts its still drawing away.
// The hues of plots on a dark screen, as in board.css.
const DARK = {
  "#ffffff": "#14122b", "#dedcf2": "#332f62", "#b6b2e1": "#595496", "#8d88cf": "#7f79c9",
  "#5a559c": "#b3aee6", "#332e78": "#c9c5f3", "#221f4a": "#eeecfc",
};
const HUES = new RegExp(Object.keys(DARK).join("|"), "g");
const dark = matchMedia("(prefers-color-scheme: dark)").matches;
for (const told of document.querySelectorAll("script.plot-data")) {
  const text = told.textContent;
  const plot = JSON.parse(dark ? text.replace(HUES, (hue) => DARK[hue]) : text);
  const still = document.getElementById(`${plot.target_id}-still`);
  Bokeh.embed.embed_item(plot).then(() => { if (still) still.hidden = true; });
}
