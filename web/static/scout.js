"use strict";
// What every page of the scouts does: shows what waits on this phone, sends it when there is
// signal, finds the nearest field, and makes sure that the pages work without signal.
(() => {
  const home = document.getElementById("scouting");
  const by = home.dataset.by;
  const told = (id) => document.getElementById(id);

  // ---- time: the board's clock rules, a phone's may be wrong
  const SKEW = "scout-clock-skew";
  const now = () => new Date(Date.now() + Number(localStorage.getItem(SKEW) || 0));
  async function ask() {
    if (!navigator.onLine) throw new Error("no signal");
    const who = await scoutQueue.who();
    if (who) localStorage.setItem(SKEW, Date.parse(who.now_utc) - Date.now());
    return who;
  }

  // ---- what waits here
  const WORDS = { queued: "WAITS", sent: "SENT", refused: "REFUSED" };
  const SAYS = {
    sent: "", later: "No signal, or the board does not answer. What waits is kept here and sent by itself.",
    out: "Log in again to send what waits here.",
    other: "Some wait for the scout who made them to log in on this phone.",
  };
  let outcome = "sent";

  function element(name, words, more = {}) {
    const made = Object.assign(document.createElement(name), more);
    if (words) made.textContent = words;
    return made;
  }

  function row(visit) {
    const item = element("li", "", { className: `visit-row is-${visit.state}` });
    const head = element("p", "", { className: "visit-head" });
    head.append(element("b", WORDS[visit.state]), ` ${visit.name}, ${visit.when}`);
    item.append(head);
    if (visit.by !== by) item.append(element("p", `By ${visit.by}, who must log in to send it.`));
    for (const problem of visit.problems || []) {
      item.append(element("p", [problem.column.replaceAll("_", " "), problem.problem].filter(Boolean).join(": ")));
    }
    if (visit.state === "refused" && visit.by === by) {
      const where = `/scout/${encodeURIComponent(visit.field)}#mend=${visit.uuid}`;
      item.append(element("a", "Mend it", { href: where, className: "deed" }), " ");
    }
    if (visit.state !== "queued") {
      const off = element("button", "Take off the list", { type: "button", className: "second" });
      off.setAttribute("aria-label", `Take ${visit.name}, ${visit.when}, off the list`);
      off.addEventListener("click", () => scoutQueue.drop(visit.uuid));
      item.append(off);
    }
    return item;
  }

  async function show() {
    const visits = (await scoutQueue.all()).filter((one) => one.by === by || one.state === "queued");
    const waiting = visits.filter((one) => one.state === "queued").length;
    told("outbox").hidden = !visits.length;
    told("outbox-visits").replaceChildren(...visits.map(row));
    told("send-now").hidden = !waiting;
    told("clear-sent").hidden = !visits.some((one) => one.state === "sent");
    const status = told("outbox-status");
    const words = waiting ? `${waiting} to be sent. ${SAYS[outcome]}` : "Nothing waits to be sent.";
    if (status.textContent === words) return;
    status.textContent = words;
    if (waiting && outcome === "out") status.append(" ", element("a", "Log in", { href: "/enter" }));
  }

  async function send() {
    outcome = await scoutQueue.sendAll();
    await show();
    return outcome;
  }

  told("send-now").addEventListener("click", send);
  told("clear-sent").addEventListener("click", async () => {
    for (const one of await scoutQueue.all()) {
      if (one.state === "sent" && one.by === by) await scoutQueue.drop(one.uuid);
    }
  });
  new BroadcastChannel(scoutQueue.NAME).addEventListener("message", show);
  addEventListener("online", send);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) send(); });
  setInterval(async () => {
    if ((await scoutQueue.all()).some((one) => one.state === "queued")) send();
  }, 60000);

  // ---- the nearest field, by the great circle
  const RADIUS_KM = 6371, KM_IN_MILE = 1.609344;
  function apartKm(from, field) {
    const radians = (degrees) => (degrees * Math.PI) / 180;
    const north = radians(field.latitude - from.latitude), east = radians(field.longitude - from.longitude);
    const h = Math.sin(north / 2) ** 2
      + Math.cos(radians(from.latitude)) * Math.cos(radians(field.latitude)) * Math.sin(east / 2) ** 2;
    return 2 * RADIUS_KM * Math.asin(Math.sqrt(h));
  }
  function farWords(km) {
    const metric = home.dataset.units === "metric", far = metric ? km : km / KM_IN_MILE;
    return `${far < 10 ? far.toFixed(1) : far.toFixed(0)} ${metric ? "km" : "mi"}`;
  }
  function placed() {
    return [...document.querySelectorAll("[data-latitude]")].map((at) => ({
      at, latitude: Number(at.dataset.latitude), longitude: Number(at.dataset.longitude),
    }));
  }
  function near(position) {
    const fields = placed().map((field) => ({ ...field, km: apartKm(position.coords, field) }));
    fields.sort((a, b) => a.km - b.km);
    for (const { at, km } of fields) {
      const far = at.querySelector(".far");
      if (far) { far.hidden = false; far.textContent = `${farWords(km)} away`; }
    }
    const first = fields[0];
    if (!first) return;
    const words = `${first.at.dataset.name}, ${farWords(first.km)} away`;
    if (first.at.tagName === "OPTION") {
      first.at.parentElement.value = first.at.value;
      first.at.parentElement.dispatchEvent(new Event("change", { bubbles: true }));
      told("near-told").replaceChildren(element("b", words));
      return;
    }
    const link = element("a", words, { href: first.at.querySelector("a").href, className: "deed wide-deed" });
    told("near-told").replaceChildren("Nearest of this list: ", link);
  }
  const finder = told("near");
  if (finder && "geolocation" in navigator) {
    finder.hidden = false;
    told("find-near").addEventListener("click", () => {
      told("near-told").textContent = "Looking for where you are.";
      navigator.geolocation.getCurrentPosition(near, () => {
        told("near-told").textContent = "This phone does not tell where it is. Choose the field yourself.";
      }, { timeout: 20000, maximumAge: 60000 });
    });
  }

  // ---- pages that work without signal
  async function keepPages() {
    if (!("serviceWorker" in navigator)) return;
    navigator.serviceWorker.addEventListener("message", (heard) => {
      if (!heard.data || !heard.data.kept) return;
      told("ready").hidden = false;
      told("ready").textContent = "This works without signal now.";
    });
    await navigator.serviceWorker.register("/sw.js");
    const worker = (await navigator.serviceWorker.ready).active;
    worker.postMessage({ keep: ["/scout", "/scout-any", location.pathname] });
  }
  // Once there is a visit to send, the browser may do so with no page open.
  async function sendInBackground() {
    try {
      const registration = await navigator.serviceWorker.ready;
      if (registration.sync) await registration.sync.register("visits");
      if (navigator.storage && navigator.storage.persist) await navigator.storage.persist();
    } catch (fault) {
      // Then it is sent when a page is open.
    }
  }

  self.scoutPage = { now, send, sendInBackground, element, by };
  show();
  ask().then((who) => { if (who) return send(); outcome = "out"; return show(); })
    .catch(() => { outcome = "later"; return show(); });
  keepPages().catch(() => {});
})();
