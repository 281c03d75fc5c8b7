// Keeps the page on the tablet. SHELL (its build and all its addresses) stands before this text.
// What the API answers is never kept here: the page seals it and keeps it itself.
const PREFIX = "bay-";
const NAME = PREFIX + SHELL.build;
const KEPT = new Set(SHELL.addresses);
const HOME = SHELL.addresses[0];

// A hashed address never changes, so that what the page has just fetched need not come again.
const wanted = (address) =>
  new Request(address, { cache: address.startsWith("/bay/") ? "reload" : "default" });

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(NAME).then((cache) => cache.addAll(SHELL.addresses.map(wanted))));
});

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
  return (await cache.match(address)) ?? (await caches.match(request)) ?? fetch(request);
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  if (request.mode === "navigate") {
    if (url.pathname === HOME) event.respondWith(fromHere(request, HOME));
    return;
  }
  const old = url.pathname.startsWith("/static/web/");
  if (KEPT.has(url.pathname) || old) event.respondWith(fromHere(request, url.pathname));
});

// Only somebody's own tap brings the newer page.
self.addEventListener("message", (event) => {
  if (event.data === "take") self.skipWaiting();
});
