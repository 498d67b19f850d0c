// Keeps the page of a static host on the device, so that it opens without a network, and takes
// a newer one whole. It asks the host for its own files and for nothing else.

const version = "{{version}}";

// Each file of this version, with the SHA-256 of what it holds.
const files = {{files}};

// The caches of an origin are shared by all pages of its host.
const ours = `tapwright ${registration.scope} `;
const cached = ours + version;

function address(file) {
  return new URL(file, registration.scope).href;
}

// A file of this version. A host that is being given new files may have some of each: then the
// version that is kept stays, and the browser tries again.
async function fetched(file) {
  const answer = await fetch(address(file), { cache: "no-cache" });
  const bytes = await answer.arrayBuffer();
  const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  const hash = Array.from(digest, (byte) => byte.toString(16).padStart(2, "0")).join("");
  if (!answer.ok || hash !== files[file]) {
    throw new Error(`${address(file)} is not the one of version ${version}`);
  }
  // Made anew, as a page may not be opened from an answer that was redirected.
  const headers = { "Content-Type": answer.headers.get("Content-Type") ?? "" };
  return new Response(bytes, { headers });
}

async function keep() {
  const names = Object.keys(files);
  const answers = await Promise.all(names.map(fetched));
  const cache = await caches.open(cached);
  await Promise.all(names.map((file, at) => cache.put(address(file), answers[at])));
}

async function forget() {
  const names = await caches.keys();
  const old = names.filter((name) => name.startsWith(ours) && name !== cached);
  await Promise.all(old.map((name) => caches.delete(name)));
}

// Which of the files a request is for.
function wanted(request) {
  const { origin, pathname } = new URL(request.url);
  const place = origin + pathname;
  if (request.method !== "GET") return undefined;
  if (place === address("index.html")) return "./";
  return Object.keys(files).find((file) => address(file) === place);
}

async function answer(file, request) {
  const kept = await caches.match(address(file), { cacheName: cached });
  // The browser may have cleared it.
  return kept ?? fetch(request);
}

addEventListener("install", (event) => event.waitUntil(keep()));
addEventListener("activate", (event) => event.waitUntil(forget()));
addEventListener("fetch", (event) => {
  const file = wanted(event.request);
  if (file !== undefined) event.respondWith(answer(file, event.request));
});
// The person wants the newer version now, and not when every tab is closed.
addEventListener("message", (event) => {
  if (event.data === "take over") event.waitUntil(skipWaiting());
});
