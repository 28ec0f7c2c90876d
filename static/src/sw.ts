/**
 * The service worker only routes: one build, precached whole or not at all, served from its cache.
 * The API is never touched. A new build waits until the page asks for it.
 * Kill switch: serve a sw.js whose `activate` deletes all caches and calls `registration.unregister()`.
 */

/** The compiler knows workers in general; this one is a service worker. */
const worker = self as unknown as ServiceWorkerGlobalScope;
const CACHE = `seamwalk-${BUILD}`;
const LAZY_CACHE = "seamwalk-lazy";
const SHELL = "/phone/";

async function precache(): Promise<void> {
  const fetched = await Promise.all(
    PRECACHE.map(async (url) => ({ url, response: await fetch(url, { cache: "reload" }) })),
  );
  for (const { url, response } of fetched) {
    if (
      response.status !== 200 ||
      response.redirected ||
      response.type !== "basic" ||
      !rightType(url, response)
    ) {
      throw new Error(`${url} cannot be kept`);
    }
  }
  const cache = await caches.open(CACHE);
  await Promise.all(fetched.map(({ url, response }) => cache.put(url, response)));
}

/** A captive page answers every address with HTML. */
function rightType(url: string, response: Response): boolean {
  const type = response.headers.get("Content-Type") ?? "";
  if (url === SHELL) return type.startsWith("text/html");
  const wanted: Record<string, string> = {
    js: "javascript",
    css: "text/css",
    png: "image/png",
    svg: "image/svg",
  };
  return type.includes(wanted[url.split(".").at(-1) ?? ""] ?? "manifest+json");
}

async function dropOldCaches(): Promise<void> {
  const names = await caches.keys();
  const old = names.filter((name) => name !== CACHE && name !== LAZY_CACHE);
  await Promise.all(old.map((name) => caches.delete(name)));
  const lazy = await caches.open(LAZY_CACHE);
  const kept = await lazy.keys();
  const gone = kept.filter(({ url }) => !LAZY.includes(new URL(url).pathname));
  await Promise.all(gone.map((request) => lazy.delete(request)));
  await worker.clients.claim();
}

async function fromCache(url: string, request: Request): Promise<Response> {
  const cache = await caches.open(CACHE);
  return (await cache.match(url)) ?? fetch(request);
}

/** What few need and is large: fetched when it is first asked for, kept from then on. */
async function lazily(url: string, request: Request): Promise<Response> {
  const cache = await caches.open(LAZY_CACHE);
  const kept = await cache.match(url);
  if (kept) return kept;
  const response = await fetch(request);
  const type = response.headers.get("Content-Type") ?? "";
  const right = url.endsWith(".wasm") ? type.includes("application/wasm") : type.includes("javascript");
  if (response.status === 200 && !response.redirected && response.type === "basic" && right) {
    await cache.put(url, response.clone());
  }
  return response;
}

worker.addEventListener("install", (event) => event.waitUntil(precache()));
worker.addEventListener("activate", (event) => event.waitUntil(dropOldCaches()));
worker.addEventListener("message", (event) => {
  if (event.data === "take_over") worker.skipWaiting();
});
worker.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (url.origin !== worker.location.origin || event.request.method !== "GET") return;
  if (event.request.mode === "navigate" && url.pathname === SHELL) {
    event.respondWith(fromCache(SHELL, event.request));
  } else if (PRECACHE.includes(url.pathname)) {
    event.respondWith(fromCache(url.pathname, event.request));
  } else if (LAZY.includes(url.pathname)) {
    event.respondWith(lazily(url.pathname, event.request));
  }
});
