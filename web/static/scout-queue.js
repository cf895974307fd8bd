"use strict";
// Visits that wait on this phone, and how they are sent: the same for pages and for the worker.
// A visit leaves the queue only by an answer that it is kept, or when its scout takes it off.
(() => {
  const NAME = "warmspell-scouting";
  // One bar of signal: longer than this and it is tried again later [ms].
  const PATIENCE = 30000;

  function opened() {
    return new Promise((done, fail) => {
      const asked = indexedDB.open(NAME, 1);
      asked.onupgradeneeded = () => asked.result.createObjectStore("visits", { keyPath: "uuid" });
      asked.onsuccess = () => done(asked.result);
      asked.onerror = () => fail(asked.error);
    });
  }

  async function within(mode, act) {
    const database = await opened();
    try {
      return await new Promise((done, fail) => {
        const change = database.transaction("visits", mode, { durability: "strict" });
        const asked = act(change.objectStore("visits"));
        change.oncomplete = () => done(asked && asked.result);
        change.onerror = change.onabort = () => fail(change.error);
      });
    } finally {
      database.close();
    }
  }

  const all = async () =>
    (await within("readonly", (visits) => visits.getAll())).sort((a, b) => (a.made < b.made ? 1 : -1));
  const one = (uuid) => within("readonly", (visits) => visits.get(uuid));

  function changed() {
    const heard = new BroadcastChannel(NAME);
    heard.postMessage("changed");
    heard.close();
  }

  async function put(visit) {
    await within("readwrite", (visits) => visits.put(visit));
    changed();
  }

  async function drop(uuid) {
    await within("readwrite", (visits) => visits.delete(uuid));
    changed();
  }

  // Who is in: {name, form_key, now_utc}; null where nobody is, or nobody who may scout.
  async function who() {
    const answer = await fetch("/scout-who", {
      redirect: "manual", cache: "no-store", signal: AbortSignal.timeout(PATIENCE),
    });
    if (answer.ok) return answer.json();
    if (answer.type === "opaqueredirect" || answer.status === 401 || answer.status === 403) return null;
    throw new Error(`answered ${answer.status}`);
  }

  async function send(visit, told) {
    const answer = await fetch("/scout/visits", {
      method: "POST",
      headers: { "content-type": "application/json", "x-form-key": told.form_key },
      body: JSON.stringify(visit.photo ? { ...visit.texts, photo: visit.photo } : visit.texts),
      signal: AbortSignal.timeout(PATIENCE),
    });
    if (answer.ok) {
      const kept = await answer.json();
      return { ...visit, state: "sent", said: kept.said, problems: [], photo: "" };
    }
    if (answer.status === 422 || answer.status === 413) {
      const refusal = await answer.json().catch(() => ({}));
      const problems = refusal.problems || [{ column: "", problem: refusal.problem || "too large" }];
      return { ...visit, state: "refused", problems };
    }
    if (answer.status === 401 || answer.status === 403) return null;
    throw new Error(`answered ${answer.status}`);
  }

  // Send all that wait, one after another. Tells "sent", "out" where somebody must log in first,
  // "other" where they wait for somebody else to, or "later".
  async function sendWaiting() {
    const mine = (await all()).filter((visit) => visit.state === "queued").reverse();
    if (!mine.length) return "sent";
    if (!navigator.onLine) return "later";
    let outcome = "sent";
    try {
      const told = await who();
      if (!told) return "out";
      for (const visit of mine) {
        if (visit.by !== told.name) { outcome = "other"; continue; }
        const after = await send(visit, told);
        if (!after) return "out";
        await put(after);
      }
    } catch (fault) {
      return "later";
    }
    return outcome;
  }

  // Pages and the worker take turns, so that nothing is sent twice at once; twice does no harm.
  const sendAll = () =>
    navigator.locks ? navigator.locks.request(NAME, sendWaiting) : sendWaiting();

  self.scoutQueue = { all, one, put, drop, who, sendAll, NAME };
})();
