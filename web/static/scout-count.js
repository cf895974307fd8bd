"use strict";
// What a tally amounts to so far. Tables and words come from the server; nothing is known here
// that the server does not know.
(() => {
  const numbers = (text) => text.trim().split(/\s+/).filter(Boolean).map(Number);

  const mean = (nodes) => nodes.reduce((sum, one) => sum + one, 0) / nodes.length;

  // Plants more until the interval of the mean leaves the limit out; null where it hardly would.
  function plantsMore(nodes, limit, counting) {
    const middle = mean(nodes);
    const squares = nodes.reduce((sum, one) => sum + (one - middle) ** 2, 0);
    const spread = Math.max(Math.sqrt(squares / (nodes.length - 1)), counting.least_sd);
    const most = counting.half_widths.length + 1;
    for (let plants = nodes.length; plants <= most; plants += 1) {
      if (spread * counting.half_widths[plants - 2] < Math.abs(middle - limit)) return plants - nodes.length;
    }
    return null;
  }

  function moreWords(nodes, limit, counting) {
    if (nodes.length < 2 || !Number.isFinite(limit)) return "";
    const more = plantsMore(nodes, limit, counting);
    if (more === null) return counting.words.never;
    if (more === 0) return counting.words.enough;
    return more === 1 ? counting.words.one : counting.words.many.replace("{n}", more);
  }

  const amount = (value) => String(Math.round(value * 10) / 10);
  const plural = (count, word) => `${count} ${word}${count === 1 ? "" : "s"}`;

  self.scoutCount = { numbers, mean, plantsMore, moreWords, amount, plural };
})();
