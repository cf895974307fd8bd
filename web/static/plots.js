"use strict";
// Brings every plot of the page to life from the data beside it.
for (const told of document.querySelectorAll("script.plot-data")) {
  Bokeh.embed.embed_item(JSON.parse(told.textContent));
}
