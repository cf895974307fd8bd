"use strict";
// Keeps the pages of the scouts and what they are made with; VERSION and SHELL_FILES stand before
// this. It answers for nothing else, and never keeps data of other programs or other pages.
importScripts(`/static/scout-queue.js?v=${VERSION}`);

const SHELL = `warmspell-shell-${VERSION}`, PAGES = `warmspell-pages-${VERSION}`;
const PAGE = /^\/scout(-any|\/[^/]+)?$/;
const DOOR = /^\/(enter|leave)(\/|$)/;
const ALWAYS = ["/scout", "/scout-any"];
// With one bar of signal the page that is kept is shown after this long [ms].
const PATIENCE = 6000;

const fit = (answer) => answer.ok && !answer.redirected && answer.type === "basic";

// How old a kept page may be before it is fetched again though nobody opened it [ms]: the form of
// any field is long where fields are many, and only new fields change it.
const FRESH = { "/scout-any": 12 * 3600e3 }, FRESH_OTHERS = 60e3;

async function keptLately(path) {
  const kept = await (await caches.open(PAGES)).match(path);
  return Boolean(kept) && Date.now() - Date.parse(kept.headers.get("date")) < (FRESH[path] || FRESH_OTHERS);
}

async function keepPage(path) {
  if (await keptLately(path)) return true;
  const answer = await fetch(path, { cache: "no-store" });
  if (fit(answer)) await (await caches.open(PAGES)).put(path, answer);
  return fit(answer);
}

self.addEventListener("install", (event) => {
  event.waitUntil((async () => {
    await (await caches.open(SHELL)).addAll(SHELL_FILES.map((path) => new Request(path, { cache: "reload" })));
    await Promise.allSettled(ALWAYS.map(keepPage));
    await self.skipWaiting();
  })());
});

self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    for (const name of await caches.keys()) {
      if (name.startsWith("warmspell-") && name !== SHELL && name !== PAGES) await caches.delete(name);
    }
    await self.clients.claim();
  })());
});

self.addEventListener("message", (event) => {
  if (!event.data || !event.data.keep) return;
  const paths = [...new Set(event.data.keep)].filter((path) => PAGE.test(path));
  event.waitUntil(Promise.allSettled(paths.map(keepPage)).then((told) => {
    if (told.every((one) => one.value) && event.source) event.source.postMessage({ kept: true });
  }));
});

self.addEventListener("sync", (event) => {
  if (event.tag !== "visits") return;
  event.waitUntil(self.scoutQueue.sendAll().then((outcome) => {
    // The browser tries again by itself when this fails.
    if (outcome === "later") throw new Error("no signal yet");
  }));
});

self.addEventListener("fetch", (event) => {
  const asked = new URL(event.request.url);
  if (asked.origin !== self.location.origin) return;
  if (DOOR.test(asked.pathname)) {
    // Somebody comes or goes: pages of whoever was in are for nobody else. Visits that wait stay.
    event.waitUntil(caches.delete(PAGES));
    return;
  }
  if (event.request.method !== "GET") return;
  if (SHELL_FILES.includes(asked.pathname + asked.search)) event.respondWith(shellFile(event.request));
  else if (event.request.mode === "navigate" && PAGE.test(asked.pathname)) {
    event.respondWith(scoutPage(event.request, asked));
  }
});

async function shellFile(request) {
  return (await (await caches.open(SHELL)).match(request)) || fetch(request);
}

async function scoutPage(request, asked) {
  const fresh = fetch(request).then(async (answer) => {
    if (fit(answer) && !asked.search) await (await caches.open(PAGES)).put(asked.pathname, answer.clone());
    return answer;
  });
  fresh.catch(() => {});
  try {
    return await Promise.race([fresh, tooLong()]);
  } catch (fault) {
    const pages = await caches.open(PAGES);
    const kept = (await pages.match(asked.pathname)) || (asked.pathname !== "/scout" && await pages.match("/scout-any"));
    return kept || fresh;
  }
}

const tooLong = () => new Promise((_, fail) => { setTimeout(() => fail(new Error("no signal")), PATIENCE); });
