"use strict";
// The form with fingers: one part at a time, a tap for each plant or boll, and a visit that is
// kept on this phone before it is sent. The inputs hold all there is; taps only write into them.
(() => {
  const form = document.getElementById("visit");
  // Without these the form is sent as it stands.
  if (!self.indexedDB || !self.crypto || !crypto.randomUUID) return;
  const { now, send, sendInBackground, element, by } = scoutPage;
  const count = scoutCount;
  const counting = JSON.parse(form.dataset.counting);
  const told = (id) => document.getElementById(id);
  const input = (name) => form.elements.namedItem(name);
  // ``madeAt`` is when a visit to mend was made: that is when it was, however long mending takes.
  let mending = "", madeAt = "";

  // ---- which field
  const chosen = () => (input("field_id").tagName === "SELECT" ? input("field_id").selectedOptions[0] : form);
  const fieldName = () => chosen().dataset.name || "";
  const limit = () => Number(chosen().dataset.nacbMax || NaN);
  if (input("field_id").tagName === "SELECT" && !input("field_id").value) {
    // Shown in place of a field's own page when there is no signal.
    const asked = location.pathname.match(/^\/scout\/([^/]+)$/);
    if (asked) input("field_id").value = decodeURIComponent(asked[1]);
  }

  // ---- parts, one at a time
  const parts = [...document.querySelectorAll(".step")];
  function showPart(id, { focus = true } = {}) {
    const shown = parts.find((part) => part.id === id) || parts[0];
    for (const part of parts) part.hidden = part !== shown;
    for (const button of told("steps").children) {
      if (button.dataset.step === shown.id) button.setAttribute("aria-current", "step");
      else button.removeAttribute("aria-current");
    }
    document.querySelector(".onward").hidden = shown === parts.at(-1);
    if (!focus) return;
    shown.querySelector("h2").focus({ preventScroll: true });
    told("steps").scrollIntoView();
  }
  told("steps").hidden = false;
  told("steps").addEventListener("click", (event) => {
    if (event.target.dataset.step) showPart(event.target.dataset.step);
  });
  told("next-step").addEventListener("click", () => {
    showPart(parts[parts.findIndex((part) => !part.hidden) + 1].id);
  });

  // ---- tallies
  const say = (pad, what, words) => { pad.querySelector(`[data-told="${what}"]`).textContent = words; };
  function runningNodes(pad) {
    const nodes = count.numbers(input("plant_nodes").value);
    const readable = !nodes.some(Number.isNaN);
    say(pad, "mean", nodes.length ? (readable ? count.amount(count.mean(nodes)) : "?") : "0");
    say(pad, "plants", nodes.length ? `mean of ${count.plural(nodes.length, "plant")}` : "plants yet");
    const words = readable && count.moreWords(nodes, limit(), counting);
    say(pad, "more", words ? `, ${words}` : "");
  }
  function runningBolls(pad) {
    const open = Number(input("bolls_open").value), closed = Number(input("bolls_closed").value);
    say(pad, "percent", open + closed ? `${Math.round((100 * open) / (open + closed))} %` : "0 %");
    say(pad, "bolls", open + closed ? `open, of ${count.plural(open + closed, "boll")}` : "open");
  }
  function runningCut(pad) {
    const stages = count.numbers(input("cut_stages").value);
    say(pad, "mature", String(stages.filter((stage) => stage >= counting.mature_stage).length));
    say(pad, "cut", `of ${stages.length} mature`);
  }
  const RUNNING = { plant_nodes: runningNodes, bolls: runningBolls, cut_stages: runningCut };
  const taps = [];
  function typed(name, value) {
    input(name).value = value;
    input(name).dispatchEvent(new Event("input", { bubbles: true }));
  }
  function undo(kind) {
    if (kind === "bolls") {
      const last = taps.pop();
      if (last) typed(last, String(Math.max(0, Number(input(last).value) - 1)));
      return;
    }
    typed(kind, count.numbers(input(kind).value).slice(0, -1).join(" "));
  }
  for (const pad of document.querySelectorAll(".tally-pad")) {
    const kind = pad.dataset.tally;
    pad.hidden = false;
    pad.addEventListener("click", (event) => {
      const button = event.target.closest("button");
      if (!button) return;
      const half = pad.querySelector("[data-half]");
      if (button === half) half.setAttribute("aria-pressed", String(half.getAttribute("aria-pressed") !== "true"));
      else if ("undo" in button.dataset) undo(kind);
      else if (button.dataset.count) {
        const name = button.dataset.count, other = name === "bolls_open" ? "bolls_closed" : "bolls_open";
        taps.push(name);
        typed(name, String(Number(input(name).value) + 1));
        // None closed is a count, too.
        if (input(other).value === "") typed(other, "0");
      } else if (button.dataset.add) {
        const more = half && half.getAttribute("aria-pressed") === "true" ? 0.5 : 0;
        if (half) half.setAttribute("aria-pressed", "false");
        typed(kind, `${input(kind).value.trim()} ${Number(button.dataset.add) + more}`.trim());
      }
      if (navigator.vibrate) navigator.vibrate(15);
    });
  }
  function running() {
    if (chosen() !== form) told("field-name").textContent = fieldName() || "Which field?";
    for (const pad of document.querySelectorAll(".tally-pad")) RUNNING[pad.dataset.tally](pad);
    const nodes = count.numbers(input("plant_nodes").value).length;
    const bolls = Number(input("bolls_open").value) + Number(input("bolls_closed").value);
    const cut = count.numbers(input("cut_stages").value).length;
    const counted = [
      nodes && count.plural(nodes, "plant"), bolls && count.plural(bolls, "boll"), cut && `${cut} cut`,
      input("leaf_drop_pct").value && `${input("leaf_drop_pct").value} % of leaves off`,
    ].filter(Boolean);
    told("summing-up").hidden = false;
    told("summing-up").textContent = [fieldName(), counted.join(", ") || "nothing counted yet"].filter(Boolean).join(": ");
  }

  // ---- the visit as texts, and a draft that outlives a reload
  const OWN = ["form_key", "uuid"];
  function texts() {
    const found = {};
    for (const [name, value] of new FormData(form)) {
      if (!OWN.includes(name) && typeof value === "string" && value.trim()) found[name] = value.trim();
    }
    return found;
  }
  function fill(found) {
    for (const one of form.elements) {
      if (!one.name || OWN.includes(one.name) || one.type === "hidden") continue;
      if (one.type === "checkbox") one.checked = found[one.name] === "yes";
      else if (one.tagName !== "SELECT" || found[one.name]) one.value = found[one.name] || "";
      const folded = one.closest("details");
      if (folded && (one.checked || (one.type !== "checkbox" && one.value))) folded.open = true;
    }
  }
  const DRAFT = `scout-draft ${by} ${form.dataset.field || "any"}`, DAY_MS = 86400000;
  form.addEventListener("input", () => {
    running();
    localStorage.setItem(DRAFT, JSON.stringify({ at: Date.now(), texts: texts() }));
  });
  form.addEventListener("change", running);

  // ---- what was refused stands beside what it is about
  function clearProblems() {
    for (const at of document.querySelectorAll("[data-problem]")) { at.hidden = true; at.textContent = ""; }
    for (const at of form.querySelectorAll("[aria-invalid]")) at.removeAttribute("aria-invalid");
  }
  function showProblems(problems) {
    clearProblems();
    let first = null;
    for (const { column, problem } of problems) {
      const at = document.querySelector(`[data-problem="${CSS.escape(column)}"]`)
        || document.querySelector('[data-problem="uuid"]');
      at.textContent = at.textContent ? `${at.textContent}; ${problem}` : problem;
      at.hidden = false;
      const about = told(column);
      if (about) { about.setAttribute("aria-invalid", "true"); first = first || about; }
    }
    if (!first) return;
    const part = first.closest(".step");
    if (part) showPart(part.id, { focus: false });
    const folded = first.closest("details");
    if (folded) folded.open = true;
    first.focus();
  }

  // ---- keep it, then send it
  function visitNow() {
    const found = texts(), moment = now();
    if (!found.observed) found.observed = madeAt || moment.toISOString().replace(/\.\d+Z$/, "Z");
    const uuid = mending || crypto.randomUUID();
    const when = moment.toLocaleString([], { weekday: "short", hour: "numeric", minute: "2-digit" });
    return {
      uuid, by, field: found.field_id, name: fieldName() || found.field_id, when, made: moment.toISOString(),
      texts: { ...found, uuid }, photo: scoutPhoto.letters(), state: "queued", problems: [], said: [],
    };
  }
  function done(visit) {
    localStorage.removeItem(DRAFT);
    form.hidden = true;
    told("done").hidden = false;
    told("done-title").textContent = visit.state === "sent" ? "Sent and kept" : "Kept on this phone";
    const lines = visit.state === "sent" ? visit.said : ["It is sent by itself when there is signal."];
    told("done-said").replaceChildren(...lines.map((line) => element("p", line)));
    told("done").focus();
    scrollTo(0, 0);
  }
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const unfit = form.querySelector(":invalid:not(fieldset)");
    if (unfit) {
      const part = unfit.closest(".step");
      if (part) showPart(part.id, { focus: false });
      form.reportValidity();
      return;
    }
    const button = told("send");
    if (button.disabled) return;
    button.disabled = true;
    try {
      const visit = visitNow();
      await scoutQueue.put(visit);
      sendInBackground();
      await send();
      const after = (await scoutQueue.one(visit.uuid)) || visit;
      if (after.state !== "refused") { done(after); return; }
      // Not two of it: while it is mended here, it is the same visit.
      mending = visit.uuid;
      madeAt = after.problems.some((one) => one.column === "observed") ? "" : visit.texts.observed;
      showProblems(after.problems);
    } catch (fault) {
      showProblems([{ column: "uuid", problem: "this phone cannot keep it now; make room, and send it again" }]);
    } finally {
      button.disabled = false;
    }
  });

  // ---- begin: a visit to mend, a draft, or an empty form
  async function begin() {
    const asked = location.hash.match(/^#mend=([0-9a-f-]{36})$/);
    const refused = asked && (await scoutQueue.one(asked[1]));
    // The time is that of sending, unless somebody says another.
    if (!document.querySelector('[aria-invalid="true"]')) input("observed").value = "";
    if (refused && refused.by === by) {
      mending = refused.uuid;
      fill(refused.texts);
      input("observed").value = "";
      madeAt = refused.problems.some((one) => one.column === "observed") ? "" : refused.texts.observed;
      scoutPhoto.take(refused.photo || "");
    } else {
      const draft = JSON.parse(localStorage.getItem(DRAFT) || "null");
      if (draft && Date.now() - draft.at < DAY_MS) fill(draft.texts);
    }
    running();
    const linked = parts.some((part) => `#${part.id}` === location.hash) && location.hash.slice(1);
    showPart(linked || "step-nodes", { focus: false });
    if (refused && refused.by === by) showProblems(refused.problems);
    // On a phone the keys are what matters; the ways through the board stand above.
    else if (matchMedia("(max-width: 760px)").matches) told("field-name").scrollIntoView();
  }
  addEventListener("hashchange", begin);
  begin();
})();
