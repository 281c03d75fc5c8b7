// Keeps the page on the tablet. SHELL (its build and addresses) stands before this text.
// What the API answers is never kept here: the page seals it and keeps it itself.
const PREFIX = "bay-";
const NAME = PREFIX + SHELL.build;
const HOME = "/bay/";
const OURS = /^\/(static\/web|bay\/words)\//;

// The words of each language that was kept on this tablet, and of the browser's own. Another comes
// when it is first spoken (words.js keeps it).
async function spokenHere() {
  const own = Object.keys(SHELL.words).find((language) => navigator.language.startsWith(language)) ?? "en";
  const kept = Object.entries(SHELL.words).map(async ([language, address]) =>
    language === own || (await caches.match(address, { ignoreSearch: true })) ? [address] : [],
  );
  return (await Promise.all(kept)).flat();
}

// What the page has just fetched need not come again, if it is of this build.
async function home() {
  const has = await fetch(HOME, { cache: "force-cache" });
  const ours = (await has.clone().text()).includes(`data-build="${SHELL.build}"`);
  return ours ? has : fetch(HOME, { cache: "reload" });
}

// A hashed address never changes. The rest comes in one piece.
async function keep() {
  const cache = await caches.open(NAME);
  const rest = await fetch(SHELL.late, { cache: "reload" });
  if (!rest.ok) throw new Error(`${SHELL.late}: ${rest.status}`);
  const kept = Object.entries(await rest.json()).map(([address, [type, text]]) =>
    cache.put(address, new Response(text, { headers: { "Content-Type": `${type}; charset=utf-8` } })),
  );
  const page = await home();
  if (!page.ok) throw new Error(`${HOME}: ${page.status}`);
  await Promise.all([...kept, cache.addAll([...SHELL.early, ...(await spokenHere())]), cache.put(HOME, page)]);
}
self.addEventListener("install", (event) => event.waitUntil(keep()));

// A page of the build before may still be open elsewhere on this tablet: its files stay until the
// next build comes.
async function tidy() {
  const names = (await caches.keys()).filter((name) => name.startsWith(PREFIX) && name !== NAME);
  await Promise.all(names.slice(0, -1).map((name) => caches.delete(name)));
  await self.clients.claim();
}
self.addEventListener("activate", (event) => event.waitUntil(tidy()));

async function fromHere(request, address) {
  const cache = await caches.open(NAME);
  return (await cache.match(address, { ignoreSearch: true })) ?? (await caches.match(request)) ?? fetch(request);
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  if (request.mode === "navigate") {
    if (url.pathname === HOME) event.respondWith(fromHere(request, HOME));
    return;
  }
  if (OURS.test(url.pathname)) event.respondWith(fromHere(request, url.pathname));
});

// Only somebody's own tap brings the newer page.
self.addEventListener("message", (event) => {
  if (event.data === "take") self.skipWaiting();
});
